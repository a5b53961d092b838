"""The rows of one label over one choice of columns, with a program and a base for each question."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from panellint.shares.model import Base
from panellint.shares.premises import LABEL_ALONE, Premise
from panellint.shares.solver.certificate import Certified, Repair, certify, pruned, repair_from
from panellint.shares.solver.constraints import Columns, Row
from panellint.shares.solver.guarantees import base_of
from panellint.shares.solver.program import Program, Solution, Status

#: A misfit below this is rounding: the rows fit together as far as anyone can tell.
FITS = 1e-9
#: A bound that is wider by no more than this is the same bound.
SAME = Fraction(1, 10**12)
#: Up to how many statements a proof is short enough to look for a shorter one.
SHORT_PROOF = 10
#: Sets of premises that a proof is tried with before all: what is the label's own, what needs
#: no range of the catalogue, what needs no practice.
TIERS = (
    LABEL_ALONE,
    LABEL_ALONE | {Premise.GUARANTEES, Premise.WATER},
    frozenset(Premise) - {Premise.PRACTICE},
)


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
        self._simple: dict[tuple[Base, int], tuple[list[int], Program]] = {}
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

    def simpler(self, cost: Mapping[int, Fraction], base: Base, bound: Certified) -> Certified:
        """The same bound from fewer premises and fewer rows, where those are enough."""
        used = {premise for r in bound.rows for premise in self.rows[r].premises}
        mask = self.mask(base)
        for tier, allowed in enumerate(TIERS):
            if used <= allowed:
                break
            if (base, tier) not in self._simple:
                places = [r for r, row in enumerate(self.rows) if allowed >= set(row.premises)]
                program = Program([self.rows[r] for r in places], mask)
                self._simple[base, tier] = (places, program)
            places, program = self._simple[base, tier]
            rows = [self.rows[r] for r in places]
            found = certify(rows, cost, mask, program.most(cost).multipliers)
            if found is not None and found.most <= bound.most + SAME:
                bound = replace(found, rows=tuple(places[r] for r in found.rows))
                break
        return self._shortest(cost, mask, pruned(self.rows, cost, mask, bound))

    def _shortest(
        self, cost: Mapping[int, Fraction], mask: tuple[bool, ...], bound: Certified
    ) -> Certified:
        """A short proof without any statement that the others can do without."""
        if not 2 < len(bound.rows) <= SHORT_PROOF:
            return bound
        for r in bound.rows:
            places = [place for place in bound.rows if place != r]
            if len(places) == len(bound.rows):
                continue
            rows = [self.rows[place] for place in places]
            found = certify(rows, cost, mask, Program(rows, mask).most(cost).multipliers)
            if found is not None and found.most <= bound.most:
                bound = replace(found, rows=tuple(places[place] for place in found.rows))
        return bound

    def misfit(self, extra: Sequence[Row] = ()) -> tuple[Solution, Certified | None]:
        """Whether the rows and some more fit together.

        The certificate is given where they provably do not; the solution's value is the least
        lift that makes them fit and its point a formula, if that is nothing.
        """
        rows = (*self.rows, *extra)
        mask = self.mask(Base.MIX)
        solution, certificate = misfit(rows, mask, self._repair(Base.MIX))
        if certificate is None:
            return solution, None
        for allowed in TIERS:
            places = [
                r
                for r, row in enumerate(rows)
                if r >= len(self.rows) or allowed >= set(row.premises)
            ]
            _, found = misfit([rows[r] for r in places], mask)
            if found is not None:
                return solution, replace(found, rows=tuple(places[r] for r in found.rows))
        return solution, certificate


def misfit(
    rows: Sequence[Row], mask: Sequence[bool], repair: Repair | None = None
) -> tuple[Solution, Certified | None]:
    """Whether rows fit together, where the columns of the mask weigh one together."""
    if not any(mask):
        return Solution(Status.OPTIMAL), None
    solution = Program(rows, mask, elastic=True).least_misfit()
    if solution.status is not Status.OPTIMAL or solution.value <= 0:
        return solution, None
    bound = certify(rows, {}, mask, solution.multipliers, repair)
    return solution, bound if bound is not None and bound.most < 0 else None
