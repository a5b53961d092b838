"""The least change, or the least cost, of a formula that reaches what is asked for.

With `x` the new shares and `d >= |x - x0|` the changes, `sum d` is least over `sum x = 100`, the
limits of each ingredient and one linear row for each target: a linear program, solved by HiGHS.
The answer is then certified without the solver: the shares are rounded to what a scale can
weigh, every row is checked in exact arithmetic, and the multipliers give an exact lower bound of
the change that any formula needs. Where no formula does it, the point that misses the rows by the
least in all is the nearest, and the multipliers say what each limit costs.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product

from panellint.core.errors import PanellintError
from panellint.core.lp import INFINITE, LinearProgram, Range, Solution, Status
from panellint.core.numbers import number
from panellint.maker.model import Batch

#: Shares are told to this part of a percent; constraints are met with so much to spare (percent).
GRAIN = Fraction(1, 1000)
_SPARE = 1e-6
_TIE = 1e-6
#: Cost against the sparing of small lines, among least changes.
_COST = 0.03
WHOLE = Fraction(100)


@dataclass(frozen=True, slots=True)
class TargetRow:
    """`sum factors x >= 0` over the lines of the batch, in their order; `words` say what for."""

    factors: tuple[Fraction, ...]
    words: str

    def to_one(self) -> TargetRow:
        """The same row with 1 as its largest factor, for the solver's sake."""
        most = max(map(abs, self.factors), default=Fraction(0))
        return TargetRow(tuple(f / most for f in self.factors), self.words) if most else self


@dataclass(frozen=True, slots=True)
class LineLimits:
    """The least and the most of one line, in percent of the mix, and who says so."""

    low: Fraction
    high: Fraction
    words: str = ""


@dataclass(frozen=True, slots=True)
class NewFormula:
    """A formula that meets every row: new shares in percent by line, the change `sum |x - x0|`
    in percentage points, and the least change, or where cost was the goal the least cost, that any
    formula needs (certified; 0 if unknown). Costs are per kg of the mix, None where a line that
    counts has none."""

    shares: tuple[Fraction, ...]
    change: Fraction
    least_change: Fraction
    cost_before: Fraction | None = None
    cost_after: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Clash:
    """No formula does it: what cannot all be had, in words. `certified` is True where exact
    arithmetic alone shows it. `nearest` are the shares, in percent, that miss it by the least;
    `costs` say of each limit how much of what is missing a point more of it would make good, in
    percent."""

    words: tuple[str, ...]
    certified: bool
    nearest: tuple[Fraction, ...] = ()
    costs: tuple[tuple[str, float], ...] = ()


class SolverTrouble(PanellintError):
    """The solver gave neither an optimum nor a proof that there is none."""


def solve(
    batch: Batch, rows: Sequence[TargetRow], limits: Sequence[LineLimits], cheapest: bool = False
) -> NewFormula | Clash:
    """The least change of a batch within the limits that meets every row, or its least cost.

    `limits` are in the order of the lines. Raises SolverTrouble, and PanellintError where the
    least cost is asked for and a line has none.
    """
    if cheapest and (without := [line.name for line in batch.lines if line.cost is None]):
        raise PanellintError(f"no cost is known of {', '.join(without[:6])}")
    now = tuple(100 * batch.share(line) for line in batch.lines)
    rows = [row.to_one() for row in rows]
    inside = all(limit.low <= x <= limit.high for x, limit in zip(now, limits, strict=True))
    if inside and not cheapest and all(slack(row, now) >= 0 for row in rows):
        return NewFormula(now, Fraction(0), Fraction(0), batch.cost(), batch.cost())
    clash = _clash(rows, limits)
    if clash is not None:
        return clash
    costs = _tie_breakers(batch, now)
    if cheapest:
        costs = [float(line.cost or 0) for line in batch.lines], [_TIE] * len(now)
    weight = 0.0 if cheapest else 1.0
    try:
        point, multipliers = _solve(now, rows, limits, costs, _SPARE, weight)
    except SolverTrouble:
        point, multipliers = _solve(now, rows, limits, costs, 0.0, weight)
    shares = _rounded(now, point, rows, limits)
    change = sum((abs(a - b) for a, b in zip(shares, now, strict=True)), Fraction(0))
    return NewFormula(
        shares,
        change,
        _least(rows, limits, multipliers, lambda at, x: (batch.lines[at].cost or 0) * x) / 100
        if cheapest
        else _least(rows, limits, multipliers, lambda at, x: abs(x - now[at]), now),
        batch.cost(),
        batch.cost(shares),
    )


