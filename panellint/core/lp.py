"""Linear programs in HiGHS, set up once: quiet, on one thread, by the same path each time.

Only points and multipliers come from here; what they prove is for the caller to work out in
exact arithmetic.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, NamedTuple

# Matrices are small here: threads of the linear algebra would only wait for each other.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import highspy
import numpy as np

INFINITE = float(highspy.kHighsInf)
#: Feasibility tolerances of the solver: the tightest that it takes.
_TIGHTEST = 1e-10


class Status(StrEnum):
    """How a program ended. TROUBLE: anything but an optimum or proven infeasibility."""

    OPTIMAL = "optimal"
    INFEASIBLE = "infeasible"
    TROUBLE = "trouble"


class Range(NamedTuple):
    """`low <= sum values x <= high`; each value belongs to the column at the same place."""

    columns: Sequence[int]
    values: Sequence[float]
    low: float = 0.0
    high: float = INFINITE

    @classmethod
    def of(
        cls, terms: Iterable[tuple[int, float]], low: float = 0.0, high: float = INFINITE
    ) -> Range:
        """From pairs of a column and its value."""
        columns, values = zip(*terms, strict=True)
        return cls(columns, values, low, high)


@dataclass(frozen=True, slots=True)
class Solution:
    """What the solver came to: `multipliers` by row, `point` by column; empty unless optimal."""

    status: Status
    value: float = 0.0
    multipliers: Sequence[float] = ()
    point: Sequence[float] = ()


class LinearProgram:
    """`min cost x` over rows and columns of ranges; `columns` are the least and most of each."""

    def __init__(
        self,
        cost: Sequence[float],
        rows: Sequence[Range],
        columns: Sequence[tuple[float, float]] | None = None,
    ) -> None:
        starts, indexes, values = [0], list[int](), list[float]()
        for row in rows:
            indexes += row.columns
            values += row.values
            starts.append(len(indexes))
        lower, upper = zip(*columns or [(0.0, INFINITE)] * len(cost), strict=True)
        # The class below the convenience layer: that layer's callbacks print a banner.
        self._highs: Any = getattr(highspy, "_Highs", highspy.Highs)()
        for option, setting in (
            ("output_flag", False),
            ("threads", 1),
            ("random_seed", 0),
            ("solver", "simplex"),
            ("presolve", "off"),
            ("primal_feasibility_tolerance", _TIGHTEST),
            ("dual_feasibility_tolerance", _TIGHTEST),
        ):
            self._highs.setOptionValue(option, setting)
        # Arrays go over as they are; the fields of a HighsLp are converted number by number.
        self._highs.passModel(
            len(cost),
            len(rows),
            len(indexes),
            int(highspy.MatrixFormat.kRowwise),
            int(highspy.ObjSense.kMinimize),
            0.0,
            np.array(cost, dtype=float),
            np.array(lower, dtype=float),
            np.array(upper, dtype=float),
            np.array([row.low for row in rows], dtype=float),
            np.array([row.high for row in rows], dtype=float),
            np.array(starts, dtype=np.int32),
            np.array(indexes, dtype=np.int32),
            np.array(values, dtype=float),
            np.zeros(len(cost), dtype=np.int32),
        )

    def change_cost(self, cost: Mapping[int, float]) -> None:
        """Gives some columns another cost; the next run starts from the last optimum."""
        columns = np.array(list(cost), dtype=np.int32)
        self._highs.changeColsCost(len(cost), columns, np.array(list(cost.values())))

    def run(self) -> Solution:
        """Returns the optimum, or how the run ended without one."""
        highs = self._highs
        if highs.run() == highspy.HighsStatus.kError:
            # Another user of the solver has set its threads up by then: take those.
            highs.setOptionValue("threads", 0)
            highs.run()
        else:
            # The one thread that was set up here is in nobody's way who wants several.
            highs.resetGlobalScheduler(True)
        status = highs.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return Solution(Status.INFEASIBLE)
        if status != highspy.HighsModelStatus.kOptimal:
            highs.clearSolver()
            return Solution(Status.TROUBLE)
        solution = highs.getSolution()
        value = highs.getInfo().objective_function_value
        return Solution(Status.OPTIMAL, value, list(solution.row_dual), list(solution.col_value))
