"""A food against the nutrient profile that it has to meet by what its label says of it: what the
figures show, and what they do not let one judge."""

from collections.abc import Callable, Mapping
from functools import partial
from math import inf
from typing import NamedTuple

from panellint.catalogue.model import Range
from panellint.core.errors import ImpossibleFigure, MissingFigure, NotComputable
from panellint.core.numbers import decimal
from panellint.core.units import convert, per_energy
from panellint.nutrition import targets
from panellint.nutrition.bases import PARTS, dry_matter
from panellint.nutrition.bounds import ContentBounds, left_open
from panellint.nutrition.mixture import content_range, dry_matter_of
from panellint.nutrition.profiles import (
    ALL_STAGES,
    DRY_MATTER,
    RATIO,
    RATIOS,
    Profile,
    ProfileLimit,
    authority_of,
    is_under_fediaf,
    notes,
    profile,
    rise,
    stage_of,
)
from panellint.nutrition.statement import Box, NutritionInput

#: Figures that are equal but for the rounding of binary fractions are equal.
_SAME = 1e-9

MEETS, MISSES, OPEN = "meets", "misses", "open"


class ProfileJudgement(NamedTuple):
    """One limit of a profile against what the label says.

    `side` is "minimum" or "maximum". `value` is the label's figure on the limit's basis, in the
    limit's unit, after the correction for energy density where `factor` is not 1; None where
    the label says nothing that bears on it. `verdict`: "meets", "misses" (a guarantee that
    allows less than the minimum, or more than the maximum), "open" (the figure says nothing of
    this side). `proven` is True where the verdict holds for every food that fits the label;
    `proof` finds out, when that is asked.
    """

    nutrient: str
    side: str
    verdict: str
    value: float | None
    limit: float
    unit: str
    basis: str
    bound: str
    factor: float
    proof: Callable[[], bool]
    legal: bool
    source: str
    confirmed: bool
    notes: tuple[str, ...] = ()

    @property
    def proven(self) -> bool:
        """Whether no food within the label's figures is otherwise."""
        return self.proof()

    @property
    def outside_percent(self) -> float:
        """By how much the figure misses its limit, percent of the limit; 0 where it does not."""
        if self.verdict != MISSES or self.value is None:
            return 0.0
        return inf if self.limit == 0 else 100 * abs(self.value - self.limit) / self.limit


class Ratio(NamedTuple):
    """One content over another: as printed, and what the bounds leave (None: no limit)."""

    value: float | None
    low: float | None
    high: float | None


class Adequacy(NamedTuple):
    """A food against a profile.

    `density` is the food's kcal/kg of dry matter, None where its energy is not known; `factor`
    what dry-matter figures were multiplied by.
    """

    profile: Profile
    judgements: tuple[ProfileJudgement, ...]
    density: float | None
    factor: float
    notes: tuple[str, ...]

    @property
    def unjudged(self) -> tuple[str, ...]:
        """The nutrients of the profile for which the label has no figure, in its order."""
        judged = {judgement.nutrient for judgement in self.judgements}
        nutrients = dict.fromkeys(limit.nutrient for limit in self.profile.limits)
        return tuple(nutrient for nutrient in nutrients if nutrient not in judged)


def ratio(over: ContentBounds, under: ContentBounds) -> Ratio:
    """One content over another, both told per the same weight.

    `value` is the ratio of the printed figures; `low` and `high` what their bounds leave.
    """
    scale = convert(1.0, over.unit, under.unit)
    top, bottom = over.point, under.point
    value = None if top is None or not bottom else top * scale / bottom
    low = None if over.low is None or not under.high else over.low * scale / under.high
    high = None if over.high is None or not under.low else over.high * scale / under.low
    return Ratio(value, low, high)


def density_factor(prof: Profile, density: float | None) -> float:
    """What dry-matter figures are multiplied by: presumed / density above the profile's line.

    At or below the line there is no correction (AAFCO methods, 2014 text, doc pages 17, 21).
    """
    if density is None or density <= prof.correct_above:
        return 1.0
    return prof.presumed / density


def judge(
    prof: Profile,
    contents: Mapping[str, ContentBounds],
    *,
    moisture: float | None,
    kcal_per_kg: float | None = None,
    span_of: Callable[[ProfileLimit], Range | None] | None = None,
) -> Adequacy:
    """Each limit of a profile against the contents that a label gives.

    `contents` are printed bounds by nutrient id, as fed; `moisture` in percent as fed (needed on
    dry matter), `kcal_per_kg` as fed (needed on energy). `span_of` may tell, for a limit, the
    range that every food of the label keeps to on the limit's basis and in its unit, before any
    correction; a verdict that holds over all of it is proven, and without it none is. Raises
    NotComputable where the basis of the profile cannot be reached.
    """
    dry = None if moisture is None else 100 - moisture
    density = None if kcal_per_kg is None or not dry else kcal_per_kg / dry * 100
    factor = density_factor(prof, density) if prof.basis == DRY_MATTER else 1.0
    judgements: list[ProfileJudgement] = []
    spoken_of = contents.keys() | RATIOS.keys()
    for limit in [limit for limit in prof.limits if limit.nutrient in spoken_of]:
        try:
            bounds = _ratio_bounds(limit, contents)
            if bounds is None:
                bounds = _on_basis(limit, contents, moisture, kcal_per_kg)
        except NotComputable:
            if limit.basis in (prof.basis, RATIO):
                raise
            continue
        if bounds is None:
            continue
        correct = 1.0 if limit.legal or limit.basis == RATIO else factor
        span = partial(span_of, limit) if span_of and correct == 1.0 else None
        judgements.append(_judge_one(prof, limit, bounds, correct, span, contents, moisture))
    return Adequacy(prof, tuple(judgements), density, factor, tuple(_notes(prof, density)))


