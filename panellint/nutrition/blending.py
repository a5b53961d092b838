"""Blends of two foods: what comes of a share, and which share a target needs.

Everything is by weight as fed. A quantity of a food is a ratio of two of its contents (protein
per weight, carbohydrate per energy, fat per dry matter), and contents add up in a blend; so the
quantity of a blend of A and B moves one way only from that of A to that of B, and the share of
B that meets a target has a closed form.
"""

from collections.abc import Mapping, Sequence
from math import inf
from typing import NamedTuple

from panellint.catalogue.model import Range
from panellint.core.errors import ContradictoryFigures, ImpossibleFigure, MissingFigure
from panellint.core.numbers import check_amount, decimal
from panellint.nutrition.bases import PARTS, Analysis
from panellint.nutrition.mixture import extremes

_SAME = 1e-12


class Amounts(NamedTuple):
    """The two contents per weight of a food whose ratio is the quantity asked for."""

    over: float
    under: float


class BlendShare(NamedTuple):
    """Which blend meets a target.

    `share` is the part of the added food in the blend by weight, 0 to 1, and `per_kg` the kg of
    it for each kg of the base (infinite for a share of 1). `reached` is the quantity of that
    blend. `possible` is False where no blend meets the target: then it is the nearest there is.
    """

    share: float
    per_kg: float
    reached: float
    target: float
    possible: bool


def blend(parts: Sequence[tuple[Analysis, float]]) -> Analysis:
    """The analysis of a blend of (food, weight) pairs; a part that one food lacks is unknown.

    Raises ImpossibleFigure for a weight below nothing or a blend of no weight.
    """
    for _, weight in parts:
        if not 0 <= weight < inf:
            raise ImpossibleFigure(f"a weight of {decimal(weight)}", "weight")
    total = check_amount("weight", sum(weight for _, weight in parts))

    def mean(name: str) -> float | None:
        held = 0.0
        for food, weight in parts:
            value = food.as_dict()[name]
            if weight and value is None:
                return None
            held += weight * (value or 0.0)
        return min(100.0, held / total)

    return Analysis(**{name: mean(name) for name in PARTS})


def with_water(food: Analysis, water_per_weight: float) -> Analysis:
    """A food after `water_per_weight` weights of water were added to one weight of it."""
    water = Analysis(0.0, 0.0, 0.0, 100.0, 0.0, 0.0)
    return blend([(food, 1.0), (water, water_per_weight)])


def amounts(
    food: Analysis, kcal_per_kg: float | None, part: str, basis: str, weights: dict[str, float]
) -> Amounts:
    """The two contents whose ratio is `part` on `basis`.

    `part` is one of the six parts, or "energy" (kcal/kg as fed). `basis`: "as fed" and "dry
    matter" in percent, "per 1000 kcal" in grams, "energy share" in percent of the energy by the
    factors `weights` (kcal/g). Raises MissingFigure and ImpossibleFigure.
    """
    if part == "energy":
        if kcal_per_kg is None:
            raise MissingFigure("energy not given", "energy")
        if basis == "as fed":
            return Amounts(kcal_per_kg, 1.0)
        if basis == "dry matter":
            return Amounts(kcal_per_kg, _part(food, "moisture", dry=True) / 100)
        raise ImpossibleFigure(f"energy has no figure on the basis {basis!r}")
    if part not in PARTS:
        raise ImpossibleFigure(f"unknown part {part!r}; there are {', '.join(PARTS)}")
    value = _part(food, part)
    if basis == "as fed":
        return Amounts(value, 1.0)
    if basis == "dry matter":
        if part == "moisture":
            raise ImpossibleFigure("dry matter holds no moisture", part)
        return Amounts(value, _part(food, "moisture", dry=True) / 100)
    if basis == "per 1000 kcal":
        if kcal_per_kg is None:
            raise MissingFigure("energy not given", "energy")
        return Amounts(10 * value, kcal_per_kg / 1000)
    if basis == "energy share":
        if part not in weights:
            raise ImpossibleFigure(f"{part} gives no energy", part)
        total = sum(weight * _part(food, name) for name, weight in weights.items())
        return Amounts(100 * weights[part] * value, total)
    raise ImpossibleFigure(f"unknown basis {basis!r}")


