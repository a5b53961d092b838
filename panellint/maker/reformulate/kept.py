"""What a new formula must go on meeting: the profile's minima and maxima that hold today."""

from collections.abc import Iterator

from panellint.core.numbers import number
from panellint.core.units import convert
from panellint.label.statements import stages_in
from panellint.maker.formula import Formula
from panellint.maker.reconcile.adequacy import basis_of, judged, profile_of
from panellint.maker.reformulate.program import TargetRow
from panellint.maker.reformulate.targets import by_line
from panellint.nutrition.profiles import RATIO, stage_of
from panellint.rulepacks.data import data


def kept_rows(formula: Formula, market: str, species: str, stage: str) -> Iterator[TargetRow]:
    """Rows for each limit of the profile that the formula meets by estimate, with figures for all
    of its ingredients; and one that keeps dry matter in the mix.

    The toxic maxima of a profile are among its limits. Nothing of it where species or stage are
    not known, or the market has no profile.
    """
    least = float(data("data/minor")["least_dry_matter"]["percent"])
    dry = [100 - box.middle["moisture"] - least for box in formula.mixed.boxes]
    if sum(factor * float(c.share) for factor, c in zip(dry, formula.components, strict=True)) >= 0:
        words = f"dry matter at least {number(least)} % of the mix"
        yield TargetRow(by_line(formula, dry), words)
    profile = profile_of(market, species, stage_of(stages_in(stage)) if stage else None)
    for judged_limit in judged(formula, profile) if profile else ():
        limit, at_least = judged_limit.limit, judged_limit.side == "minimum"
        if limit.basis == RATIO or judged_limit.by_estimate is not True:
            continue
        basis = basis_of(limit)
        own, stated = (
            unit.replace("/1000 kcal", "/kg")
            for unit in (formula.content(limit.nutrient, basis).unit, limit.unit)
        )
        value = convert(judged_limit.line / judged_limit.scale, stated, own)
        surplus = formula.surplus(limit.nutrient, basis, value, at_least, False)
        side = "at least" if at_least else "at most"
        words = (
            f"{limit.nutrient.replace('-', ' ')} {side} {number(judged_limit.line)} {limit.unit}"
        )
        yield TargetRow(by_line(formula, surplus), f"{words} of the profile")
