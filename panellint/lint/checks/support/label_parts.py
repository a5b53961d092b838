"""The parts of a label: what is there, and where to point at what is not; and what several checks
say alike: certainty from premises, places that belong to a finding, and what printed percentages,
or an ingredient of little weight, prove of the order of a list."""

from collections.abc import Collection, Iterable, Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.analysis.nutrient_sources import names_of
from panellint.core.findings import Certainty, Observation, Related, State
from panellint.core.once import once
from panellint.core.phrases import listed
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.core.wording import regex
from panellint.ingredients.model import Ingredient
from panellint.label.evidence import could_hold, hinted
from panellint.label.kinds import kinds
from panellint.label.languages import unread_language
from panellint.label.ledger import Fate
from panellint.label.model import Adequacy, Bound, PercentOf
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule
from panellint.shares.premises import LABEL_ALONE, Premise


@once
def is_whole(context: LabelContext) -> bool:
    """Returns False for a declaration alone, which owes nothing that a whole label owes, and for a
    label in a language that is not read, of which nothing can be missed."""
    if unread_language(context.label) is not None:
        return False
    return not context.label.bare and any(
        section.kind not in kinds("no-whole-label") and (section.text or section.heading.end)
        for section in context.label.sections
    )


def is_doubtful(context: LabelContext, rule: Rule) -> bool:
    """Returns whether the label is of a use (`doubtful-uses`) of which the law is not settled."""
    return not set(rule.parameters.texts("doubtful-uses")).isdisjoint(context.uses)


def has_small_print(context: LabelContext) -> bool:
    """Returns False for a bare declaration, and for a draft of the rest of a label."""
    return is_whole(context) and any(context.sections_of(kind) for kind in kinds("of-a-pack"))


@once
def is_of_a_page(context: LabelContext) -> bool:
    """Returns whether the text is said to be read off something else than the pack, or holds words
    of a shop's page."""
    words = data("words/uses")
    if source := context.fact("source"):
        return regex(*words["not-the-pack"]).search(source) is not None
    shop = regex(*(rf"\b(?:{phrase})\b" for own in words["shop-page"].values() for phrase in own))
    return shop.search(context.source.text) is not None


def stated(context: LabelContext, routes: Collection[str]) -> Adequacy | None:
    """Returns the first adequacy statement of such kinds; None where there is none."""
    return next((adequacy for adequacy in context.label.adequacy if adequacy.route in routes), None)


def lacking(
    context: LabelContext,
    place: Span,
    certainty: Certainty,
    values: Mapping[str, object] = MappingProxyType({}),
    variant: str = "",
    *parts: str,
) -> Observation:
    """Returns that a part is missing; or, where words may be it (one of `parts`, kinds of section),
    the variant “maybe here” at these; or, where lines were not understood that could hold it, that
    it was not seen, with their numbers. A variant says already what stands in its place."""
    for part in parts:
        unread = maybe_here(context, part) or (None if variant else perhaps_here(context, part))
        if unread is not None:
            values = {**values, **unread.values}
            return unread._replace(certainty=Certainty.PRACTICE, values=values)
    lines = (
        []
        if variant
        else sorted(
            {
                context.source.position(stretch.span.start).line
                for stretch in context.label.ledger.unread
                if any(could_hold(context.source.slice(stretch.span), part) for part in parts)
            }
        )
    )
    if lines:
        noun = "line" if len(lines) == 1 else "lines"
        values = {**values, "where": f"{noun} {listed(map(str, lines))}"}
        return Observation(place, Certainty.PRACTICE, values, "not seen", state=State.NOT_READ)
    return Observation(place, certainty, values, variant, state=State.MISSING)


@once
def declaration_text(context: LabelContext) -> str:
    """Returns the declaration as printed, without its heading."""
    return context.source.slice(context.label.declaration_span)


def where(context: LabelContext, *kinds: str) -> Span:
    """Returns the heading of the first section of those kinds, else the product's name, else the
    first words of the text."""
    label = context.label
    for kind in kinds:
        for section in context.sections_of(kind):
            span = section.heading if section.heading.end > section.heading.start else section.body
            return _first_line(context, span)
    if label.product_name:
        return label.product_name_span
    text = context.source.text
    start = len(text) - len(text.lstrip("\ufeff \t\r\n"))
    return _first_line(context, Span(start, len(text.rstrip())))


def maybe_here(context: LabelContext, part: str) -> Observation | None:
    """Returns what is said of a missing part (a kind of section, or the id of a nutrient) where
    words that could not be read may be it; None where none may."""
    unread = next(iter(context.label.ledger.maybe(part)), None)
    return None if unread is None else not_read(context, unread.span)


