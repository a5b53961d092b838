"""The linear programs over what a label states."""

from collections.abc import Sequence
from dataclasses import replace

from panellint.core.lp import LinearProgram, Range, Solution
from panellint.shares.solver.constraints import Constraint, Terms


class Program:
    """`max cost x` over `constraints >= 0`, `x >= 0`, `base x = 1`; only the cost changes.

    `elastic` adds one column that lifts every constraint, at a cost: the most is how far, below
    zero, they are from fitting together. Multipliers belong to the constraints, each divided by
    its scale; the point are the weights.
    """

    def __init__(
        self, constraints: Sequence[Constraint], base: Sequence[bool], *, elastic: bool = False
    ) -> None:
        self._shape = len(constraints), len(base)
        lift, unit = ((len(base),), [1.0]) if elastic else ((), [])
        rows = [Range(each.columns + lift, each.scaled + unit) for each in constraints]
        inside = [column for column, belongs in enumerate(base) if belongs]
        rows.append(Range(inside, [1.0] * len(inside), 1.0, 1.0))
        self._lp = LinearProgram([0.0] * len(base) + unit, rows)
        self._changed: list[int] = []

    def most(self, cost: Terms) -> Solution:
        """Maximise `cost`, warm from the last optimum."""
        columns = sorted({*self._changed, *cost})
        self._changed = list(cost)
        if columns:
            self._lp.change_cost({column: -float(cost.get(column, 0)) for column in columns})
        rows, width = self._shape
        solution = self._lp.run()
        return replace(
            solution,
            value=-solution.value,
            multipliers=solution.multipliers[:rows],
            point=solution.point[:width],
        )
