"""What is wrong with the text itself, and names that nobody knows."""

import re
from bisect import bisect_left
from collections.abc import Iterator

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Edit, Observation, Remedy
from panellint.core.once import once
from panellint.core.phrases import listed
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.ingredients.model import Ingredient
from panellint.ingredients.spelling import is_compared, near_name, unknown
from panellint.label.claims import claims_of
from panellint.label.languages import unread_language
from panellint.label.model import TextFault
from panellint.lint.checks.support.label_parts import is_whole, lacking, where
from panellint.rulepacks.model import Rule

_CLOSERS = {"(": ")", "[": "]", "{": "}"}
_DOUBLED = re.compile(r"\b([^\W\d_]{2,})\s+\1\b", re.IGNORECASE)


def fault(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds the faults of one kind that reading the text met."""
    kind = rule.parameters.text("fault")
    for text_fault in context.text_faults:
        if text_fault.kind == kind:
            span = text_fault.span
            if kind == "missing-comma":
                span = _joined_names(context, text_fault)
            elif kind == "empty-entry":
                span = _with_comma_before(context, text_fault)
            yield Observation(
                span,
                Certainty.PRACTICE if kind in _JUDGED else Certainty.PROVEN,
                {
                    "printed": one_line(context.source.slice(span)),
                    "what": text_fault.words,
                    **_values(text_fault),
                },
                remedies=tuple(_remedies(context, text_fault)),
            )


#: Kinds of fault that a reader with other words in mind may see otherwise.
_JUDGED = frozenset({"missing-comma", "unknown-heading", "near-heading"})


def _values(text_fault: TextFault) -> dict[str, object]:
    if text_fault.kind != "missing-comma":
        return {}
    left, _, right = text_fault.words.partition(" | ")
    return {"left": left, "right": right}


def _joined_names(context: LabelContext, text_fault: TextFault) -> Span:
    """Returns both names that a comma should part, whole."""
    span, entries = text_fault.span, _in_order(context)
    place = bisect_left(entries, span.end, key=lambda entry: entry.name_span.start)
    while place and entries[place - 1].name_span.end > text_fault.span.start:
        place -= 1
        span = span.cover(entries[place].name_span)
    return span


@once
def _in_order(context: LabelContext) -> list[Ingredient]:
    """Returns the entries by where their names stand."""
    return sorted(context.entries, key=lambda entry: entry.name_span)


def _with_comma_before(context: LabelContext, text_fault: TextFault) -> Span:
    """Returns the comma before nothing, and the one that stands before it."""
    before, span = context.source.text[: text_fault.span.start].rstrip(), text_fault.span
    return Span(len(before) - 1, span.end) if before.endswith((",", ";")) else span


def _remedies(context: LabelContext, text_fault: TextFault) -> Iterator[Remedy]:
    printed = context.source.slice(text_fault.span)
    if text_fault.kind == "surplus-bracket":
        yield Remedy("Remove it", (Edit(text_fault.span, ""),))
    elif text_fault.kind == "empty-entry":
        is_sure = context.source.text[: text_fault.span.start].rstrip(" \t").endswith(",")
        yield Remedy("Remove the comma", (_without(context, text_fault),), is_sure)
    elif text_fault.kind == "mismatched-bracket":
        opener = re.search(r"the “(.)”", text_fault.words)
        closer = _CLOSERS.get(opener[1]) if opener else None
        if closer and len(printed) == 1:
            yield Remedy(f"Write `{closer}`", (Edit(text_fault.span, closer),), True)
    elif text_fault.kind == "unclosed-bracket":
        place, closer = _only_place(context, text_fault), _CLOSERS.get(printed)
        if place is not None and closer:
            yield Remedy(f"Write `{closer}`", (Edit(Span(place, place), closer),), True)
    elif text_fault.kind == "missing-comma":
        gap = re.search(r"\s", printed)
        if doubled := _DOUBLED.fullmatch(printed):
            surplus = Span(text_fault.span.start + doubled.end(1), text_fault.span.end)
            yield Remedy("Write it once", (Edit(surplus, ""),), True)
        elif gap:
            place = text_fault.span.start + gap.start()
            yield Remedy("Put a comma between them", (Edit(Span(place, place), ","),))
    elif text_fault.kind == "unexplained-mark":
        yield Remedy("Remove the mark", (Edit(text_fault.span, ""),))


def _without(context: LabelContext, text_fault: TextFault) -> Edit:
    """Returns the edit that removes a fault, and one of two blanks around it."""
    text, span = context.source.text, text_fault.span
    blanks = text[span.start - 1 : span.start] == text[span.end : span.end + 1] == " "
    return Edit(Span(span.start - blanks, span.end), "")


def _only_place(context: LabelContext, text_fault: TextFault) -> int | None:
    """Returns where an open bracket can be closed, if there is one place alone: nothing behind it
    but one name up to the end of the list. None where commas or brackets leave several."""
    lists = context.label.sections_of("declaration")
    within = (
        other.body for other in lists if other.body.start <= text_fault.span.start < other.body.end
    )
    end = next(within, Span(0, len(context.source.text))).end
    rest = context.source.text[text_fault.span.end : end].rstrip().rstrip(".")
    if not rest.strip() or re.search(r"[,;:.\n()\[\]{}]", rest):
        return None
    return text_fault.span.end + len(rest)


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
    material = any(adequacy.route == "material" for adequacy in context.label.adequacy)
    if not context.label.declaration and not material and is_whole(context):
        place = where(context, "declaration")
        yield lacking(context, place, Certainty.PROVEN, {}, "", "declaration")


def not_read(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a text of which nothing was read: it is empty, in a language that is not read, or no
    label at all."""
    label = context.label
    language = unread_language(label)
    known = any(ingredient.match for ingredient in context.entries)
    if language is None and (known or label.guarantees or label.adequacy or label.energy):
        return
    headed = label.declaration and not label.bare
    if language is None and (headed or label.additives or label.claims or label.waivers):
        return
    variant = "language" if language else ""
    if not variant and is_whole(context):
        return
    yield Observation(where(context), Certainty.PROVEN, {"language": language}, variant=variant)


#: What parts words of one line that belong together.
_BETWEEN = re.compile(r"[^\w\n]*")
_TOLD_ELSEWHERE = frozenset({"unknown", "additives"})


def unread_words(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds words that were read as nothing and may be nothing that is known; a part that they may
    be is missed by its own rule. Words under an unknown heading are told with it, and names of
    additives and claims are judged by their rules."""
    if context.quick or context.label.bare:
        return
    unread = [words for words in context.label.ledger.unread if not words.maybe]
    claims = [claim.span for claim in claims_of(context.label) if claim.kind] if unread else []
    spans: list[Span] = []
    for stretch in unread:
        span = stretch.span
        is_judged = any(span.start <= claim.start < span.end for claim in claims)
        if stretch.section in _TOLD_ELSEWHERE or is_judged:
            continue
        if spans and _BETWEEN.fullmatch(context.source.text, spans[-1].end, span.start):
            span = spans.pop().cover(span)
        spans.append(span)
    for span in spans:
        printed = one_line(context.source.slice(span))
        yield Observation(span, Certainty.PRACTICE, {"printed": printed})


def unknown_name(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds declared names that the catalogue does not know, and that are no known one misspelt.

    Names that are something like it are offered as remedies and never taken silently.
    """
    for ingredient in context.once(unknown):
        has_letters = any(map(str.isalpha, ingredient.name))
        if not has_letters or ingredient.component or ingredient.members:  # no name
            continue
        if near_name(context, ingredient) is not None:
            continue
        near = (
            context.catalogue.suggest(
                ingredient.name, market=context.market, language=context.language
            )
            if is_compared(context, ingredient)
            else []
        )
        yield Observation(
            ingredient.name_span,
            Certainty.PRACTICE,
            {"printed": ingredient.name, "near": listed(near, "or")},
            variant="near" if near else "",
            remedies=tuple(
                Remedy(f"Write `{name}`", (Edit(ingredient.name_span, name),)) for name in near
            ),
        )
