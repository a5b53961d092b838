"""Guarantees beyond the mandatory ones, and figures where the list may hold none."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import TYPE_CHECKING

from panellint.analysis.nutrient_sources import sources
from panellint.core.findings import Certainty, Observation, Related
from panellint.nutrition.profiles import authority_of, profile
from panellint.rulepacks import parameters as takes

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.rulepacks.model import Rule

#: Stages whose profiles together name every nutrient that an authority knows of.
_STAGES = ("growth and reproduction", "maintenance")


def unmarked(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds guarantees of what no profile lists for the species, without mark and disclaimer."""
    if not context.species or not context.label.guarantees:
        return
    with_ = rule.parameters
    essential = _essential(*authority_of(context.market), context.species)
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
    said = with_.words("disclaimer").search(context.source.text) is not None
    for guarantee in unlisted:
        if said and guarantee.marks:
            yield Observation.met(guarantee.span)
            continue
        yield Observation(
            guarantee.name_span,
            Certainty.PROVEN,
            {"name": guarantee.printed, "species": context.species.capitalize()},
            variant="disclaimer" if guarantee.marks else "mark" if said else "",
        )


@cache
def _essential(authority: str, edition: str, species: str) -> frozenset[str]:
    """Returns every nutrient that an authority knows of for a species."""
    profiles = (profile(authority, species, stage, edition) for stage in _STAGES)
    return frozenset(limit.nutrient for one in profiles for limit in one.limits)


def without_source(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds guarantees of what no declared ingredient is known to hold."""
    with_ = rule.parameters
    nutrients = with_.texts("nutrients")
    for guarantee in context.label.guarantees:
        if guarantee.nutrient not in nutrients or not context.leaves:
            continue
        found = sources(context, [guarantee.nutrient], with_["by-kind"], with_["by-note"])
        if found.missing and not found.open_list:
            yield Observation(guarantee.name_span, Certainty.PRACTICE, {"name": guarantee.printed})


def percentages(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds percentages of ingredients inside a list that is to be without figures.

    One finding, at the first. A tail (“2 % or less of”) is no such figure.
    """
    found = [entry for entry in context.entries if entry.percent is not None and entry.name]
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
    "unmarked": takes.check(
        takes.words("disclaimer", "Words of the disclaimer."),
        takes.texts("also-essential", "Nutrients that stand in the profile under another name."),
        takes.texts("passed-over", "Nutrients that have a rule of their own."),
        variants=("disclaimer", "mark"),
    ),
    "without_source": takes.check(
        takes.texts("nutrients", "The guarantees that the rule is about."),
        takes.table(
            "by-kind",
            "Kinds of ingredient that hold a nutrient.",
            takes.texts("kinds", "Kinds of ingredient."),
            default={},
        ),
        takes.table(
            "by-note",
            "Words in names and notes that show a source of a nutrient.",
            takes.texts("notes", "Words."),
            default={},
        ),
    ),
    "percentages": takes.check(),
}
