"""How wide the truth can be: the parts of a food between bounds, together making the whole.

The six parts of a food lie in a box, each between a least and a most in percent as fed, and add
up to 100. A ratio of two linear sums of them is largest and smallest at a corner of that
polytope, and a corner has all parts but one at a bound. So every range here is exact. Of a
linear sum the corner is plain: what counts most is taken first, as far as the whole goes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from itertools import product

from panellint.catalogue.model import Range
from panellint.core.errors import ContradictoryFigures, ImpossibleFigure
from panellint.core.numbers import decimal
from panellint.nutrition.bases import PARTS
from panellint.nutrition.energy import MODIFIED_ATWATER, factors

_SLACK = 1e-9
_PLACE = {part: place for place, part in enumerate(PARTS)}


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


def corners(box: Mapping[str, Range]) -> Iterator[tuple[float, ...]]:
    """The corners of the polytope: parts in the order of PARTS, percent as fed."""
    key = tuple((float(box[part].low), float(box[part].high)) for part in PARTS)
    return iter(_corners(key))


@lru_cache(maxsize=512)
def _corners(box: tuple[tuple[float, float], ...]) -> tuple[tuple[float, ...], ...]:
    found = set()
    for free in range(len(box)):
        others = [i for i in range(len(box)) if i != free]
        for ends in product(*(set(box[i]) for i in others)):
            rest = 100 - sum(ends)
            low, high = box[free]
            if low - _SLACK <= rest <= high + _SLACK:
                corner = list(ends)
                corner.insert(free, min(max(rest, low), high))
                found.add(tuple(corner))
    return tuple(sorted(found))


def extremes(
    box: Mapping[str, Range],
    numerator: Mapping[str, float],
    denominator: Mapping[str, float] | None = None,
    times: float = 1.0,
) -> Range:
    """The least and most of a linear sum of the parts, or of the ratio of two such sums.

    The sums are weights by part, on parts in percent as fed; the result is multiplied by
    `times`. A corner where both sums vanish says nothing of the ratio and is passed over; where
    only the divisor vanishes the most is infinite. Raises ContradictoryFigures where no food
    fits, and ImpossibleFigure where the divisor vanishes everywhere.
    """
    check_box(box)
    if denominator is None:
        low, high = (_sum(numerator, _extreme(box, numerator, up)) for up in (False, True))
        return Range(low * times, high * times)
    low, high = float("inf"), float("-inf")
    for corner in corners(box):
        upper, lower = _sum(numerator, corner), _sum(denominator, corner)
        if abs(lower) > _SLACK:
            value = upper / lower
        elif abs(upper) > _SLACK:
            value = float("inf")
        else:
            continue
        low, high = min(low, value), max(high, value)
    if low > high:
        raise ImpossibleFigure("nothing is left to divide by")
    return Range(low * times, high * times)


def _extreme(box: Mapping[str, Range], weights: Mapping[str, float], up: bool) -> tuple[float, ...]:
    """The corner where a linear sum is most, or least: every part at its least, and what is left
    of the whole given to the parts by what they count."""
    corner = [box[part].low for part in PARTS]
    left = 100 - sum(corner)
    counting = [weights.get(part, 0.0) for part in PARTS]
    for place in sorted(range(len(PARTS)), key=counting.__getitem__, reverse=up):
        low, high = box[PARTS[place]]
        if high - low > left:
            break
        corner[place] = high
        left -= high - low
    others = corner[:place] + corner[place + 1 :]
    corner[place] = min(max(100 - sum(others), low), high)
    return tuple(corner)


def _sum(weights: Mapping[str, float], corner: tuple[float, ...]) -> float:
    return sum([weight * corner[_PLACE[part]] for part, weight in weights.items()])


def part_range(box: Mapping[str, Range], part: str) -> Range:
    """What the whole leaves of one part, in percent as fed: never wider than its bounds."""
    return extremes(box, {part: 1.0})


def dry_matter_range(box: Mapping[str, Range], part: str) -> Range:
    """The range of one part in percent of dry matter."""
    dry = {other: 1.0 for other in PARTS if other != "moisture"}
    return extremes(box, {part: 1.0}, dry, 100)


def energy_range(
    box: Mapping[str, Range], method: str = MODIFIED_ATWATER, species: str | None = None
) -> Range:
    """The range of energy in kcal/kg as fed, by a method of plain factors."""
    return extremes(box, factors(method, species), times=10)


def per_1000_kcal_range(
    box: Mapping[str, Range],
    part: str,
    method: str = MODIFIED_ATWATER,
    species: str | None = None,
) -> Range:
    """The range of one part in grams per 1000 kcal, by a method of plain factors."""
    # 1 % is 10 g/kg, and ten times the weighted sum is kcal/kg.
    return extremes(box, {part: 1.0}, factors(method, species), 1000)


def energy_share_range(
    box: Mapping[str, Range],
    part: str,
    method: str = MODIFIED_ATWATER,
    species: str | None = None,
) -> Range:
    """The range of what one part gives of the energy, in percent."""
    weights = factors(method, species)
    return extremes(box, {part: weights[part]}, weights, 100)


def dry_matter_of(box: Mapping[str, Range]) -> Range:
    """The range of the dry matter itself, in percent as fed."""
    return extremes(box, {part: 1.0 for part in PARTS if part != "moisture"})
