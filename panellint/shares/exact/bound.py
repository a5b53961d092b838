"""One end of an interval, with why it holds: exact, cheap to compare, worded when asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import chain, islice
from math import gcd, lcm

from panellint.shares.explain import sentence
from panellint.shares.model import Path, Proof
from panellint.shares.premises import Premise, in_order

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
