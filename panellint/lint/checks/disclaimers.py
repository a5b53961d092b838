"""Guarantees beyond the mandatory ones, and figures where the list may hold none."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import TYPE_CHECKING

from panellint.analysis.nutrient_sources import sources
from panellint.core.findings import Certainty, Observation, Related
from panellint.nutrition.profiles import authority_of, profile
from panellint.rulepacks import parameters

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.rulepacks.model import Rule

#: Stages whose profiles together name every nutrient that an authority knows of.
_STAGES = ("growth and reproduction", "maintenance")


def unmarked(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """A guarantee of what the species' profile does not list, without a mark and disclaimer.

    `disclaimer` are regular expressions of its words; `also-essential` are nutrient ids that
    stand in the profile under another name; `passed-over` such that have a rule of their own.
    """
    if not context.species or not context.label.guarantees:
        return
    with_ = rule.parameters
    essential = _essential(*authority_of(context.market), context.species)
    also, over = with_.texts("also-essential"), with_.texts("passed-over")
    unlisted = [
        one
        for one in context.label.guarantees
        if one.nutrient is not None
        and one.nutrient not in essential
        and one.nutrient not in also
        and one.nutrient not in over
    ]
    if not unlisted:
        return
    said = with_.words("disclaimer").search(context.source.text) is not None
    for one in unlisted:
        if said and one.marks:
            continue
        yield Observation(
            one.name_span,
            Certainty.PROVEN,
            {"name": one.printed, "species": context.species.capitalize()},
            variant="disclaimer" if one.marks else "mark" if said else "",
        )


@cache
def _essential(authority: str, edition: str, species: str) -> frozenset[str]:
    """Every nutrient that an authority knows of for a species."""
    profiles = (profile(authority, species, stage, edition) for stage in _STAGES)
    return frozenset(limit.nutrient for one in profiles for limit in one.limits)


def without_source(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """A guarantee of something (`nutrients`) that no declared ingredient is known to hold.

    `by-kind` and `by-note` as for `nutrient-sources`.
    """
    with_ = rule.parameters
    nutrients = with_.texts("nutrients")
    for one in context.label.guarantees:
        if one.nutrient not in nutrients or not context.leaves:
            continue
        found = sources(context, [one.nutrient], with_["by-kind"], with_["by-note"])
        if found.missing and not found.open_list:
            yield Observation(one.name_span, Certainty.PRACTICE, {"name": one.printed})


def percentages(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """A percentage of an ingredient inside a list that is to be without figures.

    One finding, at the first. A tail ("2 % or less of") is no such figure.
    """
    found = [one for one in context.entries if one.percent is not None and one.name]
    if found:
        first = found[0]
        assert first.percent is not None
        yield Observation(
            first.percent.span,
            Certainty.PROVEN,
            {"name": first.name, "percent": first.percent.value, "count": len(found)},
            related=tuple(
                Related(one.percent.span, f"{one.name} has one too")
                for one in found[1:]
                if one.percent is not None
            ),
        )


DECLARATIONS = {
    "unmarked": parameters.Declaration(
        (
            parameters.words("disclaimer", "Words of the disclaimer."),
            parameters.texts(
                "also-essential", "Nutrients that stand in the profile under another name."
            ),
            parameters.texts("passed-over", "Nutrients that have a rule of their own."),
        ),
        ("disclaimer", "mark"),
    ),
    "without_source": parameters.Declaration(
        (
            parameters.texts("nutrients", "The guarantees that the rule is about."),
            parameters.table(
                "by-kind",
                "Kinds of ingredient that hold a nutrient.",
                parameters.texts("kinds", "Kinds of ingredient."),
                default={},
            ),
            parameters.table(
                "by-note",
                "Words in names and notes that show a source of a nutrient.",
                parameters.texts("notes", "Words."),
                default={},
            ),
        )
    ),
    "percentages": parameters.Declaration(),
}
