"""Rigorous bounds from any multipliers, in whole numbers.

For rows `a_r x >= 0` over weights `x >= 0`, and multipliers `l_r >= 0` whatever their
origin, `c x <= c x + sum_r l_r a_r x`. With `y = c + sum_r l_r a_r`, every `x` with base
`d x = 1` (`d` is 0 or 1 by column) has `c x <= max { y_i : d_i = 1 }` as long as no `y_i` with
`d_i = 0` is above zero. Where rounding left some hair above zero there, a row that is already
certified to bound those columns is added often enough to press it down. All of this is weak
duality of linear programming; no statement of the solver is trusted.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from panellint.core.lp import Solution
from panellint.shares.solver.constraints import Constraint, Terms

#: Binary digits kept of a multiplier, beside those of its row.
DIGITS = 60
#: Multipliers below this are rounding; leaving one out is always allowed.
NOTHING = 1e-11
#: A multiplier this near to a simple fraction is tried as that fraction.
NEAR = 1e-9
SIMPLEST = 2520
#: To how fine a part the row of a repair is rounded.
COARSE = 1 << 16
#: A bound that is higher by no more than this is as good.
HAIR = Fraction(1, 2 * 10**8)
#: The most rows for which simple fractions are tried: longer proofs are no pencil work.
SHORT = 60


@dataclass(frozen=True, slots=True)
class Repair:
    """A certified row that is negative on all columns outside the base, and the rows that add up
    to no more than it, with their multipliers."""

    values: tuple[int, ...]
    rows: tuple[tuple[int, Fraction], ...]


@dataclass(frozen=True, slots=True)
class Certified:
    """`c x <= most` for all formulas on the base, and the rows (by index) that prove it, each
    with its multiplier."""

    most: Fraction
    used: tuple[int, ...]
    multipliers: tuple[Fraction, ...]
    exact: bool


def no_repair() -> Repair | None:
    """Where no columns lie outside the base."""
    return None


def certify(
    rows: Sequence[Constraint],
    cost: Terms,
    base: Sequence[bool],
    solution: Solution,
    repair: Callable[[], Repair | None] = no_repair,
) -> Certified | None:
    """The most of `cost`, proven by the solver's multipliers of the scaled rows.

    Tries simple fractions first, which give figures sharp to the last digit, and keeps what is
    tighter by more than a hair. None where columns outside the base cannot be bounded; `repair`
    is only asked for where some are.
    """
    used = [(r, value) for r, value in enumerate(solution.multipliers) if value > NOTHING]
    sharp = _simple(rows, cost, base, used, repair)
    if sharp is not None and sharp.most <= solution.value + HAIR:
        return sharp
    digits = DIGITS + max((rows[r].scale.bit_length() for r, _ in used), default=0)
    whole = [(r, _whole(value, digits) // rows[r].scale) for r, value in used]
    plain = _evaluate(rows, cost, base, whole, 1 << digits, False, repair)
    if sharp is None or (plain is not None and plain.most + 2 * HAIR < sharp.most):
        return plain
    return sharp


def _simple(
    rows: Sequence[Constraint],
    cost: Terms,
    base: Sequence[bool],
    used: Sequence[tuple[int, float]],
    repair: Callable[[], Repair | None],
) -> Certified | None:
    """The most with simple fractions for multipliers; None where they are not near to any."""
    if len(used) > SHORT:
        return None
    exact = []
    for r, value in used:
        simple = Fraction(value).limit_denominator(SIMPLEST)
        if abs(simple - value) > NEAR:
            return None
        exact.append((r, simple / rows[r].scale))
    common = math.lcm(*[value.denominator for _, value in exact]) if exact else 1
    whole = [(r, value.numerator * (common // value.denominator)) for r, value in exact]
    return _evaluate(rows, cost, base, whole, common, True, repair)


def without_rows(
    cost: Terms, base: Sequence[bool], repair: Callable[[], Repair | None]
) -> Certified | None:
    """The most of a cost that holds of any formula, whatever the rows say."""
    return _evaluate((), cost, base, (), 1, True, repair)


def _whole(value: float, digits: int) -> int:
    numerator, denominator = value.as_integer_ratio()
    return (numerator << digits) // denominator


def _evaluate(
    rows: Sequence[Constraint],
    cost: Terms,
    base: Sequence[bool],
    used: Sequence[tuple[int, int]],
    common: int,
    exact: bool,
    repair: Callable[[], Repair | None],
) -> Certified | None:
    scale = math.lcm(*(value.denominator for value in cost.values())) if cost else 1
    sums = [0] * len(base)
    for column, part in cost.items():
        sums[column] = part.numerator * (scale // part.denominator) * common
    for r, multiplier in used:
        factor = multiplier * scale
        for column, value in zip(rows[r].columns, rows[r].values, strict=True):
            sums[column] += factor * value
    proven = {r: Fraction(multiplier, common) for r, multiplier in used if multiplier}
    high = max([y for y, inside in zip(sums, base, strict=True) if not inside], default=0)
    if high > 0:
        row = repair()
        if row is None:
            return None
        times = max(
            -(-y // -row.values[i])
            for i, (y, inside) in enumerate(zip(sums, base, strict=True))
            if not inside and y > 0
        )
        sums = [y + times * value for y, value in zip(sums, row.values, strict=True)]
        for r, share in row.rows:
            proven[r] = proven.get(r, Fraction(0)) + Fraction(times, common * scale) * share
        exact = False
    inside_sums = [y for y, inside in zip(sums, base, strict=True) if inside]
    if not inside_sums:
        return None
    most = Fraction(max(inside_sums), common * scale)
    return Certified(most, tuple(sorted(proven)), tuple(proven[r] for r in sorted(proven)), exact)


def repair_from(bound: Certified, base: Sequence[bool]) -> Repair | None:
    """A row that keeps the columns outside a base below a part of the whole.

    `bound` is the certified most of those columns, all columns weighing one together. None
    where they may be the whole, so that the base may weigh nothing.
    """
    # Rounded up to few digits: the row must be light, since it is added in whole numbers.
    most = Fraction(math.ceil(bound.most * COARSE), COARSE)
    if most >= 1:
        return None
    return Repair(
        tuple(most.numerator - (0 if inside else most.denominator) for inside in base),
        tuple(
            (r, most.denominator * m) for r, m in zip(bound.used, bound.multipliers, strict=True)
        ),
    )
