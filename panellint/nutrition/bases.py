"""Nutrients, and the bases that their figures are on: as fed, dry matter, per 1000 kcal.

Percentages are of the food as fed unless a name says otherwise; energy is kcal of
metabolisable energy per kg as fed.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple, Self

from panellint.core.errors import ContradictoryFigures, ImpossibleFigure
from panellint.core.numbers import check_amount, check_percent, decimal, need
from panellint.core.text import fold_name
from panellint.rulepacks.data import data


class Nutrient(NamedTuple):
    """A nutrient of `rules/nutrients`: `unit` is the one in which its figures are kept, `sort`
    its class (proximate, amino-acid, vitamin...)."""

    id: str
    unit: str
    sort: str


@cache
def _by_id() -> dict[str, Nutrient]:
    rows = data("nutrients/nutrients")["nutrients"]
    return {row["id"]: Nutrient(row["id"], row["unit"], row["class"]) for row in rows}


@cache
def _by_name() -> dict[str, Nutrient]:
    nutrients: dict[str, Nutrient] = {}
    for row in data("nutrients/nutrients")["nutrients"]:
        for name in (row["id"], *(n for names in row["names"].values() for n in names)):
            nutrients.setdefault(fold_name(str(name)), _by_id()[row["id"]])
    return nutrients


def nutrient_named(name: str) -> Nutrient | None:
    """Returns the nutrient of that name in any language and case; None where there is none."""
    return _by_name().get(fold_name(name))


def unit_of(nutrient: str) -> str:
    """Returns the unit in which figures of a nutrient (by its id) are kept.

    Raises KeyError for an id that is none.
    """
    return _by_id()[nutrient].unit


def sort_of(nutrient: str) -> str:
    """Returns the class of a nutrient (by its id): proximate, amino-acid...; else "other"."""
    row = _by_id().get(nutrient)
    return row.sort if row else "other"


#: The six parts of a food, in the order in which they are shown.
PARTS = ("protein", "fat", "fibre", "moisture", "ash", "carbohydrate")


@dataclass(frozen=True, slots=True)
class Analysis:
    """The six parts of a food in percent as fed; None where unknown.

    "fibre" is crude fibre and "carbohydrate" nitrogen-free extract, as labels count them.
    Raises ImpossibleFigure where a part is no percentage.
    """

    protein: float | None = None
    fat: float | None = None
    fibre: float | None = None
    moisture: float | None = None
    ash: float | None = None
    carbohydrate: float | None = None

    def __post_init__(self) -> None:
        for name, value in self.as_dict().items():
            if value is not None:
                check_percent(name, value)

    def as_dict(self) -> dict[str, float | None]:
        """The six parts by name, in the usual order."""
        return {part: getattr(self, part) for part in PARTS}

    @classmethod
    def of(cls, parts: Mapping[str, float | None]) -> Self:
        """An analysis from the six parts in a mapping; other keys are left out."""
        return cls(**{name: parts.get(name) for name in PARTS})


def carbohydrate_by_difference(
    protein: float | None,
    fat: float | None,
    fibre: float | None,
    moisture: float | None,
    ash: float | None,
) -> float:
    """Nitrogen-free extract in percent as fed: 100 less the five other parts, percent as fed.

    AAFCO model regulation PF9(a)(3); FEDIAF Nutritional Guidelines, annex 7.2. Raises
    MissingFigure, ImpossibleFigure, and ContradictoryFigures where the five exceed 100.
    """
    parts = need(protein=protein, fat=fat, fibre=fibre, moisture=moisture, ash=ash)
    for name, value in zip(PARTS, parts, strict=False):
        check_percent(name, value)
    total = sum(parts)
    # A sum of decimal percentages may pass 100 by the rounding of binary fractions alone.
    if total > 100 + 1e-9:
        raise ContradictoryFigures(
            f"protein, fat, fibre, moisture and ash add up to {decimal(total)} %",
            *PARTS[:5],
            excess=total - 100,
        )
    return max(0.0, 100 - total)


def dry_matter(value: float, moisture: float) -> float:
    """A content per weight as fed told per weight of dry matter: x / (100 - moisture) * 100.

    `moisture` in percent as fed; any unit per weight may stand for `value` and is kept.
    Raises ImpossibleFigure where there is no dry matter.
    """
    check_percent("moisture", moisture)
    if moisture >= 100:
        raise ImpossibleFigure("moisture of 100 % leaves no dry matter", "moisture")
    return value / (100 - moisture) * 100


def as_fed(value: float, moisture: float) -> float:
    """The reverse of `dry_matter`: a content of the dry matter told per weight as fed."""
    check_percent("moisture", moisture)
    return value * (100 - moisture) / 100


def per_1000_kcal(value: float, kcal_per_kg: float) -> float:
    """Grams per 1000 kcal of a content in percent as fed.

    1 % is 10 g/kg, hence value * 10 / (kcal/kg) * 1000. Raises ImpossibleFigure where there
    is no energy.
    """
    check_amount("energy", kcal_per_kg)
    return value * 10_000 / kcal_per_kg


def on_dry_matter(analysis: Analysis) -> dict[str, float | None]:
    """The parts in percent of dry matter (moisture is 0.0); None where the part is unknown.

    Raises MissingFigure without moisture and ImpossibleFigure without dry matter.
    """
    (moisture,) = need(moisture=analysis.moisture)
    parts = {
        name: None if value is None else dry_matter(value, moisture)
        for name, value in analysis.as_dict().items()
    }
    return {**parts, "moisture": 0.0}


def on_energy(analysis: Analysis, kcal_per_kg: float) -> dict[str, float | None]:
    """The parts in grams per 1000 kcal; None where the part is unknown."""
    return {
        name: None if value is None else per_1000_kcal(value, kcal_per_kg)
        for name, value in analysis.as_dict().items()
    }
