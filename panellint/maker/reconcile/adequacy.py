"""The batch against the nutrient profile that its label claims, nutrient by nutrient."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite
from typing import Any

from panellint.analysis.context import LabelContext
from panellint.core.errors import NotComputable
from panellint.core.findings import Observation
from panellint.core.units import convert
from panellint.maker.component import DRY_MATTER, ENERGY, BatchContent
from panellint.maker.context import weighed
from panellint.maker.formula import Formula
from panellint.maker.reconcile.guarantees import HAIR, certainty_of, rests_on, span
from panellint.nutrition.adequacy import density_factor
from panellint.nutrition.profiles import DRY_MATTER as ON_DRY_MATTER
from panellint.nutrition.profiles import (
    RATIO,
    RATIOS,
    UNREAD,
    Profile,
    ProfileLimit,
    authority_of,
    profile,
    stage_of,
)
from panellint.rulepacks.model import Rule


@dataclass(frozen=True, slots=True)
class JudgedLimit:
    """One limit of a nutrient profile against the batch. `verdict` is meets, misses, open or
    unknown (no figure for the ingredients in `unknown`); `scale` is the correction of contents for
    energy density."""

    limit: ProfileLimit
    side: str
    line: float
    low: float
    high: float
    middle: float
    verdict: str
    unknown: tuple[str, ...]
    literature: bool
    scale: float = 1.0

    @property
    def by_estimate(self) -> bool | None:
        """Whether the estimate is on the right side; None where there is none."""
        if self.unknown or not isfinite(self.middle):
            return None
        return self.middle >= self.line if self.side == "minimum" else self.middle <= self.line


def adequacy_of(context: LabelContext) -> tuple[Profile, tuple[JudgedLimit, ...]] | None:
    """The batch against the profile of its market, species and stage, nutrient by nutrient;
    None where no profile applies."""
    large = next((a.large_size for a in context.label.adequacy if a.large_size), None)
    profile = profile_of(
        context.market,
        context.species,
        stage_of(context.stages),
        food={"wet": "wet", "dry": "dry"}.get(context.form.moisture_class or ""),
        large_size=None if large is None else large == "included",
    )
    return None if profile is None else (profile, tuple(judged(weighed(context).formula, profile)))


def profile_of(market: str, species: str | None, stage: str | None, **more: Any) -> Profile | None:
    """Returns the nutrient profile of a market, species and stage; None where none applies."""
    if not species or stage is None:
        return None
    authority, edition = authority_of(market)
    try:
        return profile(authority, species, stage, edition, **more)
    except NotComputable:
        return None


def judged(formula: Formula, prof: Profile) -> Iterator[JudgedLimit]:
    """Every limit of a profile of which the content can be told, against a formula."""
    factor = 1.0
    if prof.basis == ON_DRY_MATTER:
        dry = 100 - formula.content("moisture").middle
        if dry > 0:
            factor = density_factor(prof, formula.energy().middle / dry * 100)
    for limit in prof.limits:
        content = _on(formula, limit)
        if content is None:
            continue
        scale = 1.0 if limit.legal or limit.basis == RATIO else factor
        low, high, middle = (scale * end for end in (content.low, content.high, content.middle))
        minimum = limit.low is not None
        line = limit.low if limit.low is not None else limit.high
        assert line is not None
        slack = HAIR * max(1.0, abs(line))
        if (low >= line - slack) if minimum else (high <= line + slack):
            verdict = "meets"
        elif (high < line - slack) if minimum else (low > line + slack):
            verdict = "misses"
        else:
            verdict = "unknown" if content.unknown else "open"
        yield JudgedLimit(
            limit, "minimum" if minimum else "maximum", line, low, high, middle, verdict,
            content.unknown, content.literature, scale,
        )  # fmt: skip


def _on(formula: Formula, limit: ProfileLimit) -> BatchContent | None:
    """A content on a limit's basis and in its unit; None where it cannot be told."""
    if limit.nutrient in RATIOS:
        over, under = RATIOS[limit.nutrient]
        if len(over) > 1:
            return None
        top, bottom = formula.content(over[0]), formula.content(under[0])
        scale = convert(1.0, top.unit, bottom.unit)
        return BatchContent(
            scale * top.low / bottom.high if isfinite(bottom.high) and bottom.high else 0.0,
            scale * top.high / bottom.low if bottom.low else float("inf"),
            scale * top.middle / bottom.middle if bottom.middle else 0.0,
            "",
            tuple(dict.fromkeys((*top.unknown, *bottom.unknown))),
            top.literature or bottom.literature,
        )
    try:
        return formula.content(limit.nutrient, basis_of(limit)).in_unit(limit.unit)
    except (NotComputable, KeyError):
        return None


def basis_of(limit: ProfileLimit) -> str:
    """Returns the basis of a limit as a formula calls it."""
    return DRY_MATTER if limit.basis == ON_DRY_MATTER else ENERGY


def adequacy(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """A limit of the profile that the statement claims and the batch misses.

    Only where the label calls the food complete by formulation: `routes`.
    """
    if not weighed(context).finished_known:
        return
    routes = set(rule.parameters.texts("routes"))
    statement = next((a for a in context.label.adequacy if a.route in routes), None)
    judged_by = adequacy_of(context) if statement else None
    if statement is None or judged_by is None:
        return
    prof, limits = judged_by
    for limit in limits:
        misses = limit.verdict == "misses"
        if not misses and (limit.verdict != "open" or limit.by_estimate is not False):
            continue
        yield Observation(
            statement.span,
            certainty_of(misses, limit.literature or not limit.limit.confirmed),
            {
                "nutrient": limit.limit.nutrient.replace("-", " "),
                "side": limit.side,
                "limit": limit.line,
                "unit": "to 1" if limit.limit.basis == RATIO else limit.limit.unit,
                "basis": "weight" if limit.limit.basis == RATIO else limit.limit.basis,
                "range": span(limit.low, limit.high, 4),
                "estimate": limit.middle,
                "profile": prof.title + ("" if limit.limit.confirmed else UNREAD),
            },
            variant="" if misses else "estimate",
            rests_on=rests_on(limit.literature),
            proof=(f"{prof.title}; {limit.limit.source}",),
        )
