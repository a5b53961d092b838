"""The constraints of one label over one choice of columns, and the linear programs over them."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial

from panellint.core.lp import LinearProgram, Range, Solution, Status
from panellint.shares.model import Base
from panellint.shares.premises import LABEL_ALONE, Premise
from panellint.shares.solver.certificate import (
    Certified,
    Repair,
    certify,
    no_repair,
    repair_from,
    without_rows,
)
from panellint.shares.solver.constraints import Columns, Constraint, Terms
from panellint.shares.solver.guarantees import base_of


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


#: A misfit below this is rounding: the constraints fit together as far as anyone can tell.
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

#: What is left out first, if the rest still clashes: the label's own words are kept longest.
_LEFT_OUT_FIRST = (
    Premise.PRACTICE,
    Premise.COMPOSED,
    Premise.COMPOSITION,
    Premise.WATER,
    Premise.CALORIES,
    Premise.NAME,
    Premise.GUARANTEES,
    Premise.TAIL,
    Premise.GROUPS,
    Premise.ORDER,
    Premise.PERCENTAGES,
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
    """Constraints and columns, the programs over them, made when first asked for."""

    def __init__(self, columns: Columns, constraints: Iterable[Constraint]) -> None:
        self.columns = columns
        self.constraints = tuple(constraints)
        self._programs: dict[Base, Program] = {}
        self._masks: dict[Base, tuple[bool, ...]] = {}
        self._repairs: dict[Base, Repair | None] = {}
        #: Whether the solver gave no answer to some question.
        self.failed = False
        #: Formulas that solutions were found at, each on some base.
        self.points: list[Sequence[float]] = []

    def mask(self, base: Base) -> tuple[bool, ...]:
        """By column, whether it belongs to the base."""
        if base not in self._masks:
            inside = base_of(self.columns, base)
            self._masks[base] = tuple(c in inside for c in range(self.columns.count))
        return self._masks[base]

    def program(self, base: Base) -> Program:
        """The program over a base, made once."""
        if base not in self._programs:
            self._programs[base] = Program(self.constraints, self.mask(base))
        return self._programs[base]

    def _repair(self, base: Base) -> Repair | None:
        if base not in self._repairs:
            mask = self.mask(base)
            outside = {c: Fraction(1) for c, inside in enumerate(mask) if not inside}
            self._repairs[base] = None
            if outside and any(mask):
                every = (True,) * self.columns.count
                solution = Program(self.constraints, every).most(outside)
                bound = certify(self.constraints, outside, every, solution)
                self._repairs[base] = repair_from(bound, mask) if bound else None
        return self._repairs[base]

    def most(self, cost: Terms, base: Base) -> Extreme:
        """The most of a cost on a base."""
        mask = self.mask(base)
        if not any(mask):
            return Extreme(None, (), False)
        solution = self.solved(cost, base)
        repair = partial(self._repair, base)
        bound = certify(self.constraints, cost, mask, solution, repair)
        nothing = without_rows(cost, mask, repair)
        if bound is None or (nothing is not None and nothing.most <= bound.most):
            bound = nothing
        return Extreme(bound, solution.point, solution.status is Status.OPTIMAL)

    def solved(self, cost: Terms, base: Base = Base.MIX) -> Solution:
        """The most of a cost on a base as the solver has it, which nothing certifies."""
        solution = self.program(base).most(cost)
        if solution.status is Status.OPTIMAL:
            self.points.append(solution.point)
        self.failed |= solution.status is Status.TROUBLE
        return solution

    def solved_with(self, extra: Sequence[Constraint]) -> Solution:
        """A formula that keeps more constraints, if the solver finds one."""
        solution = Program((*self.constraints, *extra), self.mask(Base.MIX)).most({})
        self.failed |= solution.status is Status.TROUBLE
        return solution

    def has_formula(self) -> bool:
        """Whether the solver finds a formula, by whatever it was asked; where it finds none, that
        is for a certificate to prove."""
        if not self.points and any(self.mask(Base.MIX)):
            self.solved({})
        return bool(self.points)

    def reaches(self, cost: Terms, least: float, base: Base = Base.MIX) -> bool:
        """Whether a formula that was found, and that has some of the base, has at least so much
        of a cost."""
        terms = [(column, float(value)) for column, value in cost.items()]
        inside = [column for column, belongs in enumerate(self.mask(base)) if belongs]
        return any(
            sum([value * point[column] for column, value in terms]) >= least
            and sum([point[column] for column in inside]) > FITS
            for point in self.points
        )

    def simpler(self, cost: Terms, base: Base, bound: Certified) -> Certified:
        """The same bound from fewer premises and fewer constraints, where those are enough."""
        used = {premise for place in bound.used for premise in self.constraints[place].premises}
        mask = self.mask(base)
        for allowed in TIERS:
            if used <= allowed:
                break
            shorter = self._proven(_within(self.constraints, allowed), cost, mask)
            if shorter is not None and shorter.most <= bound.most + SAME:
                bound = shorter
                break
        # A short proof without any statement that the others can do without.
        if 2 < len(bound.used) <= SHORT_PROOF:
            for place in bound.used:
                others = [other for other in bound.used if other != place]
                if len(others) < len(bound.used):
                    shorter = self._proven(others, cost, mask)
                    if shorter is not None and shorter.most <= bound.most:
                        bound = shorter
        return bound

    def _proven(self, places: Sequence[int], cost: Terms, mask: Sequence[bool]) -> Certified | None:
        """The most of a cost, from some of the constraints alone."""
        some = [self.constraints[place] for place in places]
        bound = certify(some, cost, mask, Program(some, mask).most(cost))
        return bound and replace(bound, used=tuple(places[r] for r in bound.used))

    def misfit(self, extra: Sequence[Constraint] = ()) -> tuple[Solution, Certified | None]:
        """Whether the constraints and some more fit together.

        The certificate is given where they provably do not; the solution's value is minus the least
        lift that makes them fit and its point a formula, if that is nothing.
        """
        every = (*self.constraints, *extra)
        mask = self.mask(Base.MIX)
        solution, certificate = misfit(every, mask, partial(self._repair, Base.MIX))
        self.failed |= solution.status is Status.TROUBLE
        for allowed in TIERS if certificate is not None else ():
            places = _within(self.constraints, allowed)
            places += range(len(self.constraints), len(every))
            _, simpler = misfit([every[place] for place in places], mask)
            if simpler is not None:
                return solution, replace(simpler, used=tuple(places[r] for r in simpler.used))
        return solution, certificate


def _within(constraints: Sequence[Constraint], allowed: frozenset[Premise]) -> list[int]:
    """The places of the constraints that rest on none but the premises allowed."""
    return [
        place for place, constraint in enumerate(constraints) if allowed >= set(constraint.premises)
    ]


def misfit(
    constraints: Sequence[Constraint],
    mask: Sequence[bool],
    repair: Callable[[], Repair | None] = no_repair,
) -> tuple[Solution, Certified | None]:
    """Whether constraints fit together, where the columns of the mask weigh one together."""
    if not any(mask):
        return Solution(Status.OPTIMAL), None
    solution = Program(constraints, mask, elastic=True).most({})
    if solution.status is not Status.OPTIMAL or solution.value >= 0:
        return solution, None
    bound = certify(constraints, {}, mask, solution, repair)
    return solution, bound if bound is not None and bound.most < 0 else None


def smallest_clash(constraints: Sequence[Constraint], system: System) -> tuple[Constraint, ...]:
    """A set of constraints that cannot all hold, while any of them can be left out.

    Where the label's own words clash by themselves, only those are named. Those given clash
    already.
    """
    mask = system.mask(Base.MIX)
    own = [constraint for constraint in system.constraints if constraint.premise in LABEL_ALONE]
    _, certificate = misfit(own, mask)
    left = [own[place] for place in certificate.used] if certificate else list(constraints)
    for constraint in sorted(
        left, key=lambda constraint: _LEFT_OUT_FIRST.index(constraint.premise)
    ):
        if constraint not in left:
            continue
        without = [other for other in left if other is not constraint]
        _, certificate = misfit(without, mask)
        if certificate:
            left = [without[place] for place in certificate.used]
    return tuple(left)
