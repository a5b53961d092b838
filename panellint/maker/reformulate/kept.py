"""What a new formula must go on meeting: the profile's minima and maxima that hold today."""

from __future__ import annotations

from collections.abc import Iterator

from panellint.core.errors import NotComputable
from panellint.core.numbers import number
from panellint.core.units import convert
from panellint.label.statements import stages_in
from panellint.maker.content import DRY_MATTER, ENERGY
from panellint.maker.formula import Formula
from panellint.maker.reformulate.program import TargetRow
from panellint.maker.reformulate.targets import by_line
from panellint.nutrition.nutrients import unit_of
from panellint.nutrition.profiles import DRY_MATTER as ON_DRY_MATTER
from panellint.nutrition.profiles import RATIO, ProfileLimit, authority_of, profile, stage_of
from panellint.rulepacks.data import data

_HAIR = 1e-9


def kept_rows(formula: Formula, market: str, species: str, stage: str) -> Iterator[TargetRow]:
    """Rows for each limit of the profile that the formula meets by estimate, with figures for all
    of its ingredients; and one that keeps dry matter in the mix.

    The toxic maxima of a profile are among its limits. Nothing of it where species or stage are
    not known, or the market has no profile.
    """
    least = float(data("data/minor")["least_dry_matter"]["percent"])
    dry = [100 - box.middle["moisture"] - least for box in formula.mixed.boxes]
    if sum(one * float(c.share) for one, c in zip(dry, formula.components, strict=True)) >= 0:
        words = f"dry matter at least {number(least)} % of the mix"
        yield TargetRow(by_line(formula, dry), words)
    found = stage_of(stages_in(stage)) if stage else None
    if not species or found is None:
        return
    authority, edition = authority_of(market)
    try:
        limits = profile(authority, species, found, edition).limits
    except NotComputable:
        return
    for limit in limits:
        row = _row(formula, limit)
        if row is not None:
            yield row


def _row(formula: Formula, limit: ProfileLimit) -> TargetRow | None:
    """The row of a limit that holds by estimate; None where it does not, or cannot be judged."""
    figure = limit.low if limit.low is not None else limit.high
    if limit.basis == RATIO or figure is None:
        return None
    basis = DRY_MATTER if limit.basis == ON_DRY_MATTER else ENERGY
    try:
        own = unit_of(limit.nutrient)
        content = formula.content(limit.nutrient, basis)
        value = figure * convert(
            1.0, *(one.replace("/1000 kcal", "/kg") for one in (limit.unit, content.unit))
        )
    except (NotComputable, KeyError):
        return None
    if content.unknown or not own:
        return None
    at_least = limit.low is not None
    surplus = formula.surplus(limit.nutrient, basis, value, at_least, False)
    total = sum(one * float(c.share) for one, c in zip(surplus, formula.components, strict=True))
    if total < -_HAIR:
        return None
    side = "at least" if at_least else "at most"
    name = limit.nutrient.replace("-", " ")
    return TargetRow(
        by_line(formula, surplus), f"{name} {side} {number(figure)} {limit.unit} of the profile"
    )
