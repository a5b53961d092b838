"""A label together with the formula that it was printed from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from panellint.catalogue.model import Range
from panellint.core.source import Span
from panellint.ingredients.model import Declaration, Ingredient
from panellint.label.model import Guarantee
from panellint.shares.premises import Reading

NOWHERE = Span(0, 0)
Path = tuple[int, ...]


@dataclass(frozen=True)
class HonestLabel:
    """A label and the truth behind it.

    `shares` are percent of the mix by leaf path (for a partial group its rest), `contents`
    fractions of each leaf by nutrient, `lost` net water lost as a part of the mix. `counted` are
    shares as the list counts them, where that may be another weight than that as mixed.
    """

    declaration: Declaration
    guarantees: tuple[Guarantee, ...]
    ranges: Mapping[Path, Mapping[str, Range]]
    water: Range
    shares: Mapping[Path, Fraction]
    contents: Mapping[Path, Mapping[str, Fraction]]
    lost: Fraction
    usual: Mapping[Path, Range] = field(default_factory=dict)
    unlisted: tuple[str, ...] = ()
    counted: Mapping[Path, Fraction] | None = None

    def ranges_of(self, ingredient: Ingredient) -> Mapping[str, Range]:
        """The composition ranges that the catalogue would give."""
        return self.ranges.get(ingredient.path, {})

    def usual_of(self, ingredient: Ingredient) -> Range | None:
        """The customary level of a minor ingredient."""
        return self.usual.get(ingredient.path)

    def arguments(self) -> dict[str, Any]:
        """All that the set of formulas is built from."""
        loose = {"groups_ranked": False, "groups_ordered": False, "reading": Reading.EITHER}
        return {
            **({} if self.counted is None else loose),
            "guarantees": self.guarantees,
            "ranges": self.ranges_of,
            "water": self.water,
            "tolerance": tolerance,
            "usual": self.usual_of,
            "unlisted": self.unlisted,
        }

    def total(self, path: Path) -> Fraction:
        """The share of an ingredient or of a whole group, in percent of the mix."""
        return sum((s for p, s in self.shares.items() if p[: len(path)] == path), Fraction(0))

    def is_water(self, path: Path) -> bool:
        """True for water added in processing, listed or not."""
        if path[0] >= len(self.declaration.ingredients):
            return self.unlisted[path[0] - len(self.declaration.ingredients)] == "water"
        entry = next(e for e in self.declaration.walk() if e.path == path)
        return bool(entry.match and entry.match.known.kind == "water")

    def base(self, name: str) -> Fraction:
        """The weight of a base, in percent of the mix."""
        if name == "mix":
            return Fraction(100)
        if name == "without processing water":
            return sum((s for p, s in self.shares.items() if not self.is_water(p)), Fraction(0))
        if name == "finished food":
            return 100 * (1 - self.lost)
        return 100 - self.mixed("moisture")

    def mixed(self, nutrient: str) -> Fraction:
        """A nutrient as mixed, in percent of the mix."""
        return sum(
            (s * self.contents[p].get(nutrient, Fraction(0)) for p, s in self.shares.items()),
            Fraction(0),
        )

    def finished(self, nutrient: str, base: str = "finished food") -> Fraction:
        """A nutrient in percent of the finished food or of its dry matter."""
        amount = self.mixed(nutrient) - (100 * self.lost if nutrient == "moisture" else 0)
        return 100 * amount / self.base(base)


def tolerance(nutrient: str, declared: float) -> tuple[float | None, float | None]:
    """A made-up tolerance for declared values: a tenth, at least half a point."""
    width = max(0.5, round(declared / 10, 3))
    return (width, width) if nutrient != "fibre" else (None, width)
