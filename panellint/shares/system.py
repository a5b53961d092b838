"""The rows of one label over one choice of columns, with a program and a base for each question."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from panellint.shares.answers import Base
from panellint.shares.certificate import Certified, Repair, certify, repair_from
from panellint.shares.guarantees import base_of
from panellint.shares.rows import Columns, Row
from panellint.shares.solver import Program, Solution, Status

#: A misfit below this is rounding: the rows fit together as far as anyone can tell.
FITS = 1e-9


@dataclass(frozen=True, slots=True)
class Extreme:
    """The certified most of something and the formula that reaches it, as far as found.

    `bound` is None where nothing bounds it. `sure` is False where the solver failed, so that
    the bound is only the trivial one.
    """

    bound: Certified | None
    point: Sequence[float]
    sure: bool


class System:
    """Rows and columns, the programs over them, made when first asked for."""

    def __init__(self, columns: Columns, rows: Sequence[Row]) -> None:
        self.columns = columns
        self.rows = tuple(rows)
        self._programs: dict[Base, Program] = {}
        self._masks: dict[Base, tuple[bool, ...]] = {}
        self._repairs: dict[Base, Repair | None] = {}
        self._everything = (True,) * columns.count

    def mask(self, base: Base) -> tuple[bool, ...]:
        """By column, whether it belongs to the base."""
        if base not in self._masks:
            inside = base_of(self.columns, base)
            self._masks[base] = tuple(c in inside for c in range(self.columns.count))
        return self._masks[base]

    def _repair(self, base: Base) -> Repair | None:
        if base not in self._repairs:
            mask = self.mask(base)
            outside = {c: Fraction(1) for c, inside in enumerate(mask) if not inside}
            found: Repair | None = None
            if outside and any(mask):
                solution = Program(self.rows, self._everything).most(outside)
                bound = certify(self.rows, outside, self._everything, solution.multipliers)
                found = repair_from(bound, mask) if bound else None
            self._repairs[base] = found
        return self._repairs[base]

    def most(self, cost: Mapping[int, Fraction], base: Base) -> Extreme:
        """The most of a cost on a base."""
        mask = self.mask(base)
        if not any(mask):
            return Extreme(None, (), False)
        if base not in self._programs:
            self._programs[base] = Program(self.rows, mask)
        solution = self._programs[base].most(cost)
        sure = solution.status is Status.OPTIMAL
        repair = self._repair(base)
        bound = certify(self.rows, cost, mask, solution.multipliers, repair)
        nothing = certify(self.rows, cost, mask, (), repair)
        if bound is None or (nothing is not None and nothing.most <= bound.most):
            bound = nothing
        return Extreme(bound, solution.point, sure)

    def misfit(self, extra: Sequence[Row] = ()) -> tuple[Solution, Certified | None]:
        """Whether the rows and some more fit together.

        The certificate is given where they provably do not; the solution's value is the least
        lift that makes them fit and its point a formula, if that is nothing.
        """
        rows = (*self.rows, *extra)
        return misfit(rows, self._everything)


def misfit(rows: Sequence[Row], everything: Sequence[bool]) -> tuple[Solution, Certified | None]:
    """Whether rows fit together, over all columns weighing one together."""
    if not everything:
        return Solution(Status.OPTIMAL), None
    solution = Program(rows, everything, elastic=True).least_misfit()
    if solution.status is not Status.OPTIMAL or solution.value <= 0:
        return solution, None
    bound = certify(rows, {}, everything, solution.multipliers)
    return solution, bound if bound is not None and bound.most < 0 else None
