"""The linear programs over the rows of a label, in HiGHS.

Only multipliers and points come from here; what they prove is decided by `certificate`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Any

import highspy
import numpy as np

from panellint.shares.solver.constraints import Row

#: Feasibility tolerances of the solver: the tightest that it takes.
TIGHTEST = 1e-10


class Status(StrEnum):
    """How a program ended. TROUBLE: anything but an optimum or proven infeasibility."""

    OPTIMAL = "optimal"
    INFEASIBLE = "infeasible"
    TROUBLE = "trouble"


@dataclass(frozen=True, slots=True)
class Solution:
    """`multipliers` belong to the rows, each divided by its scale; `point` are the weights."""

    status: Status
    value: float = 0.0
    multipliers: Sequence[float] = ()
    point: Sequence[float] = ()


class Program:
    """`max cost x` over `rows >= 0`, `x >= 0`, `base x = 1`; only the cost changes.

    `elastic` adds one column that lifts every row, with a cost of its own: minimised, it says
    by how much the rows miss fitting together.
    """

    def __init__(self, rows: Sequence[Row], base: Sequence[bool], *, elastic: bool = False) -> None:
        self.columns = len(base)
        self.elastic = elastic
        self._rows = len(rows)
        starts = [0]
        indexes: list[int] = []
        values: list[float] = []
        for row in rows:
            scale = row.scale
            for column, value in row.coefficients:
                indexes.append(column)
                values.append(value / scale)
            if elastic:
                indexes.append(self.columns)
                values.append(1.0)
            starts.append(len(indexes))
        inside = [i for i, belongs in enumerate(base) if belongs]
        indexes.extend(inside)
        values.extend([1.0] * len(inside))
        starts.append(len(indexes))
        total = self.columns + elastic
        lp = highspy.HighsLp()
        lp.num_col_ = total
        lp.num_row_ = len(rows) + 1
        cost = np.zeros(total)
        if elastic:
            cost[-1] = 1.0
        lp.col_cost_ = cost
        lp.col_lower_ = np.zeros(total)
        lp.col_upper_ = np.full(total, highspy.kHighsInf)
        lower = np.zeros(len(rows) + 1)
        upper = np.full(len(rows) + 1, highspy.kHighsInf)
        lower[-1] = upper[-1] = 1.0
        lp.row_lower_ = lower
        lp.row_upper_ = upper
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.array(starts, dtype=np.int32)
        lp.a_matrix_.index_ = np.array(indexes, dtype=np.int32)
        lp.a_matrix_.value_ = np.array(values)
        self._highs = _quiet()
        self._highs.passModel(lp)
        self._changed: list[int] = []

    def most(self, cost: Mapping[int, Fraction]) -> Solution:
        """Maximise `cost`, warm from the last optimum."""
        columns = sorted({*self._changed, *cost})
        self._changed = list(cost)
        if columns:
            self._highs.changeColsCost(
                len(columns),
                np.array(columns, dtype=np.int32),
                np.array([-float(cost.get(column, 0)) for column in columns]),
            )
        return self._run()

    def least_misfit(self) -> Solution:
        """Of an elastic program: the least lift with which all rows fit."""
        return self._run()

    def _run(self) -> Solution:
        highs = self._highs
        highs.run()
        status = highs.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return Solution(Status.INFEASIBLE)
        if status != highspy.HighsModelStatus.kOptimal:
            highs.clearSolver()
            return Solution(Status.TROUBLE)
        found = highs.getSolution()
        return Solution(
            Status.OPTIMAL,
            highs.getInfo().objective_function_value * (1 if self.elastic else -1),
            list(found.row_dual)[: self._rows],
            list(found.col_value)[: self.columns],
        )


def _quiet() -> Any:
    """A solver that prints nothing and always takes the same path."""
    # The class below the convenience layer: that layer's callbacks print a banner.
    highs: Any = getattr(highspy, "_Highs", highspy.Highs)()
    for option, value in (
        ("output_flag", False),
        ("threads", 1),
        ("random_seed", 0),
        ("solver", "simplex"),
        ("presolve", "off"),
        ("primal_feasibility_tolerance", TIGHTEST),
        ("dual_feasibility_tolerance", TIGHTEST),
    ):
        highs.setOptionValue(option, value)
    return highs
