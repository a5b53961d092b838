"""What a label says of a part (a least, a most, a declared value), how far an analysis may lie from
it in a market, and what that leaves open; lines of an analysis as such bounds, each nutrient in its
own unit and as fed.

The tables of tolerances and their sources stand in `rules/nutrients/tolerances.yaml`. A tolerance
is in the unit of the figure itself: percentage points for a percentage, mg/kg for mg/kg. Nothing
here reads text: a line is already a nutrient, a figure, a unit and a basis.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import inf
from operator import itemgetter
from typing import Any, NamedTuple, Self

from panellint.catalogue.model import Range
from panellint.core.errors import (
    ContradictoryFigures,
    ImpossibleFigure,
    MissingFigure,
    NotComputable,
)
from panellint.core.numbers import check_percent, decimal
from panellint.core.units import convert
from panellint.nutrition.bases import PARTS, as_fed, unit_of
from panellint.rulepacks.data import data


class Tolerance(NamedTuple):
    """What may be missing below the printed figure and what may be found above it.

    None: no table of the market sets a limit that way, so nothing is known there.
    """

    below: float | None
    above: float | None


@lru_cache(maxsize=512)
def _tables(market: str, nutrient: str) -> list[dict[str, Any]]:
    known = data("nutrients/tolerances")
    names = known["markets"].get(market)
    if names is None:
        names = [table["id"] for table in known["tables"]]
    return [t for t in known["tables"] if t["id"] in names and nutrient in t["bands"]]


def _of_band(bands: list[dict[str, Any]], declared: float) -> Tolerance:
    band = next(b for b in bands if "to" not in b or declared <= b["to"])

    def width(side: str) -> float | None:
        if band[side] is None:
            return None
        points, share = band[side]
        return float(points + share * declared / 100)

    return Tolerance(width("below"), width("above"))


def _widest(sides: list[float | None]) -> float | None:
    known = [side for side in sides if side is not None]
    return max(known) if len(known) == len(sides) and known else None


def tolerance(market: str, nutrient: str, declared: float) -> Tolerance:
    """The tolerance of a printed figure, in the figure's own unit.

    Where several tables of a market hold the nutrient, the widest of them; an unknown market
    takes the widest of all tables. Raises ImpossibleFigure below nothing.
    """
    if not declared >= 0:
        raise ImpossibleFigure(f"{nutrient} of {decimal(declared)} is below nothing", nutrient)
    tolerances = [
        _of_band(table["bands"][nutrient], declared) for table in _tables(market, nutrient)
    ]
    return Tolerance(_widest([t.below for t in tolerances]), _widest([t.above for t in tolerances]))


def tolerance_source(market: str, nutrient: str) -> str:
    """Where `tolerance` has its figure from, and whether that is from memory; "" where no table
    holds the nutrient."""
    tables = _tables(market, nutrient)
    sources = "; ".join(f"{t['source']['document']}, {t['source']['section']}" for t in tables)
    return sources if all(t["confirmed"] for t in tables) else f"{sources} (from memory)"


def undeclared_at_most(market: str, nutrient: str) -> float | None:
    """The most of a part that a label may leave unsaid, in percent as fed; None without a rule."""
    for row in data("nutrients/tolerances")["undeclared"]:
        if market in row["markets"] and row["nutrient"] == nutrient:
            return float(row["at_most"])
    return None


def check_content(value: float, unit: str = "%") -> float:
    """`value` if a food can hold so much; raises ImpossibleFigure otherwise."""
    if unit == "%":
        return check_percent("content", value)
    if not 0 <= value < inf:
        raise ImpossibleFigure(f"a content of {decimal(value)} {unit}")
    return value


@dataclass(frozen=True, slots=True)
class ContentBounds:
    """What is printed of a content: a guaranteed minimum (`low`), maximum (`high`), or both.

    A declared value is both at once, with `declared` set: an analysis may lie to either side
    of it. `unit` is a percentage as fed unless it says otherwise. Raises ImpossibleFigure and
    ContradictoryFigures (a least above a most).
    """

    low: float | None = None
    high: float | None = None
    declared: bool = False
    unit: str = "%"

    def __post_init__(self) -> None:
        for end in (self.low, self.high):
            if end is not None:
                check_content(end, self.unit)
        if self.low is not None and self.high is not None and self.low > self.high:
            raise ContradictoryFigures(
                f"the minimum of {decimal(self.low)} {self.unit} is above "
                f"the maximum of {decimal(self.high)} {self.unit}",
                excess=self.low - self.high,
            )

    @classmethod
    def value(cls, value: float, unit: str = "%") -> Self:
        """A declared value."""
        return cls(low=value, high=value, declared=True, unit=unit)

    @property
    def point(self) -> float | None:
        """The figure that stands for the content: the printed one, or the middle of two."""
        if self.low is None or self.high is None:
            return self.high if self.low is None else self.low
        return (self.low + self.high) / 2

    @property
    def bound(self) -> str:
        """`declared`, `min`, `max`, or `min and max`."""
        if self.declared:
            return "declared"
        if self.low is not None and self.high is not None:
            return "min and max"
        return "max" if self.low is None else "min"


def left_open(bounds: ContentBounds | None, market: str, nutrient: str) -> Range:
    """What a printed content leaves open, in its own unit; nothing printed leaves all open.

    A guaranteed minimum or maximum is taken at its word; a declared value is widened by the
    market's tolerance, and where no tolerance is known a side is open.
    """
    most = 100.0 if bounds is None or bounds.unit == "%" else inf
    if bounds is None:
        return Range(0.0, most)
    low = bounds.low or 0.0
    high = most if bounds.high is None else bounds.high
    if bounds.declared:
        below, above = tolerance(market, nutrient, low)
        low = 0.0 if below is None else max(0.0, low - below)
        high = most if above is None else min(most, high + above)
    return Range(low, high)


def box(
    printed: Mapping[str, ContentBounds], market: str, moisture: Range | None = None
) -> dict[str, Range]:
    """The range of each of the six parts that the printed bounds leave, in percent as fed.

    `moisture` stands in where the label has no such line; nothing printed and nothing standing in
    leaves 0 to 100. Carbohydrate is open unless it is printed.
    """
    ranges = {part: left_open(printed.get(part), market, part) for part in PARTS}
    if moisture is not None and "moisture" not in printed:
        ranges["moisture"] = moisture
    return ranges


def near_the_truth(
    wide: Mapping[str, Range], printed: Mapping[str, ContentBounds]
) -> dict[str, Range]:
    """The ranges of the parts, percent as fed, where guarantees are printed near the truth: by
    the margins of practice, as much as `wide` leaves."""
    margins = data("data/premises")["premises"]["near_the_truth"]["margins"]
    usual = dict(wide)
    for part, margin in margins.items():
        bounds = printed.get(part)
        if bounds is None or bounds.point is None:
            continue
        room = max(margin["points"], margin["share"] * bounds.point)
        low, high = usual[part]
        if bounds.low is not None:
            high = min(high, bounds.low + room)
        if bounds.high is not None:
            low = max(low, bounds.high - room)
        usual[part] = Range(min(low, high), max(low, high))
    return usual


class AnalysisLine(NamedTuple):
    """One line: `bound` is min, max, declared, exact or about; `basis` "as fed" or "dry matter"."""

    nutrient: str
    bound: str
    value: float
    unit: str
    basis: str = "as fed"


class Printed(NamedTuple):
    """The bounds by nutrient id, in the order of the lines, and what was wrong with lines, each by
    its place among them.

    A nutrient whose lines contradict each other has no bounds.
    """

    bounds: dict[str, ContentBounds]
    faults: tuple[tuple[int, NotComputable], ...]


def read_lines(lines: Iterable[AnalysisLine]) -> Printed:
    """The bounds that lines set.

    A figure on dry matter is told as fed by the declared moisture (a maximum, where that is
    what is declared). Lines of energy are left out: they are no content.
    """
    given = [(number, line) for number, line in enumerate(lines) if line.nutrient != "energy"]
    faults: list[tuple[int, NotComputable]] = []
    moisture = next(
        (line.value for _, line in given if line.nutrient == "moisture" and line.unit == "%"), None
    )
    sides: dict[str, dict[str, float]] = {}
    placed: dict[str, int] = {}
    for number, line in given:
        unit = unit_of(line.nutrient)
        try:
            value = convert(line.value, line.unit, unit)
            if line.basis == "dry matter":
                if moisture is None:
                    raise MissingFigure(
                        f"{line.nutrient} is told of the dry matter and no moisture is declared",
                        "moisture",
                    )
                value = as_fed(value, moisture)
            check_content(value, unit)
        except NotComputable as fault:
            faults.append((number, fault))
            continue
        side = line.bound if line.bound in ("min", "max") else "declared"
        sides.setdefault(line.nutrient, {}).setdefault(side, value)
        placed[line.nutrient] = number
    bounds = {}
    for nutrient, by_side in sides.items():
        try:
            bounds[nutrient] = _bounds(by_side, unit_of(nutrient))
        except ContradictoryFigures as fault:
            reason = f"{nutrient}: {fault.reason}"
            clash = ContradictoryFigures(reason, nutrient, excess=fault.excess)
            faults.append((placed[nutrient], clash))
    faults.sort(key=itemgetter(0))
    return Printed(bounds, tuple(faults))


def _bounds(side: dict[str, float], unit: str) -> ContentBounds:
    if "declared" in side and len(side) == 1:
        return ContentBounds.value(side["declared"], unit)
    return ContentBounds(side.get("min", side.get("declared")), side.get("max"), unit=unit)