def _part(food: Analysis, name: str, dry: bool = False) -> float:
    value: float | None = getattr(food, name)
    if value is None:
        raise MissingFigure(f"{name} not given", name)
    return 100 - value if dry else value


def quantity(of: Amounts) -> float:
    """The quantity itself; raises ImpossibleFigure where there is nothing to divide by."""
    if of.under <= 0:
        raise ImpossibleFigure("nothing is left to divide by")
    return of.over / of.under


def share_for(base: Amounts, added: Amounts, target: float, sense: str = "exactly") -> BlendShare:
    """The least share of the added food that brings the quantity to the target.

    With n over d for each food, n_a + w (n_b - n_a) = t (d_a + w (d_b - d_a)), hence
    w = (n_a - t d_a) / ((n_a - t d_a) - (n_b - t d_b)). `sense` is "exactly", "at least" or
    "at most"; a target that the base already meets needs nothing. Where no share meets it, the
    nearest that can be reached is the base or the added food alone.
    """
    here, there = quantity(base), quantity(added)
    slack = _SAME * max(1.0, abs(target))
    met = {
        "exactly": abs(here - target) <= slack,
        "at least": here >= target - slack,
        "at most": here <= target + slack,
    }
    if sense not in met:
        raise ImpossibleFigure(f"unknown sense {sense!r}; there are {', '.join(met)}")
    if met[sense]:
        return BlendShare(0.0, 0.0, here, target, True)
    if min(here, there) - slack <= target <= max(here, there) + slack:
        a, b = base.over - target * base.under, added.over - target * added.under
        share = min(1.0, max(0.0, a / (a - b)))
        return BlendShare(share, share / (1 - share) if share < 1 else inf, target, target, True)
    share = 1.0 if abs(there - target) < abs(here - target) else 0.0
    return BlendShare(share, inf if share else 0.0, there if share else here, target, False)


def distance_range(
    box: Mapping[str, Range], part: str, basis: str, weights: dict[str, float], target: float
) -> Range:
    """How far from a target the foods in a box are: over - target * under, least and most.

    Both contents are linear in the parts, so their weights show at foods of one part alone, and
    the ends lie at corners of the box.
    """

    def at(only: str) -> float:
        food = Analysis.of({name: 100.0 if name == only else 0.0 for name in PARTS})
        kcal = 1000 * weights.get(only, 0.0)
        over, under = amounts(food, kcal, part, basis, weights)
        return (over - target * under) / 100

    return extremes(box, {name: at(name) for name in PARTS})


def share_range(base: Amounts, distance: Range, target: float) -> tuple[float, float | None]:
    """The least and the most share of an added food that may be needed, over a range of foods.

    `distance` is that of `distance_range`; the most is None where some food of the range never
    brings the base to the target. Raises ImpossibleFigure where none of them does.
    """
    here = base.over - target * base.under
    if here == 0:
        return 0.0, 0.0
    best, worst = distance if here > 0 else (distance.high, distance.low)
    if best * here > 0:
        raise ImpossibleFigure("no food of the range meets the target")
    return here / (here - best), here / (here - worst) if worst * here <= 0 else None


def energy_share_of(share: float, base_kcal_per_kg: float, added_kcal_per_kg: float) -> float:
    """What part of a blend's energy the added food gives, in percent; `share` by weight."""
    if not 0 <= share <= 1:
        raise ImpossibleFigure(f"a share of {decimal(share)}", "share")
    added = share * added_kcal_per_kg
    total = check_amount("energy", added + (1 - share) * base_kcal_per_kg)
    return 100 * added / total


def share_at_energy(percent: float, base_kcal_per_kg: float, added_kcal_per_kg: float) -> float:
    """The share by weight at which the added food gives `percent` of the energy: the reverse."""
    if not 0 <= percent <= 100:
        raise ContradictoryFigures(f"{decimal(percent)} % of the energy", "energy")
    base, added = (
        check_amount("energy", base_kcal_per_kg),
        check_amount("energy", added_kcal_per_kg),
    )
    return percent * base / (percent * base + (100 - percent) * added)