def _tie_breakers(batch: Batch, now: Sequence[Fraction]) -> tuple[list[float], list[float]]:
    """A grain of cost for each line's share and for its change.

    Of several least changes one is taken that leaves small lines (premixes, salt) alone, and
    of those the cheapest.
    """
    known = [line.cost for line in batch.lines if line.cost]
    most = float(max(known, default=Fraction(1)))
    return (
        [_TIE * _COST * float(line.cost or 0) / most for line in batch.lines],
        [_TIE / (1 + float(share)) ** 2 for share in now],
    )


def slack(row: TargetRow, shares: Sequence[Fraction]) -> Fraction:
    """By how much a row is met, exactly."""
    return sum((f * x for f, x in zip(row.factors, shares, strict=True)), Fraction(0))


def _clash(rows: Sequence[TargetRow], limits: Sequence[LineLimits]) -> Clash | None:
    """Why no formula fits, or None. The least sum of misses is looked for, and its multipliers
    say which rows and limits stand against one another."""
    point, prices, whole, missed = _elastic(rows, limits)
    if missed <= 1e-7:
        return None
    # Exact: with l >= 0 and any m, every formula has sum l row(x) + m (sum x - 100) <= the sum of
    # the largest terms over the limits; below nothing, no formula has all rows met.
    weights = [Fraction(max(0.0, price)) for price in prices]
    level = Fraction(whole)
    most = -level * WHOLE
    words = [row.words for row, weight in zip(rows, weights, strict=True) if weight > 0]
    costs: dict[str, float] = {}
    for at, limit in enumerate(limits):
        factor = level + sum(w * row.factors[at] for row, w in zip(rows, weights, strict=True))
        most += factor * (limit.high if factor > 0 else limit.low)
        bound = limit.high if factor > 0 else limit.low
        pinned = abs(float(bound) - point[at]) < 1e-6 and abs(factor) > Fraction(1, 10**9)
        if limit.words and pinned and bound not in (0, 100):
            side = "at most" if factor > 0 else "at least"
            words.append(f"{limit.words} ({side} {number(float(bound), 5)} %)")
            costs[words[-1]] = min(100.0, 100 * abs(float(factor)) / missed)
    whole_mix = abs(sum(point) - float(WHOLE)) < 1e-6
    nearest = tuple(Fraction(round(max(x, 0.0) * 10**6), 10**6) for x in point if whole_mix)
    by_cost = sorted(costs.items(), key=lambda pair: (-pair[1], pair[0]))
    return Clash(tuple(dict.fromkeys(words)), most < 0, nearest, tuple(by_cost))


def _rounded(
    now: Sequence[Fraction],
    point: Sequence[float],
    rows: Sequence[TargetRow],
    limits: Sequence[LineLimits],
) -> tuple[Fraction, ...]:
    """The shares on the grain of a scale, together 100 and meeting every row; finer where that
    is not to be had. A line that does not change keeps its share to the last digit."""
    for grain in (GRAIN, GRAIN / 1000, GRAIN / 10**6):
        kept = [abs(Fraction(x) - old) < grain for x, old in zip(point, now, strict=True)]
        shares = [
            old if same else Fraction(round(Fraction(x) / grain)) * grain
            for x, old, same in zip(point, now, kept, strict=True)
        ]
        shares = [
            min(max(x, limit.low), limit.high) for x, limit in zip(shares, limits, strict=True)
        ]
        rest = WHOLE - sum(shares, Fraction(0))
        # What rounding leaves over goes to one line, if it can be to one that changes anyway; else
        # with a grain or two more, taken from another for it.
        order = sorted(range(len(shares)), key=lambda at: (kept[at], -shares[at]))
        for size in (Fraction(0), grain, 2 * grain):
            for to, source in product(order, order if size else order[:1]):
                moved = list(shares)
                moved[to] += size + rest
                moved[source] -= size
                inside = all(limits[at].low <= moved[at] <= limits[at].high for at in (to, source))
                if inside and all(slack(row, moved) >= 0 for row in rows):
                    return tuple(moved)
    raise SolverTrouble("no formula on the grain of a scale meets every target")


