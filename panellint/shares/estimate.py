"""A central formula: the mean of formulas that fit, by sampling. An estimate, never a proof.

The formulas are sampled as weights and water lost; each guarantee becomes one row with the
composition ranges drawn in around their middles, since ingredients are rarely all at an end of
their range at once. Usual levels of practice are used where they fit. The chain is a
hit-and-run walk (Smith 1984, Operations Research 32:1296) whose directions join corners of the
set, so that it needs no care for thin or flat sets; it starts from the mean of the corners and
always takes the same path.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import numpy as np

from panellint.catalogue.model import PARTS
from panellint.core.lp import Solution, Status
from panellint.shares.model import Path
from panellint.shares.premises import Premise, in_order
from panellint.shares.solver.constraints import (
    Columns,
    Constraint,
    Terms,
    difference,
    not_negative,
    times,
)
from panellint.shares.solver.program import Program

if TYPE_CHECKING:
    from panellint.shares.solver.formula_set import Formulas
    from panellint.shares.solver.guarantees import Limit

#: How far a range is kept from its middle: one is the whole range.
DRAWN_IN = (Fraction(1, 3), Fraction(2, 3), Fraction(1))
STEPS_PER_LEAF = 150
LEAST_STEPS = 1500
SEED = 20
TOO_NEAR = 1e-6


@dataclass(frozen=True, slots=True)
class Estimate:
    """The central formula in percent of the mix by leaf path, and the usual distance from it.

    `spread` is one standard deviation among the sampled formulas. `uses` are the premises that
    went into it, `composition` and `practice` among them where they did.
    """

    shares: dict[Path, float]
    spread: dict[Path, float]
    uses: tuple[Premise, ...]


def central(formulas: Formulas) -> Estimate | None:
    """The mean of the formulas that fit; None where none does or the solver cannot tell.

    Practice is used where it leaves any formula, and given up where it does not.
    """
    if not formulas.tree.leaves or not formulas.consistent:
        return None
    for practice in (True, False):
        for width in DRAWN_IN:
            found = _sampled(formulas, width, practice)
            if found is not None:
                return found
    return None


def _sampled(formulas: Formulas, width: Fraction, practice: bool) -> Estimate | None:
    constraints, columns = _constraints(formulas, width, practice)
    size = columns.count + 2
    mask = [column < columns.count for column in range(size)]
    program = Program(constraints, mask)
    corners: list[Sequence[float]] = []
    for leaf in range(columns.count):
        for sign in (1, -1):
            solution: Solution = program.most({leaf: Fraction(sign)})
            if solution.status is not Status.OPTIMAL:
                return None
            corners.append(solution.point)
    table = np.zeros((len(constraints), size))
    for place, constraint in enumerate(constraints):
        for column, value in constraint.coefficients:
            table[place, column] = value / constraint.scale
    points = _walk(table, np.unique(np.round(np.array(corners), 12), axis=0))[:, : columns.count]
    means, deviations = 100 * points.mean(axis=0), 100 * points.std(axis=0)
    uses = {premise for constraint in constraints for premise in constraint.premises}
    leaves = formulas.tree.leaves
    return Estimate(
        {leaf.path: float(means[leaf.index]) for leaf in leaves},
        {leaf.path: float(deviations[leaf.index]) for leaf in leaves},
        in_order(uses),
    )


def _walk(table: Any, corners: Any) -> Any:
    """Points of a hit-and-run walk within `table x >= 0`, `x >= 0`; corners by row."""
    count, size = corners.shape
    if count == 1:
        return corners
    rng = np.random.default_rng(SEED)
    sides = np.vstack([table, np.eye(size)])
    lifted = sides @ corners.T
    point, level = corners.mean(axis=0), lifted.mean(axis=1)
    steps = max(LEAST_STEPS, STEPS_PER_LEAF * size)
    pairs = rng.integers(0, count, size=(steps, 2))
    where = rng.random(steps)
    kept = []
    for step, (a, b) in enumerate(pairs):
        # Corners that differ by rounding alone give no direction: a step along the noise of
        # their digits would be of any length and lead out of the set.
        if np.abs(corners[a] - corners[b]).max() < TOO_NEAR:
            continue
        move = lifted[:, a] - lifted[:, b]
        room = np.maximum(level, 0.0)
        with np.errstate(divide="ignore", invalid="ignore"):
            far = room / np.abs(move)
        forth = far[move < -1e-13].min(initial=np.inf)
        back = far[move > 1e-13].min(initial=np.inf)
        if not np.isfinite(forth + back):
            continue
        length = -back + where[step] * (forth + back)
        point = point + length * (corners[a] - corners[b])
        level = level + length * move
        if step >= steps // 5:
            kept.append(point)
    return np.array(kept) if kept else point[None, :]


def _constraints(
    formulas: Formulas, width: Fraction, practice: bool
) -> tuple[list[Constraint], Columns]:
    """The constraints over whole leaves, with two columns more: water lost and water taken up."""
    plain = formulas.plain_system(practice=practice)
    columns = plain.columns
    lost, gained = columns.count, columns.count + 1
    food = {**columns.mix(), lost: Fraction(-1), gained: Fraction(1)}
    found = [*plain.constraints, *_water(formulas, columns, lost, gained, width)]
    for limit in formulas.limits:
        near = formulas.near_the_truth(limit) if practice else None
        for one, premise in ((limit, None), (near, Premise.PRACTICE)):
            if one is not None:
                found += _within(formulas, columns, one, food, width, premise)
    return found, columns


def _water(
    formulas: Formulas, columns: Columns, lost: int, gained: int, width: Fraction
) -> Iterator[Constraint]:
    low, high = formulas.water_lost
    mix, one = columns.mix(), Fraction(1)
    wet = {leaf: _drawn_in(formulas, leaf, "moisture", width)[1] for leaf in mix}
    yield from _estimated(difference(wet, {lost: one}), Premise.WATER)
    for column, least, most in ((lost, low, high), (gained, -high, -low)):
        room = times(mix, max(most, Fraction(0)))
        yield from _estimated(difference(room, {column: one}), Premise.WATER)
        needed = max(least, Fraction(0))
        yield from _estimated(difference({column: one}, mix, needed), Premise.WATER)


def _within(
    formulas: Formulas,
    columns: Columns,
    limit: Limit,
    food: dict[int, Fraction],
    width: Fraction,
    premise: Premise | None,
) -> Iterator[Constraint]:
    """What a limit asks of whole leaves, with their ranges drawn in."""
    leaves = range(columns.count)
    held = [_drawn_in(formulas, leaf, limit.nutrient, width) for leaf in leaves]
    wet = [_drawn_in(formulas, leaf, "moisture", width) for leaf in leaves]
    moved = (
        {}
        if limit.nutrient != "moisture"
        else {c: v for c, v in food.items() if c >= columns.count}
    )
    least, most = ({**dict(enumerate(ends)), **moved} for ends in zip(*held, strict=True))
    small = large = food
    if limit.of_dry:
        driest, wettest = (dict(enumerate(ends)) for ends in zip(*wet, strict=True))
        small, large = difference(columns.mix(), wettest), difference(columns.mix(), driest)
    if limit.low is not None:
        yield from _estimated(difference(most, small, limit.low), Premise.GUARANTEES, premise)
    if limit.high is not None:
        terms = difference(times(large, limit.high), least)
        yield from _estimated(terms, Premise.GUARANTEES, premise)


def _estimated(terms: Terms, premise: Premise, also: Premise | None = None) -> Iterator[Constraint]:
    also = also or (Premise.COMPOSITION if premise is Premise.GUARANTEES else None)
    return not_negative(terms, premise, str, also=also)


def _drawn_in(
    formulas: Formulas, leaf: int, nutrient: str, width: Fraction
) -> tuple[Fraction, Fraction]:
    """A range drawn in around its middle; what is unknown, or nearly, keeps its width."""
    low, high = formulas.content(leaf, nutrient)
    if high is None:
        return low, Fraction(10**12)
    if high - low > Fraction(1, 2) and nutrient in PARTS:
        return low, high
    middle, half = (low + high) / 2, (high - low) / 2 * width
    return middle - half, middle + half