def perhaps_here(context: LabelContext, part: str) -> Observation | None:
    """Returns what is said of a missing part (a kind of section) where a word of its kind stands in
    what was read as something else, or a figure in what was not read; None where none does."""
    for fate, span, kind, section, _ in context.label.ledger.stretches:
        loose = fate is not Fate.READ or (kind == "heading" and section != part)
        figures = fate is Fate.UNREAD or kind in kinds("figures-not-read")
        named = loose or kind == "product-name"
        words = context.source.slice(span)
        if (loose or figures) and hinted(words, part, figures=figures, phrases=named):
            return not_read(context, span)._replace(certainty=Certainty.PRACTICE)
    return None


def not_read(context: LabelContext, span: Span) -> Observation:
    """Returns that words may be what is asked, and could not be read as that."""
    values = {"printed": one_line(context.source.slice(span))}
    return Observation(span, Certainty.POSSIBLE, values, variant="maybe here", state=State.NOT_READ)


def maybe_nutrients(
    context: LabelContext, missing: Mapping[str, str]
) -> dict[tuple[str, ...], Observation]:
    """Returns what is said of unread words that may be missing nutrients, by the ids of those:
    words like their names, or a figure of the analysis that has a name nobody knows. `missing` has
    what the rule calls each."""
    nutrients: dict[Span, list[str]] = {}
    seen: dict[Span, Observation] = {}
    for nutrient in missing:
        if unread := maybe_here(context, nutrient) or _unnamed(context):
            nutrients.setdefault(unread.span, []).append(nutrient)
            seen[unread.span] = unread
    return {
        tuple(ids): seen[span]._replace(
            values={
                **seen[span].values,
                "missing": listed((missing[id] for id in ids), "or"),
                "count": len(ids),
            }
        )
        for span, ids in nutrients.items()
    }


def name_of(nutrient: str) -> str:
    """Returns what a nutrient is called on labels."""
    return next(names_of([nutrient]), nutrient)


@once
def _unnamed(context: LabelContext) -> Observation | None:
    """Returns what is said of a figure of the analysis with an unknown name; None without one."""
    for stretch in context.label.ledger.unread:
        in_analysis = stretch.section == "guarantees" and not stretch.maybe
        if in_analysis and "%" in context.source.slice(stretch.span):
            return not_read(context, stretch.span)
    return None


def _first_line(context: LabelContext, span: Span) -> Span:
    """Returns the first line of a stretch, without white space around it."""
    words = context.source.slice(span)
    lead = len(words) - len(words.lstrip())
    line = words[lead:].splitlines()[0] if words.strip() else ""
    return Span(span.start + lead, span.start + lead + len(line.rstrip()))


def certainty_of(rests_on: Iterable[Premise]) -> Certainty:
    """Returns PROVEN where the label's own words are enough, POSSIBLE where literature ranges,
    guarantees or the water that processing takes out are needed as well."""
    return Certainty.PROVEN if LABEL_ALONE.issuperset(rests_on) else Certainty.POSSIBLE


def declared_here(entries: Iterable[Ingredient], words: str = "") -> tuple[Related, ...]:
    """Returns the places of declared ingredients, in the order given, each once."""
    seen = dict.fromkeys((entry.name_span, entry.name) for entry in entries)
    return tuple(Related(span, f"{name} {words or 'is declared here'}") for span, name in seen)


def are(count: int) -> str:
    """Returns “is” or “are”."""
    return "is" if count == 1 else "are"


class Between(NamedTuple):
    """What printed figures leave, in percent: rounding to half a unit is allowed for."""

    low: Decimal
    high: Decimal


def between(entries: Iterable[Ingredient], of: PercentOf = PercentOf.FOOD) -> Between | None:
    """Returns the sum of printed percentages of one base; None where an entry has none or it is
    vague."""
    low = high = Decimal(0)
    for entry in entries:
        printed = entry.percent
        if printed is None or printed.of is not of or printed.bound is Bound.ABOUT:
            return None
        low += printed.least or Decimal(0)
        high += Decimal(100) if printed.most is None else printed.most
    return Between(low, high)


def heavier_by_figures(entries: Iterable[Ingredient], other: Iterable[Ingredient]) -> bool:
    """Returns True where printed figures alone prove that `one` weighs more than `other`."""
    first, second = between(entries), between(other)
    return first is not None and second is not None and first.low > second.high


def marker_before(
    context: LabelContext, entries: Collection[Ingredient], marks: Collection[str]
) -> Ingredient | None:
    """Returns the first entry of which there is never much (salt), where all of the given ones
    stand behind it in order; None where they do not."""
    in_order = [
        ingredient for ingredient in context.declaration.ingredients if ingredient.at_most is None
    ]
    place = next((n for n, ingredient in enumerate(in_order) if ingredient.known_as in marks), None)
    if place is None or not entries:
        return None
    later = {ingredient.path[0] for ingredient in in_order[place + 1 :] if not ingredient.any_of}
    return in_order[place] if all(ingredient.path[0] in later for ingredient in entries) else None
