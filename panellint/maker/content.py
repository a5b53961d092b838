"""How much of something a batch holds, and on which bases that is told."""

from __future__ import annotations

from dataclasses import dataclass, replace

from panellint.core.units import convert

AS_MIXED, FINISHED, REHYDRATED, DRY_MATTER, ENERGY = (
    "as mixed",
    "finished food",
    "rehydrated",
    "dry matter",
    "per 1000 kcal",
)


@dataclass(frozen=True, slots=True)
class BatchContent:
    """How much of something the food holds, in `unit`: least, most, estimate.

    `unknown` names ingredients for which no figure is known; they count from nothing to all
    (`high` is infinite where the unit is no part of the weight), and `middle` leaves them out.
    `literature` is True where any figure is the catalogue's.
    """

    low: float
    high: float
    middle: float
    unit: str
    unknown: tuple[str, ...] = ()
    literature: bool = True

    def times(self, factor: float, unit: str) -> BatchContent:
        """The same content in another unit, of which it holds `factor` times as many."""
        low, high, middle = (factor * end for end in (self.low, self.high, self.middle))
        return replace(self, low=low, high=high, middle=middle, unit=unit)

    def in_unit(self, unit: str) -> BatchContent:
        """The same content in another unit; a content per 1000 kcal stays one.

        Raises ImpossibleFigure where the units are of different things.
        """
        own, other = (name.replace("/1000 kcal", "/kg") for name in (self.unit, unit))
        return self.times(convert(1.0, own, other), unit)
