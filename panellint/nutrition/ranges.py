"""How wide the truth can be: the parts of a food between bounds, together making the whole.

The six parts of a food lie in a box, each between a least and a most in percent as fed, and add
up to 100. Sums and ratios of sums of them are bounded exactly by `panellint.nutrition.mixture`.
"""

from collections.abc import Mapping

from panellint.catalogue.model import Range
from panellint.core.errors import ContradictoryFigures, ImpossibleFigure
from panellint.core.numbers import decimal
from panellint.nutrition.bases import PARTS
from panellint.nutrition.energy import factors
from panellint.nutrition.mixture import Box, Mixed, Terms
from panellint.nutrition.targets import AS_FED, DRY_MATTER, ENERGY_SHARE

_SLACK = 1e-9
_DRY = {part: 1.0 for part in PARTS if part != "moisture"}


def check_box(box: Mapping[str, Range]) -> None:
    """Raise ContradictoryFigures where no food fits the box.

    `excess` is by how much the parts miss the whole, in percentage points.
    """
    for part in PARTS:
        low, high = box[part]
        if low > high + _SLACK:
            raise ContradictoryFigures(
                f"{part} is at least {decimal(low)} % and at most {decimal(high)} %",
                part,
                excess=low - high,
            )
    least = sum([box[part].low for part in PARTS])
    most = sum([box[part].high for part in PARTS])
    if least > 100 + _SLACK:
        raise ContradictoryFigures(
            f"the parts are at least {decimal(least)} % together",
            *(part for part in PARTS if box[part].low > 0),
            excess=least - 100,
        )
    if most < 100 - _SLACK:
        raise ContradictoryFigures(
            f"the parts are at most {decimal(most)} % together", *PARTS, excess=100 - most
        )


def extremes(
    box: Mapping[str, Range],
    numerator: Mapping[str, float],
    denominator: Mapping[str, float] | None = None,
    times: float = 1.0,
) -> Range:
    """The least and most of a linear sum of the parts, or of the ratio of two such sums.

    The sums are weights by part, on parts in percent as fed; the result is multiplied by
    `times`. Where only the divisor can vanish the most is infinite. Raises ContradictoryFigures
    where no food fits, and ImpossibleFigure where the divisor vanishes everywhere.
    """
    check_box(box)
    food = Mixed([Box.of(box)], [1.0])
    over = [Terms(numerator)]
    if denominator is None:
        return Range(*(times * food.extreme(over, up) for up in (False, True)))
    under = [Terms(denominator)]
    if food.extreme(under, True) <= _SLACK:
        raise ImpossibleFigure("nothing is left to divide by")
    return Range(*(times * food.ratio(over, under, up) for up in (False, True)))


def content_range(box: Mapping[str, Range], part: str, basis: str = AS_FED) -> Range:
    """The range of one part on a basis of `panellint.nutrition.targets`: in percent as fed, of the
    dry matter or of the energy, or in grams per 1000 kcal, by modified Atwater."""
    if basis == AS_FED:
        return extremes(box, {part: 1.0})
    if basis == DRY_MATTER:
        return extremes(box, {part: 1.0}, _DRY, 100)
    weights = factors()
    if basis == ENERGY_SHARE:
        return extremes(box, {part: weights[part]}, weights, 100)
    # 1 % is 10 g/kg, and ten times the weighted sum is kcal/kg.
    return extremes(box, {part: 1.0}, weights, 1000)


def energy_range(box: Mapping[str, Range]) -> Range:
    """The range of energy in kcal/kg as fed, by modified Atwater."""
    return extremes(box, factors(), times=10)


def dry_matter_of(box: Mapping[str, Range]) -> Range:
    """The range of the dry matter itself, in percent as fed."""
    return extremes(box, _DRY)
