"""The percentages that are claimed in free words, held against all formulas that fit."""

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cache

from panellint.analysis.context import LabelContext
from panellint.analysis.promised_shares import Backed
from panellint.catalogue.model import CatalogueEntry
from panellint.core.findings import Observation
from panellint.core.numbers import first_decimal
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.core.wording import spaced
from panellint.ingredients.mentions import Mention, mentions
from panellint.ingredients.model import Ingredient
from panellint.ingredients.product_name import Named, Promise
from panellint.label.claims import absence_opens, any_of
from panellint.lint.checks.named_share import judged, least_of
from panellint.lint.checks.support.free_text import free_text
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule
from panellint.shares.model import Base, Condition

#: So far behind a figure the names that it is of reach.
_CLAIM = 80


@cache
def _joints() -> tuple[re.Pattern[str], re.Pattern[str]]:
    """What stands between two names that a figure is of, and what joins one more."""
    joint = rf"(?:&|\+|/|(?:{any_of('absence', 'joints')})\b)"
    return (
        re.compile(rf"\s*(?:,|(?:,\s*)?{joint})\s*", re.IGNORECASE),
        re.compile(rf",?\s*{joint}\s*", re.IGNORECASE),
    )


def share(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a percentage claimed in free words (“70 % meat”) above the most of all entries that may
    be meant. Where one of them is dried, the figure may be of the fresh material: nothing is said.
    """
    with_, figures = rule.parameters, re.compile(spaced(data("words/names")["percent"]))
    name = context.label.product_name.lower()
    for stretch in free_text(context):
        for figure in figures.finditer(stretch.text):
            percent = first_decimal(figure["figure"])
            claimed = _claimed(context, stretch.text, figure.end())
            if not claimed or percent is None or not 0 < percent < 100:
                continue
            known, end = claimed[-1].match.known, claimed[-1].span[1]
            repeats = one_line(stretch.text[figure.start() : end]).lower() in name
            if repeats and not stretch.in_name:
                continue  # it is judged there
            other = with_.words("not-before")
            if other.search(stretch.text[figure.end() : end]):
                continue  # "85 % animal protein" is of the protein
            entries = _that_may_be(context, [mention.match.known for mention in claimed])
            states = {entry.match.known.state for entry in entries if entry.match}
            if (
                known.kind in with_.texts("kinds")
                and not other.match(stretch.text[end : end + _CLAIM].lstrip())
                and entries
                and states.isdisjoint(with_.texts("dried"))
            ):
                place = Span(stretch.start + figure.start(), stretch.start + end)
                named = claimed[0]
                support = [Backed(Named(named.name, place, named.match), entries)]
                promise = Promise("", "", named.name, place, (support[0].named,), percent)
                paths = {entry.path for entry in entries}
                weights = {path: 1 for path in paths if path[:-1] not in paths}  # a group once
                sets = [[Condition(weights, least_of(percent), Base.LISTED, named.name)]]
                values = {
                    "claimed": one_line(context.source.slice(place)),
                    "may": [entry.name for entry in entries],
                }
                yield from judged(context, promise, support, sets, (), values)


def _claimed(context: LabelContext, text: str, start: int) -> list[Mention]:
    """Returns the names that a figure is of: that behind it, and those joined to it ("beef, organs
    and bone"); none where one that is not known is joined with "and"."""
    (joined, one_more), claimed = _joints(), list[Mention]()
    for mention in mentions(text, context.lookup, start, start + _CLAIM):
        between = text[start : mention.span[0]]
        if joined.fullmatch(between) is None if claimed else between.strip():
            break
        claimed.append(mention)
        start = mention.span[1]
    more = one_more.match(text, start)
    return [] if more and not absence_opens().match(text, more.end()) else claimed


def _that_may_be(
    context: LabelContext, claimed: Sequence[CatalogueEntry]
) -> tuple[Ingredient, ...]:
    """Returns the entries that a claim may count: no category where what is claimed stands in the
    list with its figures ("fish and fish derivatives (salmon 4 %)")."""
    entries = tuple(
        entry for entry in context.entries if any(_may_be(known, entry) for known in claimed)
    )
    named = [e for e in entries if e.match and e.match.known.kind != "category"]
    if any(known.kind == "category" or known.id in _generic() for known in claimed):
        named = []
    if not named or not all(entry.percent for entry in named):
        return entries
    return tuple(entry for entry in entries if entry in named or entry.match is None)


def _generic() -> Mapping[str, object]:
    generic: Mapping[str, object] = data("words/names")["generic"]
    return generic


def _may_be(known: CatalogueEntry, entry: Ingredient) -> bool:
    """Returns whether a claim may count an entry: all of an origin for what stands for many things,
    else what is of the same animal or plant, or of unknown name."""
    if entry.match is None:
        return True
    own = entry.match.known
    wide = known.id in _generic() or own.kind == "category"
    alike = own.id == known.id or known.species in own.classes or own.species in known.classes
    return own.origin == known.origin and (wide or alike)