def _least(
    rows: Sequence[TargetRow],
    limits: Sequence[LineLimits],
    multipliers: tuple[Sequence[float], float],
    price: Callable[[int, Fraction], Fraction],
    turns: Sequence[Fraction] = (),
) -> Fraction:
    """An exact lower bound of `sum price(i, x)` over all formulas, from any multipliers: for each
    line the least of `price - (sum l f + m) x` over its limits, together with `100 m`.

    A price is linear but for one turn in each line, at `turns`.
    """
    weights = [Fraction(max(0.0, multiplier)) for multiplier in multipliers[0]]
    level = Fraction(multipliers[1])
    bound = level * WHOLE
    for at, limit in enumerate(limits):
        factor = level + sum(w * row.factors[at] for row, w in zip(rows, weights, strict=True))
        ends = {limit.low, limit.high}
        if turns:
            ends.add(min(max(turns[at], limit.low), limit.high))
        bound += min(price(at, x) - factor * x for x in ends)
    return max(bound, Fraction(0))


# ---- the solver ----


def _solve(
    now: Sequence[Fraction],
    rows: Sequence[TargetRow],
    limits: Sequence[LineLimits],
    costs: tuple[Sequence[float], Sequence[float]],
    spare: float,
    weight: float,
) -> tuple[list[float], tuple[list[float], float]]:
    count = len(now)
    lines = [Range.of(_terms(row), spare) for row in rows]
    lines.append(Range.of([(i, 1.0) for i in range(count)], 100.0, 100.0))
    for i, start in enumerate(now):
        lines.append(Range.of([(i, -1.0), (count + i, 1.0)], -float(start)))
        lines.append(Range.of([(i, 1.0), (count + i, 1.0)], float(start)))
    cost = [*costs[0], *(weight + grain for grain in costs[1])]
    columns = [(float(limit.low), float(limit.high)) for limit in limits]
    solution = _run(cost, lines, columns + [(0.0, INFINITE)] * count)
    prices = solution.multipliers
    return list(solution.point[:count]), (list(prices[: len(rows)]), prices[len(rows)])


def _elastic(
    rows: Sequence[TargetRow], limits: Sequence[LineLimits]
) -> tuple[list[float], list[float], float, float]:
    """The point that misses the rows by the least in all, the prices of the rows and of the
    whole, and by how much they are missed. The whole too may be missed, at a higher price."""
    count, missing = len(limits), len(rows)
    lines = [Range.of([*_terms(row), (count + at, 1.0)]) for at, row in enumerate(rows)]
    whole = [(i, 1.0) for i in range(count)]
    ends = [(count + missing, 1.0), (count + missing + 1, -1.0)]
    lines.append(Range.of([*whole, *ends], 100.0, 100.0))
    cost = [0.0] * count + [1.0] * (missing + 2)
    columns = [(float(limit.low), float(limit.high)) for limit in limits]
    solution = _run(cost, lines, columns + [(0.0, INFINITE)] * (missing + 2))
    values, prices = list(solution.point), solution.multipliers
    return values[:count], list(prices[:missing]), prices[missing], sum(values[count:])


def _terms(row: TargetRow) -> list[tuple[int, float]]:
    return [(i, float(factor)) for i, factor in enumerate(row.factors) if factor]


def _run(
    cost: Sequence[float], rows: Sequence[Range], columns: Sequence[tuple[float, float]]
) -> Solution:
    solution = LinearProgram(cost, rows, columns).run()
    if solution.status is not Status.OPTIMAL:
        raise SolverTrouble(f"the solver gave no answer: {solution.status}")
    return solution
