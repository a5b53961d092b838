"""Least and most of every entry from the declaration alone, by exact interval arithmetic.

Sound for every declaration and sharp for none but the simplest: an entry is at most one k-th of
what it stands in, at most any before it and at least any after it; printed percentages, caps of
a tail and sums of groups narrow what is left. Repeated until nothing changes.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache, partial
from itertools import accumulate, pairwise
from typing import NamedTuple

from panellint.shares.exact.corners import ALL, NOTHING, ShareBound, ends_but, scaled
from panellint.shares.explain import (
    before_words,
    first_words,
    kth_words,
    percent_limits,
    percent_words,
    tail_words,
)
from panellint.shares.model import Path
from panellint.shares.premises import Premise
from panellint.shares.tree import Beside, Chain, Tree
from panellint.shares.unlisted import most_unlisted

ROUNDS = 12
WHOLE: Path = ()


class _Printed(NamedTuple):
    """What a printed percentage allows, as parts of its base; None where an end is open."""

    path: Path
    base: Path
    low: Fraction | None
    high: Fraction | None
    words: Callable[[], str]


class _Step(NamedTuple):
    """Something that narrows, with the entries that it looks at; `at_first` is False where it can
    only do so once another has."""

    run: Callable[[], None]
    paths: Sequence[Path]
    at_first: bool = True


class _Run(NamedTuple):
    """Entries in descending order, the group that they stand in, and all entries of it, with
    those apart that stand in no order."""

    premise: Premise
    paths: Sequence[Path]
    parent: Path
    everyone: Sequence[Path]
    loose: Sequence[Path]


class Spread:
    """Least and most of every entry, as parts of the mix; the empty path is the mix itself."""

    def __init__(self, tree: Tree, premises: Iterable[Premise]) -> None:
        self.tree = tree
        self.name = tree.name_of
        self.premises = frozenset(premises)
        self.low = dict.fromkeys(tree.entries, NOTHING)
        self.high = dict.fromkeys(tree.entries, ALL)
        self.low[WHOLE] = self.high[WHOLE] = ALL
        self._crossed: set[Path] = set()
        outer = tree.chains[0]
        self._groups = tree.ranks_by_group(outer, *outer.entries) is not None
        steps = list(self._steps())
        #: For each entry, the steps that look at its ends; and the steps that are due, since
        #: ends have changed that they look at. To run all of them every time makes a quick lint
        #: a tenth slower.
        self._readers: dict[Path, list[int]] = {path: [] for path in self.low}
        for number, step in enumerate(steps):
            for path in step.paths:
                self._readers[path].append(number)
        self._due = {number for number, step in enumerate(steps) if step.at_first}
        self._caps()
        for _ in range(ROUNDS):
            for number, step in enumerate(steps):
                if number in self._due:
                    self._due.discard(number)
                    step.run()
            if not self._due or self.clash:
                break

    def _steps(self) -> Iterator[_Step]:
        tree = self.tree
        if Premise.PERCENTAGES in self.premises:
            for printed in self._percentages():
                yield _Step(partial(self._percentage, printed), (printed.base, printed.path))
        lists = [(WHOLE, tree.declaration.ingredients, bool(tree.entries))]
        lists += [(p, e.members, not e.partial) for p, e in tree.entries.items() if e.members]
        for path, members, full in lists:
            paths = [member.path for member in members]
            # Of several that may each be nothing or all, a sum says nothing.
            run = partial(self._sums, path, paths, full=full)
            yield _Step(run, (path, *paths), at_first=len(paths) < 2)
        for chain in tree.chains:
            if chain.premise in self.premises:
                order = self._run(chain)
                yield _Step(partial(self._order, order), (order.parent, *order.everyone))
        if Premise.ORDER in self.premises:
            for beside in tree.beside():
                inside = (entry.path for entry in beside.after)
                yield _Step(partial(self._beside, beside), (beside.before.path, *inside))

    @property
    def clash(self) -> Path | None:
        """An entry whose least is above its most, or None."""
        crossed = self._crossed
        return next((path for path in self.low if path in crossed), None) if crossed else None

    # ---- what narrows ----

    def _narrow(
        self,
        path: Path,
        up: bool,
        top: int,
        bottom: int,
        words: Callable[[], str],
        premise: Premise | None,
        using: Iterable[ShareBound] = (),
        others: Callable[[], Iterable[ShareBound]] = tuple,
    ) -> None:
        """Bring the most of an entry (or its least) to top / bottom, if that is tighter."""
        now, other = self.low[path], self.high[path]
        if up:
            now, other = other, now
        tighter = top * now.bottom - now.top * bottom
        if (tighter >= 0) if up else (tighter <= 0):
            return
        rests: tuple[Premise, ...] = () if premise is None else (premise,)
        if premise is Premise.ORDER and self._groups:
            rests = (premise, Premise.GROUPS)
        (self.high if up else self.low)[path] = ShareBound(top, bottom, words, rests, using, others)
        self._due.update(self._readers[path])
        # Ends only draw nearer: what has crossed stays so.
        beyond = top * other.bottom - other.top * bottom
        if (beyond < 0) if up else (beyond > 0):
            self._crossed.add(path)

    def _caps(self) -> None:
        entries = self.tree.entries.values()
        for entry in entries:
            limit = None if self.tree.as_listed else most_unlisted(entry)
            if limit is not None and limit[1] in {*self.premises, Premise.COMPOSITION}:
                part, rests, why = limit
                because = partial(str, why)
                self._narrow(entry.path, True, part.numerator, part.denominator, because, rests)
        if Premise.TAIL not in self.premises:
            return
        for entry in entries:
            if entry.at_most is not None:
                cap = _part(entry.at_most)
                words = partial(tail_words, entry.name, cap)
                self._narrow(entry.path, True, cap.numerator, cap.denominator, words, Premise.TAIL)

    def _percentages(self) -> Iterator[_Printed]:
        for path, entry in self.tree.entries.items():
            percent = entry.percent
            base = self.tree.base_of(path, percent.of) if percent else None
            if percent is None or base is None:
                continue
            low, high = percent_limits(percent)
            words = partial(percent_words, entry.name, percent, low, high, self.name(base))
            yield _Printed(path, base, low, high, words)

    def _percentage(self, printed: _Printed) -> None:
        for limit, up in ((printed.low, False), (printed.high, True)):
            if limit is None:
                continue
            here, there = (self.high, self.low) if up else (self.low, self.high)
            part, whole, end = limit.numerator, limit.denominator, here[printed.base]
            top, bottom = part * end.top, whole * end.bottom
            self._narrow(printed.path, up, top, bottom, printed.words, Premise.PERCENTAGES, (end,))
            if printed.base and part > 0:
                end = there[printed.path]
                top, bottom = whole * end.top, part * end.bottom
                self._narrow(
                    printed.base, not up, top, bottom, printed.words, Premise.PERCENTAGES, (end,)
                )

    def _sums(self, path: Path, paths: Sequence[Path], *, full: bool) -> None:
        """A full group is the sum of its members; a partial one is no less."""
        lows = [self.low[p] for p in paths]
        highs = [self.high[p] for p in paths]
        whole = (self.low[path], self.high[path])
        scale, (least_of, most_of, (low, high)) = scaled(lows, highs, whole)
        least, most = sum(least_of), sum(most_of)
        if least > low:
            low = least
            words = partial("{} is no less than its parts together".format, self.name(path))
            self._narrow(path, False, least, scale, words, None, [end for end in lows if end.top])
        if most < high and full:
            high = most
            words = partial("{} is no more than its parts together".format, self.name(path))
            self._narrow(path, True, most, scale, words, None, highs)
        # What the others leave to a member beside its own least, and at its own most.
        room, lack = high - least, most - low
        above_nothing = [(at, end) for at, end in zip(paths, lows, strict=True) if end.top]
        every = list(zip(paths, highs, strict=True))
        for place, member in enumerate(paths):
            width = most_of[place] - least_of[place]
            if width > room:
                others = partial(ends_but, above_nothing, paths, place, place + 1)
                because = self._leave(member, path, "can be no more than")
                value = room + least_of[place]
                self._narrow(member, True, value, scale, because, None, (self.high[path],), others)
            if width > lack and full:
                others = partial(ends_but, every, paths, place, place + 1)
                because = self._leave(member, path, "must be no less than")
                value = most_of[place] - lack
                self._narrow(member, False, value, scale, because, None, (self.low[path],), others)

    def _run(self, chain: Chain) -> _Run:
        paths = [entry.path for entry in chain.entries]
        siblings = chain.parent.members if chain.parent else self.tree.declaration.ingredients
        everyone = [member.path for member in siblings]
        inside = set(paths)
        loose = [path for path in everyone if path not in inside]
        parent = chain.parent.path if chain.parent else WHOLE
        return _Run(chain.premise, paths, parent, everyone, loose)

    def _order(self, run: _Run) -> None:
        """None less than the next, and all of them within what they stand in."""
        high, low = self.high, self.low
        for before, after in pairwise(run.paths):
            if high[before] is not ALL:
                self._hand_on(before, after, run.premise)
        for after, before in pairwise(reversed(run.paths)):
            if low[after] is not NOTHING:
                self._hand_back(before, after, run.premise)
        self._shared_above(run)
        self._shared_below(run)

    def _hand_on(self, before: Path, after: Path, premise: Premise, *using: ShareBound) -> None:
        """No more than the most of what stands before."""
        end, now = self.high[before], self.high[after]
        if end.top * now.bottom < now.top * end.bottom:
            words = partial(before_words, self.name(before), self.name(after))
            self._narrow(after, True, end.top, end.bottom, words, premise, (end, *using))

    def _hand_back(self, before: Path, after: Path, premise: Premise, *using: ShareBound) -> None:
        """No less than the least of what stands behind."""
        end, now = self.low[after], self.low[before]
        if end.top * now.bottom > now.top * end.bottom:
            words = partial(before_words, self.name(before), self.name(after))
            self._narrow(before, False, end.top, end.bottom, words, premise, (end, *using))

    def _beside(self, beside: Beside) -> None:
        """Groups without a sure place stand between their neighbours all the same."""
        before, place = beside.before.path, beside.place
        most = self.high[before]
        by_place = place > 1 and place * most.top > most.bottom
        for entry in beside.after:
            after = entry.path
            if not by_place:
                self._hand_on(before, after, Premise.ORDER, _BY_GROUP)
            elif place * self.high[after].top > self.high[after].bottom:
                words = partial(kth_words, self.name(after), place, self.name(WHOLE))
                self._narrow(after, True, 1, place, words, Premise.ORDER, (_BY_GROUP,))
            if self.low[after] is not NOTHING:
                self._hand_back(before, after, Premise.ORDER, _BY_GROUP)

    def _shared_above(self, run: _Run) -> None:
        """An entry is at most its part of what it and those before it have between them."""
        paths, most = run.paths, self.high[run.parent]
        scale, (lows, (whole,), loose) = scaled(
            [self.low[p] for p in paths], [most], [self.low[p] for p in run.loose]
        )
        before = [0, *accumulate(lows)]
        spare = whole - before[-1] - sum(loose)
        sure = [(p, self.low[p]) for p in run.everyone if self.low[p].top]
        first = 0
        for place, path in enumerate(paths):
            # A longer run lowers the mean as long as what joins it has a lower least. These do
            # not rise along the list, so the best run never begins before that of the last entry.
            while first < place:
                rest = spare + before[place + 1] - before[first + 1]
                if lows[first] * (place - first) < rest:
                    break
                first += 1
            size = place - first + 1
            value = spare + before[place + 1] - before[first]
            now = self.high[path]
            if value * now.bottom < now.top * scale * size:
                others = partial(ends_but, sure, paths, first, place + 1)
                words = partial(self._of_run, kth_words, path, size, run.parent, others)
                self._narrow(path, True, value, scale * size, words, run.premise, (most,), others)

    def _shared_below(self, run: _Run) -> None:
        """An entry is at least its part of what it and those after it have to fill."""
        paths, least = run.paths, self.low[run.parent]
        scale, (highs, (whole,), loose) = scaled(
            [self.high[p] for p in paths], [least], [self.high[p] for p in run.loose]
        )
        before = [0, *accumulate(highs)]
        every = [(p, self.high[p]) for p in run.everyone]
        lack = whole - before[-1] - sum(loose)
        for place, path in enumerate(paths):
            if lack + before[-1] <= before[place] and highs[-1] >= 0:
                return  # those before can fill the whole, from here on
            start, last = place, len(paths) - 1
            while start < last:
                middle = (start + last + 1) // 2
                if highs[middle] * (middle - place) > lack + before[middle] - before[place]:
                    start = middle
                else:
                    last = middle - 1
            size = last - place + 1
            value = lack + before[last + 1] - before[place]
            now = self.low[path]
            if value * now.bottom > now.top * scale * size:
                others = partial(ends_but, every, paths, place, last + 1)
                words = partial(self._of_run, first_words, path, size, run.parent, others)
                self._narrow(path, False, value, scale * size, words, run.premise, (least,), others)

    # ---- words ----

    def _of_run(
        self,
        words: Callable[[str, int, str], str],
        path: Path,
        size: int,
        parent: Path,
        others: Callable[[], Iterable[ShareBound]],
    ) -> str:
        beside = any(True for _ in others())
        whole = "what the others leave" if beside else self.name(parent)
        return words(self.name(path), size, whole)

    def _leave(self, member: Path, path: Path, how: str) -> Callable[[], str]:
        words = "{} {} the others leave of {}".format
        return partial(words, self.name(member), how, self.name(path))


#: What is said of a group without a place of its own rests on its being one.
_BY_GROUP = ShareBound(0, 1, None, (Premise.GROUPS,))


@lru_cache(maxsize=64)
def _part(percent: Decimal) -> Fraction:
    """A printed percentage as a part: many entries of a tail have the same."""
    return Fraction(percent) / 100
