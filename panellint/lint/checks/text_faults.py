"""What is wrong with the text itself, and names that nobody knows."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from panellint.core.findings import Certainty, Edit, Observation, Remedy
from panellint.core.phrases import listed
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.ingredients.spelling import is_compared, near_name, unknown
from panellint.label.claims import claims_of
from panellint.label.languages import unread_language
from panellint.lint.checks.support.label_parts import is_whole, lacking, where
from panellint.rulepacks import parameters as takes

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.ingredients.model import Ingredient
    from panellint.label.model import TextFault
    from panellint.rulepacks.model import Rule

_CLOSERS = {"(": ")", "[": "]", "{": "}"}
_DOUBLED = re.compile(r"\b([^\W\d_]{2,})\s+\1\b", re.IGNORECASE)


def fault(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds the faults of one kind that reading the text met."""
    kind = rule.parameters.text("fault")
    for one in context.text_faults:
        if one.kind == kind:
            span = one.span
            if kind == "missing-comma":
                span = _joined_names(context, one)
            elif kind == "empty-entry":
                span = _with_comma_before(context, one)
            yield Observation(
                span,
                Certainty.PRACTICE if kind in _JUDGED else Certainty.PROVEN,
                {
                    "printed": one_line(context.source.slice(span)),
                    "what": one.words,
                    **_values(one),
                },
                remedies=tuple(_remedies(context, one)),
            )


#: Kinds of fault that a reader with other words in mind may see otherwise.
_JUDGED = frozenset({"missing-comma", "unknown-heading", "near-heading"})


def _values(one: TextFault) -> dict[str, object]:
    if one.kind != "missing-comma":
        return {}
    left, _, right = one.words.partition(" | ")
    return {"left": left, "right": right}


def _joined_names(context: LabelContext, one: TextFault) -> Span:
    """Returns both names that a comma should part, whole."""
    span = one.span
    for entry in context.entries:
        own = entry.name_span
        if own.start < one.span.end and own.end > one.span.start:
            span = span.cover(own)
    return span


def _with_comma_before(context: LabelContext, one: TextFault) -> Span:
    """Returns the comma before nothing, and the one that stands before it."""
    before = context.source.text[: one.span.start].rstrip()
    return Span(len(before) - 1, one.span.end) if before.endswith((",", ";")) else one.span


def _remedies(context: LabelContext, one: TextFault) -> Iterator[Remedy]:
    printed = context.source.slice(one.span)
    if one.kind == "surplus-bracket":
        yield Remedy("Remove it", (Edit(one.span, ""),))
    elif one.kind == "empty-entry":
        is_sure = context.source.text[: one.span.start].rstrip(" \t").endswith(",")
        yield Remedy("Remove the comma", (_without(context, one),), is_sure)
    elif one.kind == "mismatched-bracket":
        opener = re.search(r"the “(.)”", one.words)
        closer = _CLOSERS.get(opener[1]) if opener else None
        if closer and len(printed) == 1:
            yield Remedy(f"Write `{closer}`", (Edit(one.span, closer),), True)
    elif one.kind == "unclosed-bracket":
        place, closer = _only_place(context, one), _CLOSERS.get(printed)
        if place is not None and closer:
            yield Remedy(f"Write `{closer}`", (Edit(Span(place, place), closer),), True)
    elif one.kind == "missing-comma":
        gap = re.search(r"\s", printed)
        if doubled := _DOUBLED.fullmatch(printed):
            surplus = Span(one.span.start + doubled.end(1), one.span.end)
            yield Remedy("Write it once", (Edit(surplus, ""),), True)
        elif gap:
            place = one.span.start + gap.start()
            yield Remedy("Put a comma between them", (Edit(Span(place, place), ","),))
    elif one.kind == "unexplained-mark":
        yield Remedy("Remove the mark", (Edit(one.span, ""),))


def _without(context: LabelContext, one: TextFault) -> Edit:
    """Returns the edit that removes a fault, and one of two blanks around it."""
    text, span = context.source.text, one.span
    blanks = text[span.start - 1 : span.start] == text[span.end : span.end + 1] == " "
    return Edit(Span(span.start - blanks, span.end), "")