def _notes(prof: Profile, density: float | None) -> list[str]:
    if (
        density is None
        or density >= prof.presumed
        or all("adult" in column for column in prof.columns)
    ):
        return []
    return [
        f"at {density:.0f} kcal/kg of dry matter the food holds less energy than the "
        f"{prof.presumed:.0f} that the profile presumes: for growth and reproduction the "
        "table alone does not show that it is adequate"
    ]


def _ratio_bounds(
    limit: ProfileLimit, contents: Mapping[str, ContentBounds]
) -> tuple[float | None, ...] | None:
    """Low, high and value of a ratio limit; None where it is no ratio or cannot be told."""
    if limit.nutrient not in RATIOS:
        return None
    over, under = RATIOS[limit.nutrient]
    if len(over) > 1 or not {over[0], under[0]} <= contents.keys():
        return None
    bounds = ratio(contents[over[0]], contents[under[0]])
    # Two minima say nothing of their ratio; the printed figures are then the best there is.
    low, high, value = bounds.low, bounds.high, bounds.value
    return (value if low is None else low), (value if high is None else high), value


def _on_basis(
    limit: ProfileLimit,
    contents: Mapping[str, ContentBounds],
    moisture: float | None,
    kcal_per_kg: float | None,
) -> tuple[float | None, ...] | None:
    """Low, high and printed figure of a content in the limit's unit; None without a figure."""
    bounds = contents.get(limit.nutrient)
    if bounds is None or limit.nutrient in RATIOS:
        return None

    def tell(value: float | None) -> float | None:
        if value is None:
            return None
        if limit.basis == DRY_MATTER:
            if moisture is None:
                raise NotComputable("the moisture is not known", "moisture")
            return dry_matter(convert(value, bounds.unit, limit.unit), moisture)
        if kcal_per_kg is None:
            raise NotComputable("the energy is not known", "energy")
        return per_energy(value, bounds.unit, kcal_per_kg, limit.unit)

    return tell(bounds.low), tell(bounds.high), tell(bounds.point)


def _judge_one(
    prof: Profile,
    limit: ProfileLimit,
    figures: tuple[float | None, ...],
    factor: float,
    span_of: Callable[[], Range | None] | None,
    contents: Mapping[str, ContentBounds],
    moisture: float | None,
) -> ProfileJudgement:
    low, high, value = (None if figure is None else figure * factor for figure in figures)
    minimum = limit.low is not None
    line = limit.low if limit.low is not None else limit.high
    assert line is not None
    remarks = list(notes(prof, limit.nutrient)) if minimum else []
    if limit.note:
        remarks.append(limit.note)
    if minimum:
        line, word = _risen(prof, limit, line, contents, moisture)
        remarks += [word] if word else []
    # Turned round, a maximum is a minimum: what the label assures stands against the line.
    assured, other, sign = (low, high, 1) if minimum else (high, low, -1)
    slack = _SAME * max(1.0, abs(line))
    if assured is not None and sign * (assured - line) >= -slack:
        verdict = MEETS
    elif other is not None and sign * (other - line) < -slack:
        verdict, assured = MISSES, other if assured is None else assured
    else:
        verdict = OPEN if assured is None else MISSES

    def proof() -> bool:
        span = span_of() if span_of and verdict != OPEN else None
        if span is None:
            return False
        worst, best = (span.low, span.high) if minimum else (span.high, span.low)
        if verdict == MEETS:
            return sign * (worst - line) >= -slack
        return sign * (best - line) < -slack

    bounds = contents.get(limit.nutrient)
    return ProfileJudgement(
        nutrient=limit.nutrient,
        side="minimum" if minimum else "maximum",
        verdict=verdict,
        value=value if assured is None else assured,
        limit=line,
        unit=limit.unit,
        basis=limit.basis,
        bound="" if bounds is None else bounds.bound,
        factor=factor,
        proof=proof,
        legal=limit.legal,
        source=f"{prof.title}; {limit.source}",
        confirmed=limit.confirmed,
        notes=tuple(remarks),
    )


def _risen(
    prof: Profile,
    limit: ProfileLimit,
    line: float,
    contents: Mapping[str, ContentBounds],
    moisture: float | None,
) -> tuple[float, str]:
    """A minimum raised for the food's own protein (FEDIAF, table VII-13), and words for it."""
    risen = rise(prof, limit.nutrient)
    if risen is None or moisture is None:
        return line, ""
    other, base, by = risen
    bounds = contents.get(other)
    if bounds is None or bounds.point is None:
        return line, ""
    above = dry_matter(convert(bounds.point, bounds.unit, "%"), moisture) - base
    if above <= 0:
        return line, ""
    # Told per 1000 kcal, the rise per gram stays and the grams are 2.5 times those per 100 g.
    scale = 1.0 if limit.basis == DRY_MATTER else 1000 / (prof.presumed / 10)
    return line + by * above * scale, (
        f"raised from {decimal(line)} for {decimal(above)} % more protein in the dry matter "
        f"than {decimal(base)} %"
    )


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
            span = content_range(widest, limit.nutrient, targets.DRY_MATTER)
            return Range(*(convert(end, "%", limit.unit) for end in span))
        dry = dry_matter_of(widest)
        low, high = left_open(bounds, facts.market, limit.nutrient)
        least = dry_matter(convert(low, bounds.unit, limit.unit), 100 - dry.high)
        most = dry_matter(convert(high, bounds.unit, limit.unit), 100 - dry.low)
    except ImpossibleFigure:
        return None
    return Range(least, most)
