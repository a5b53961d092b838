"""Lines of an analysis as bounds, each nutrient in its own unit and as fed.

Nothing here reads text: a line is already a nutrient, a figure, a unit and a basis.
"""

from collections.abc import Iterable
from typing import NamedTuple

from panellint.core.errors import ContradictoryFigures, MissingFigure, NotComputable
from panellint.core.units import convert
from panellint.nutrition.bases import as_fed
from panellint.nutrition.bounds import ContentBounds, check_content
from panellint.nutrition.nutrients import unit_of


class AnalysisLine(NamedTuple):
    """One line: `bound` is min, max, declared, exact or about; `basis` "as fed" or "dry matter"."""

    nutrient: str
    bound: str
    value: float
    unit: str
    basis: str = "as fed"


class AnalysisFault(NamedTuple):
    """Why a line (by its place among the lines) gives no figure."""

    line: int
    fault: NotComputable


class Printed(NamedTuple):
    """The bounds by nutrient id, in the order of the lines, and what was wrong with lines.

    A nutrient whose lines contradict each other has no bounds.
    """

    bounds: dict[str, ContentBounds]
    faults: tuple[AnalysisFault, ...]


def read_lines(lines: Iterable[AnalysisLine]) -> Printed:
    """The bounds that lines set.

    A figure on dry matter is told as fed by the declared moisture (a maximum, where that is
    what is declared). Lines of energy are left out: they are no content.
    """
    given = [(number, line) for number, line in enumerate(lines) if line.nutrient != "energy"]
    faults: list[AnalysisFault] = []
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
            faults.append(AnalysisFault(number, fault))
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
            faults.append(
                AnalysisFault(
                    placed[nutrient], ContradictoryFigures(reason, nutrient, excess=fault.excess)
                )
            )
    faults.sort(key=lambda fault: fault.line)
    return Printed(bounds, tuple(faults))


def _bounds(side: dict[str, float], unit: str) -> ContentBounds:
    if "declared" in side and len(side) == 1:
        return ContentBounds.value(side["declared"], unit)
    return ContentBounds(side.get("min", side.get("declared")), side.get("max"), unit=unit)