def _only_place(context: LabelContext, one: TextFault) -> int | None:
    """Returns where an open bracket can be closed, if there is one place alone: nothing behind it
    but one name up to the end of the list. None where commas or brackets leave several."""
    lists = context.label.sections_of("declaration")
    within = (one_.body for one_ in lists if one_.body.start <= one.span.start < one_.body.end)
    end = next(within, Span(0, len(context.source.text))).end
    rest = context.source.text[one.span.end : end].rstrip().rstrip(".")
    if not rest.strip() or re.search(r"[,;:.\n()\[\]{}]", rest):
        return None
    return one.span.end + len(rest)


def doubled_word(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a word that stands twice in a name which is known with the word once."""
    for entry in context.entries:
        name = context.source.slice(entry.name_span)
        doubled = _DOUBLED.search(name)
        if doubled is None or (entry.match and entry.match.how == "listed"):
            continue  # "mahi mahi" is a fish
        once = name[: doubled.end(1)] + name[doubled.end() :]
        start = entry.name_span.start
        surplus = Span(start + doubled.end(1), start + doubled.end())
        yield Observation(
            Span(start + doubled.start(), surplus.end),
            Certainty.PRACTICE,
            {"word": doubled[1]},
            remedies=(
                Remedy("Write it once", (Edit(surplus, ""),), context.lookup(once) is not None),
            ),
        )


def no_declaration(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a label with other parts and no ingredients that could be read; a feed material's name
    is its ingredient."""
    material = any(one.route == "material" for one in context.label.adequacy)
    if not context.label.declaration and not material and is_whole(context):
        place = where(context, "declaration")
        yield lacking(context, place, Certainty.PROVEN, {}, "", "declaration")


def not_read(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a text of which nothing was read: it is empty, in a language that is not read, or no
    label at all."""
    label = context.label
    language = unread_language(label)
    known = any(one.match for one in context.entries)
    if language is None and (known or label.guarantees or label.adequacy or label.energy):
        return
    headed = label.declaration and not label.bare
    if language is None and (headed or label.additives or label.claims or label.waivers):
        return
    variant = "language" if language else ""
    if not variant and is_whole(context):
        return
    yield Observation(where(context), Certainty.PROVEN, {"language": language}, variant=variant)


_TOLD_ELSEWHERE = frozenset({"unknown", "additives"})


def unread_words(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds words that were read as nothing and may be nothing that is known; a part that they may
    be is missed by its own rule. Words under an unknown heading are told with it, and names of
    additives and claims are judged by their rules."""
    if context.quick or context.label.bare:
        return
    unread = [one for one in context.label.ledger.unread if not one.maybe]
    claims = [one.span for one in claims_of(context.label) if one.kind] if unread else []
    for one in unread:
        is_judged = any(one.span.start <= claim.start < one.span.end for claim in claims)
        if one.section not in _TOLD_ELSEWHERE and not is_judged:
            printed = one_line(context.source.slice(one.span))
            yield Observation(one.span, Certainty.PRACTICE, {"printed": printed})


def unknown_name(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds declared names that the catalogue does not know, and that are no known one misspelt.

    Names that are something like it are offered as remedies and never taken silently.
    """
    for one in context.once(unknown):
        if not one.name or one.component or _is_no_name(one):
            continue
        if near_name(context, one) is not None:
            continue
        found = (
            context.catalogue.suggest(one.name, market=context.market, language=context.language)
            if is_compared(context, one)
            else []
        )
        yield Observation(
            one.name_span,
            Certainty.PRACTICE,
            {"printed": one.name, "near": listed(found, "or")},
            variant="near" if found else "",
            remedies=tuple(
                Remedy(f"Write `{name}`", (Edit(one.name_span, name),)) for name in found
            ),
        )


def _is_no_name(one: Ingredient) -> bool:
    """Returns True for a heading over members, and for what holds no letters."""
    return bool(one.members) or not any(letter.isalpha() for letter in one.name)


DECLARATIONS = {
    "doubled_word": takes.check(),
    "fault": takes.check(takes.text("fault", "The kind of fault that reading found.")),
    "no_declaration": takes.check(variants=("maybe here",)),
    "not_read": takes.check(variants=("language",)),
    "unread_words": takes.check(),
    "unknown_name": takes.check(variants=("near",)),
}
