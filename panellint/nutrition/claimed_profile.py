"""A food against the nutrient profile that it has to meet by what its label says of it."""

from functools import partial

from panellint.catalogue.model import Range
from panellint.core.errors import ImpossibleFigure, MissingFigure
from panellint.core.units import convert
from panellint.nutrition import ranges, targets
from panellint.nutrition.adequacy import Adequacy, judge
from panellint.nutrition.bases import PARTS, dry_matter
from panellint.nutrition.bounds import left_open
from panellint.nutrition.profiles import (
    ALL_STAGES,
    DRY_MATTER,
    ProfileLimit,
    authority_of,
    is_under_fediaf,
    profile,
    stage_of,
)
from panellint.nutrition.statement import Box, NutritionInput

# AAFCO methods, 2014 text, doc page 3.
_BY_TRIAL = (
    "a food that feeding trials substantiate need meet neither the minima nor the maxima of the "
    "profile"
)


def judged(
    facts: NutritionInput, moisture: float | None, kcal_per_kg: float | None, widest: Box | None
) -> Adequacy:
    """Returns the food against its profile.

    `moisture` is in percent as fed, the energy as fed, `widest` what the printed figures alone
    leave of each part. Raises NotComputable where there is no profile to meet.
    """
    stage = stage_of(facts.stages)
    if stage is None and facts.complete and is_under_fediaf(facts.market):
        # FEDIAF 3.1: a complete food that names no stage is one for all.
        stage = ALL_STAGES
    if facts.complete is False:
        raise MissingFigure(
            "the food is not complete: the whole day's ration is to meet the profile"
        )
    if facts.species is None:
        raise MissingFigure("no species is stated", "species")
    if stage is None:
        raise MissingFigure("no life stage is stated", "life-stage")
    authority, edition = authority_of(facts.market)
    wet = facts.form.moisture_class
    claimed = profile(
        authority,
        facts.species,
        stage,
        edition,
        basis=None if kcal_per_kg else DRY_MATTER,
        food=None if wet is None else "wet" if wet == "wet" else "dry",
        large_size=facts.large_size,
    )
    judgement = judge(
        claimed,
        facts.printed,
        moisture=moisture,
        kcal_per_kg=kcal_per_kg,
        span_of=partial(_span_of, facts, widest),
    )
    return judgement._replace(notes=(*judgement.notes, _BY_TRIAL)) if facts.trial else judgement


def _span_of(facts: NutritionInput, widest: Box | None, limit: ProfileLimit) -> Range | None:
    """What every food within the printed figures holds of a nutrient in its dry matter."""
    bounds = facts.printed.get(limit.nutrient)
    if limit.basis != DRY_MATTER or bounds is None or widest is None:
        return None
    try:
        if limit.nutrient in PARTS:
            span = ranges.content_range(widest, limit.nutrient, targets.DRY_MATTER)
            return Range(*(convert(end, "%", limit.unit) for end in span))
        dry = ranges.dry_matter_of(widest)
        low, high = left_open(bounds, facts.market, limit.nutrient)
        least = dry_matter(convert(low, bounds.unit, limit.unit), 100 - dry.high)
        most = dry_matter(convert(high, bounds.unit, limit.unit), 100 - dry.low)
    except ImpossibleFigure:
        return None
    return Range(least, most)
