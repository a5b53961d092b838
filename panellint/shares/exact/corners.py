"""The corners of a descending list: "the first k weigh the same, the rest nothing"; and whether
several conditions can hold together at a mixture of them.

That is a small matrix game, solved exactly: the standard simplex method of linear programming
(Dantzig) with Bland's rule, on fractions.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from functools import cached_property
from itertools import accumulate, chain, islice
from math import gcd, lcm

from panellint.shares.explain import sentence
from panellint.shares.model import Path, Proof
from panellint.shares.premises import Premise, in_order
from panellint.shares.tree import Tree

#: Sentences of one proof: a longer one is no pencil work.
LONGEST = 8


class ShareBound:
    """One end of an interval, `top / bottom` of the mix, with why it holds.

    Whole numbers are worked with at a tenth of the cost of fractions; `bottom` is above nothing.
    Most ends are never told, so why it holds is put into words when first asked for: first what
    the ends `using` say, and those that `others` gives, then `words`. It rests on `premises` beside
    those of what it uses.
    """

    __slots__ = ("_known_reasons", "_others", "_premises", "_using", "_words", "bottom", "top")

    def __init__(
        self,
        top: int,
        bottom: int,
        words: Callable[[], str] | None = None,
        premises: Iterable[Premise] = (),
        using: Iterable[ShareBound] = (),
        others: Callable[[], Iterable[ShareBound]] = tuple,
    ) -> None:
        common = gcd(top, bottom)
        self.top = top // common
        self.bottom = bottom // common
        self._words = words
        self._premises = premises
        self._using = using
        self._others = others
        self._known_reasons: tuple[tuple[str, ...], frozenset[Premise]] | None = None

    @property
    def value(self) -> Fraction:
        """As a part of the mix."""
        return Fraction(self.top, self.bottom)

    @property
    def sentences(self) -> tuple[str, ...]:
        """Why it holds: what is used before what follows from it, no sentence twice."""
        return self._reasons()[0]

    @property
    def rests_on(self) -> frozenset[Premise]:
        """All that it rests on."""
        return self._reasons()[1]

    @property
    def proof(self) -> Proof:
        """As a proof of its own."""
        sentences, rests_on = self._reasons()
        return Proof(sentences[-LONGEST:], in_order(rests_on))

    def _reasons(self) -> tuple[tuple[str, ...], frozenset[Premise]]:
        # An end may stand on a chain of others as long as the list: hence no recursion.
        waiting = [self]
        while waiting:
            end = waiting[-1]
            open_ends = [used for used in end._used() if used._known_reasons is None]
            if open_ends and end._known_reasons is None:
                waiting.extend(open_ends)
                continue
            if end._known_reasons is None:
                end._known_reasons = end._own_reasons()
            waiting.pop()
        assert self._known_reasons is not None
        return self._known_reasons

    def _used(self) -> Iterator[ShareBound]:
        return chain(self._using, self._others())

    def _own_reasons(self) -> tuple[tuple[str, ...], frozenset[Premise]]:
        used = [end._known_reasons for end in self._used() if end._known_reasons is not None]
        reasons = dict.fromkeys(words for sentences, _ in used for words in sentences)
        if self._words is not None:
            reasons[sentence(self._words())] = None
        return tuple(reasons), frozenset(self._premises).union(*(rests for _, rests in used))


def ends_but(
    ends: Sequence[tuple[Path, ShareBound]], members: Sequence[Path], start: int, stop: int
) -> Iterator[ShareBound]:
    """Yields the ends of a list but for those of some of its members: each member of a long list
    has its others, and the list is kept once for all of them."""
    left_out = set(members[start:stop])
    return (end for path, end in ends if path not in left_out)


NOTHING = ShareBound(0, 1)
ALL = ShareBound(1, 1)


def scaled(*runs: Sequence[ShareBound]) -> tuple[int, list[list[int]]]:
    """Ends as whole numbers over one denominator, which comes first."""
    ends = list(chain(*runs))
    scale = lcm(*{end.bottom for end in ends})
    numbers = iter([end.top * (scale // end.bottom) for end in ends])
    return scale, [list(islice(numbers, len(run))) for run in runs]


class Corners:
    """The corners of the outer list of a declaration.

    Every formula is a mixture of them, however each entry is made up inside, so that a sum over
    leaves is nowhere more than at the corner where it is most. `ordered` is False where the
    order is not to be used.
    """

    def __init__(self, tree: Tree, *, ordered: bool) -> None:
        self.tree = tree
        self._in_order = ordered

    @cached_property
    def _places(self) -> tuple[dict[int, int], list[int]]:
        """The places of the top entries that stand in order, each with the corner from which on
        it weighs something, and those that do not."""
        ordered: dict[int, int] = {}
        if self._in_order:
            chain = self.tree.chains[0].entries
            ordered = {entry.path[0]: corner for corner, entry in enumerate(chain, start=1)}
        every = range(len(self.tree.declaration.ingredients))
        return ordered, [place for place in every if place not in ordered]

    def _best(self, terms: Mapping[int, int], up: bool) -> dict[int, int]:
        """The most (or least) that a sum over leaves can be of each top entry that has some."""
        pick = max if up else min
        best: dict[int, int] = {}
        seen: Counter[int] = Counter()
        for leaf, number in terms.items():
            place = self.tree.place_of(leaf)
            best[place] = pick(best.get(place, number), number)
            seen[place] += 1
        for place, count in seen.items():
            if count < len(self.tree.under[(place,)]):
                best[place] = pick(best[place], 0)
        return best

    def _totals(self, terms: Mapping[int, int], up: bool) -> tuple[list[int], list[int]]:
        """The most (or least) of a sum over leaves: of the first k entries in order for each k,
        and of each entry that stands in none."""
        best = self._best(terms, up)
        ordered, loose = self._places
        running = accumulate(best.get(place, 0) for place in ordered)
        return list(running), [best.get(place, 0) for place in loose]

    def values(self, scale: int, terms: Mapping[int, int], up: bool) -> list[Fraction]:
        """The most (or least) of a sum over leaves at every corner, per unit of the mix. `terms`
        are whole numbers over `scale`."""
        running, single = self._totals(terms, up)
        return [
            *(Fraction(total, scale * k) for k, total in enumerate(running, start=1)),
            *(Fraction(number, scale) for number in single),
        ]

    def most(self, terms: Mapping[int, int]) -> tuple[int, int]:
        """The most of a sum over leaves at any corner, as a total and how many entries share
        it: total / entries per unit of the mix.

        Between two entries of the sum its total stands still, so that of the corners there the
        first has the most; the last, where the total is below nothing.
        """
        best = self._best(terms, True)
        ordered, loose = self._places
        apart = [number for place, number in best.items() if place not in ordered]
        if len(apart) < len(loose):
            apart.append(0)
        corners = [(max(apart), 1)] if apart else []
        total, first = 0, 1
        for place in sorted(best.keys() & ordered.keys(), key=ordered.__getitem__):
            if first < ordered[place]:
                corners.append((total, first if total >= 0 else ordered[place] - 1))
            total, first = total + best[place], ordered[place]
        if ordered:
            corners.append((total, first if total >= 0 else len(ordered)))
        if not corners:
            raise ValueError("a declaration without entries has no corners")
        return max(corners, key=lambda corner: Fraction(*corner))

    def ratio(
        self, scale: int, terms: Mapping[int, int], base: Mapping[int, int], up: bool
    ) -> Fraction | None:
        """The most (least) of a ratio over the corners; None where it has no bound. `terms` are
        whole numbers over `scale`, those of `base` over 1."""
        signed = terms if up else {leaf: -number for leaf, number in terms.items()}
        # Sum and base are of the same entries, so their number cancels out.
        thick, thin = self._sums(base, True), self._sums(base, False)
        best: tuple[int, int] | None = None
        for place, top in enumerate(self._sums(signed, True)):
            bottom = thin[place] if top > 0 else thick[place]
            if bottom == 0:
                if top > 0:
                    return None
            elif best is None or top * best[1] > best[0] * bottom:
                best = top, bottom
        if best is None:
            return None
        return Fraction(best[0] if up else -best[0], scale * best[1])

    def _sums(self, terms: Mapping[int, int], up: bool) -> list[int]:
        running, single = self._totals(terms, up)
        return running + single


def _solve(table: Sequence[Sequence[Fraction]]) -> tuple[Fraction, list[Fraction]]:
    """The value, and the mix of rows that keeps it down, with all columns at hand."""
    rows, columns = len(table), len(table[0])
    shift = 1 - min(min(row) for row in table)
    # max sum x, x >= 0, sum_k x_k (table_kj + shift) <= 1 for every j: x is the mix of rows
    # over the value. One slack for each j.
    lines = [
        [table[k][j] + shift for k in range(rows)]
        + [Fraction(int(i == j)) for i in range(columns)]
        + [Fraction(1)]
        for j in range(columns)
    ]
    goal = [Fraction(-1)] * rows + [Fraction(0)] * (columns + 1)
    basis = [rows + j for j in range(columns)]
    while (enter := next((c for c in range(rows + columns) if goal[c] < 0), None)) is not None:
        leave = min(
            (j for j in range(columns) if lines[j][enter] > 0),
            key=lambda j: (lines[j][-1] / lines[j][enter], basis[j]),
        )
        pivot = lines[leave][enter]
        lines[leave] = [value / pivot for value in lines[leave]]
        for other in (*(line for line in lines if line is not lines[leave]), goal):
            factor = other[enter]
            if factor:
                other[:] = [a - factor * b for a, b in zip(other, lines[leave], strict=True)]
        basis[leave] = enter
    value = 1 / goal[-1]
    mix = [Fraction(0)] * rows
    for j, column in enumerate(basis):
        if column < rows:
            mix[column] = lines[j][-1] * value
    return value - shift, mix


def play(table: Sequence[Sequence[Fraction]]) -> Fraction:
    """Returns the value of a game: the most, over mixes of columns, of the least row.

    `table[k][j]` is paid to the chooser of columns. Columns are brought in as they beat the mix
    of rows so far, so that many columns cost little.
    """
    columns = list(zip(*table, strict=True))
    used = sorted({max(range(len(columns)), key=lambda j: row[j]) for row in table})
    while True:
        value, mix = _solve([[row[j] for j in used] for row in table])
        paid = [sum(m * v for m, v in zip(mix, column, strict=True) if m) for column in columns]
        best = max(range(len(columns)), key=paid.__getitem__)
        if paid[best] <= value:
            return value
        used.append(best)
