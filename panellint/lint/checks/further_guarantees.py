"""Guarantees behind the mandatory lines: their order, units, bounds and disclaimer, and the pair of
starch and sugars."""

import re
from collections.abc import Iterator, Mapping
from functools import cache

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation, Related
from panellint.core.units import units_of
from panellint.label.model import Bound, Guarantee
from panellint.nutrition.profiles import authority_of, profile
from panellint.rulepacks.model import Rule

#: Stages whose profiles together name every nutrient that an authority knows of.
_STAGES = ("growth and reproduction", "maintenance")
#: A line, and the next where that is a bracket.
_LINE = re.compile(r"[^\n]*(?:\n[ \t]*\([^\n]*)?")


def _profile_of(context: LabelContext) -> Mapping[str, tuple[int, str]]:
    """Returns the nutrients of the species' profile with their place in it and their unit there."""
    return _places(*authority_of(context.market), context.species) if context.species else {}


@cache
def _places(authority: str, edition: str, species: str) -> Mapping[str, tuple[int, str]]:
    places: dict[str, tuple[int, str]] = {}
    for stage in _STAGES:
        for limit in profile(authority, species, stage, edition).limits:
            places.setdefault(limit.nutrient, (len(places), limit.unit))
    return places


def _further(context: LabelContext, rule: Rule) -> list[Guarantee]:
    """Returns the guarantees that a rule is about: those that are not mandatory lines
    (`passed-over`)."""
    over = rule.parameters.texts("passed-over")
    return [
        guarantee
        for guarantee in context.label.guarantees
        if guarantee.nutrient and guarantee.nutrient not in over
    ]


def order(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds the first further guarantee that does not stand where the profile has it: in the
    order of the profile, and before what is in no profile."""
    places = _profile_of(context)
    if not places:
        return
    before: Guarantee | None = None
    highest = -1
    for guarantee in _further(context, rule):
        place, _ = places.get(guarantee.nutrient or "", (len(places), ""))
        if before is not None and place < highest:
            beyond = highest == len(places)
            yield Observation(
                guarantee.name_span,
                Certainty.PROVEN,
                {"name": guarantee.printed, "before": before.printed},
                variant="beyond" if beyond else "",
                related=(Related(before.name_span, f"{before.printed} stands here"),),
            )
            return
        if place >= highest:
            highest, before = place, guarantee
    if before is not None:
        yield Observation.met(before.span)


def units(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds further guarantees in another unit than the profile's."""
    places = _profile_of(context)
    for guarantee in _further(context, rule):
        _, unit = places.get(guarantee.nutrient or "", (0, ""))
        if unit == guarantee.unit:
            yield Observation.met(guarantee.span)
        elif unit:
            yield Observation(
                guarantee.value_span,
                Certainty.PROVEN,
                {"name": guarantee.printed, "unit": guarantee.unit, "wanted": unit},
            )


def bounds(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds further guarantees that say neither minimum nor maximum, or the most alone of what a
    buyer is promised the least of (`minimums`)."""
    further = _further(context, rule)
    floors = {one.nutrient for one in further if one.bound is Bound.MIN}
    for guarantee in further:
        wanted = guarantee.nutrient in rule.parameters.texts("minimums")
        if wanted and guarantee.bound is Bound.MAX and guarantee.nutrient not in floors:
            values = {"name": guarantee.printed}
            yield Observation(guarantee.span, Certainty.PROVEN, values, variant="maximum")
        elif guarantee.bound_printed:
            yield Observation.met(guarantee.span)
        else:
            values = {
                "name": guarantee.printed,
                "printed": context.source.slice(guarantee.value_span),
            }
            yield Observation(guarantee.value_span, Certainty.PROVEN, values)


def by_activity(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds guarantees of what is alive or acts (microorganisms, enzymes) in a unit that does not
    count it, or without the species that it is of."""
    with_ = rule.parameters
    counted = tuple(unit for name in with_.texts("units") for unit in units_of(name))
    for guarantee in context.label.guarantees:
        if guarantee.nutrient != with_.text("nutrient"):
            continue
        line = _LINE.match(context.label.page.text, guarantee.span.start)
        values = {"name": guarantee.printed, "unit": guarantee.unit}
        if not guarantee.unit.startswith(counted):
            yield Observation(guarantee.value_span, Certainty.PROVEN, values, variant="unit")
        elif not line or not with_.words("species").search(line.group()):
            yield Observation(guarantee.name_span, Certainty.PRACTICE, values)
        else:
            yield Observation.met(guarantee.span)


def pair(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds one of two guarantees that are given both or not at all, as maxima."""
    both = rule.parameters.texts("nutrients")
    given = {name: context.guarantee(name) for name in both}
    stand = [item for item in given.values() if item is not None]
    if not stand:
        return
    if len(stand) < len(both):
        yield Observation(
            stand[0].name_span,
            Certainty.PROVEN,
            {
                "name": stand[0].printed,
                "other": next(n for n, half in given.items() if half is None),
            },
        )
    elif all(half.bound is Bound.MAX for half in stand):
        yield Observation.met(stand[0].span)
    for guarantee in stand:
        if guarantee.bound is not Bound.MAX:
            yield Observation(
                guarantee.value_span, Certainty.PROVEN, {"name": guarantee.printed}, variant="bound"
            )


def unmarked(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds guarantees of what no profile lists for the species, without mark and disclaimer."""
    if not context.species or not context.label.guarantees:
        return
    with_ = rule.parameters
    essential = _profile_of(context)
    also, over = with_.texts("also-essential"), with_.texts("passed-over")
    unlisted = [
        guarantee
        for guarantee in context.label.guarantees
        if guarantee.nutrient is not None
        and guarantee.nutrient not in essential
        and guarantee.nutrient not in also
        and guarantee.nutrient not in over
    ]
    if not unlisted:
        return
    disclaimed = with_.words("disclaimer").search(context.source.text) is not None
    for guarantee in unlisted:
        if disclaimed and guarantee.marks:
            yield Observation.met(guarantee.span)
            continue
        yield Observation(
            guarantee.name_span,
            Certainty.PROVEN,
            {"name": guarantee.printed, "species": context.species.capitalize()},
            variant="disclaimer" if guarantee.marks else "mark" if disclaimed else "",
        )
