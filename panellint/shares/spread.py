"""Least and most of every entry from the declaration alone, by exact interval arithmetic.

Sound for every declaration and sharp for none but the simplest: an entry is at most one k-th of
what it stands in, at most any before it and at least any after it; printed percentages, caps of
a tail and sums of groups narrow what is left. Repeated until nothing changes.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction
from functools import partial
from itertools import accumulate, pairwise
from typing import NamedTuple

from panellint.declared import Ingredient
from panellint.label.model import PercentOf
from panellint.shares.answers import Path
from panellint.shares.ends import ALL, NOTHING, End, scaled
from panellint.shares.premises import Premise
from panellint.shares.tree import Beside, Chain, Tree
from panellint.shares.unlisted import additives_at_most
from panellint.shares.words import (
    before_words,
    first_words,
    kth_words,
    percent_limits,
    percent_words,
    say,
    tail_words,
)

ROUNDS = 12
WHOLE: Path = ()


class _Printed(NamedTuple):
    """What a printed percentage allows, as parts of its base; None where an end is open."""

    path: Path
    base: Path
    low: Fraction | None
    high: Fraction | None
    words: Callable[[], str]


class _Run(NamedTuple):
    """Entries in descending order, the group they stand in, and all entries of that group."""

    premise: Premise
    paths: Sequence[Path]
    parent: Path
    everyone: Sequence[Path]


class Spread:
    """Least and most of every entry, as parts of the mix; the empty path is the mix itself."""

    def __init__(self, tree: Tree, premises: Iterable[Premise]) -> None:
        self.tree = tree
        self.premises = frozenset(premises)
        self.low = dict.fromkeys(tree.entries, NOTHING)
        self.high = dict.fromkeys(tree.entries, ALL)
        self.low[WHOLE] = self.high[WHOLE] = ALL
        self._changed = False
        self._crossed: set[Path] = set()
        outer = next(tree.chains())
        self._groups = tree.ranks_by_group(outer, *outer.entries) is not None
        runs = [self._run(chain) for chain in tree.chains() if chain.premise in self.premises]
        groups = [(path, entry) for path, entry in tree.entries.items() if entry.members]
        printed = list(self._percentages()) if Premise.PERCENTAGES in self.premises else []
        beside = list(tree.beside()) if Premise.ORDER in self.premises else []
        self._caps()
        for _ in range(ROUNDS):
            self._changed = False
            for one in printed:
                self._percentage(one)
            self._sums(WHOLE, tree.declaration.ingredients, full=bool(tree.entries))
            for path, entry in groups:
                self._sums(path, entry.members, full=not entry.partial)
            for run in runs:
                self._order(run)
            for neighbours in beside:
                self._beside(neighbours)
            if not self._changed or self.clash:
                break

    @property
    def clash(self) -> Path | None:
        """An entry whose least is above its most, or None."""
        crossed = self._crossed
        return next((path for path in self.low if path in crossed), None) if crossed else None

    def name(self, path: Path) -> str:
        """The entry as printed; "the mix" for the whole."""
        return self.tree.entries[path].name if path else "the mix"

    # ---- what narrows ----

    def _narrow(
        self,
        path: Path,
        value: Fraction,
        up: bool,
        words: Callable[[], str],
        premise: Premise | None,
        *using: End,
    ) -> None:
        ends, others = (self.high, self.low) if up else (self.low, self.high)
        rests = [] if premise is None else [premise]
        if premise is Premise.ORDER and self._groups:
            rests.append(Premise.GROUPS)
        end, now, other = End(value, words, rests, using), ends[path], others[path]
        if end.is_less(now) if up else now.is_less(end):
            ends[path] = end
            self._changed = True
            # Ends only draw nearer: what has crossed stays so.
            if end.is_less(other) if up else other.is_less(end):
                self._crossed.add(path)

    def _caps(self) -> None:
        for path, entry in self.tree.entries.items():
            most = additives_at_most(entry)
            if most is not None:
                words = partial(_at_most_words, entry.name, most)
                self._narrow(path, most / 100, True, words, Premise.COMPOSITION)
        if Premise.TAIL not in self.premises:
            return
        for path, entry in self.tree.entries.items():
            if entry.at_most is not None:
                cap = Fraction(entry.at_most) / 100
                self._narrow(path, cap, True, partial(tail_words, entry.name, cap), Premise.TAIL)

    def _percentages(self) -> Iterator[_Printed]:
        for path, entry in self.tree.entries.items():
            percent = entry.percent
            base = self._percent_base(path, entry)
            if percent is None or base is None:
                continue
            low, high = percent_limits(
                Fraction(percent.value), Fraction(percent.half_unit), percent.bound
            )
            words = partial(percent_words, entry.name, percent, low, high, self.name(base))
            yield _Printed(path, base, low, high, words)

    def _percentage(self, one: _Printed) -> None:
        path, base, low, high, words = one
        if low is not None:
            end = self.low[base]
            self._narrow(path, low * end.value, False, words, Premise.PERCENTAGES, end)
            if base and low > 0:
                end = self.high[path]
                self._narrow(base, end.value / low, True, words, Premise.PERCENTAGES, end)
        if high is not None:
            end = self.high[base]
            self._narrow(path, high * end.value, True, words, Premise.PERCENTAGES, end)
            if base and high > 0:
                end = self.low[path]
                self._narrow(base, end.value / high, False, words, Premise.PERCENTAGES, end)

    def _percent_base(self, path: Path, entry: Ingredient) -> Path | None:
        of = entry.percent.of if entry.percent else None
        if of is PercentOf.FOOD:
            return WHOLE
        around = None
        if of is PercentOf.PARENT:
            around = self.tree.parent(path)
        elif of is PercentOf.COMPONENT:
            around = self.tree.component(path)
        return around.path if around else None

    def _sums(self, path: Path, members: Sequence[Ingredient], *, full: bool) -> None:
        """A full group is the sum of its members; a partial one is no less."""
        paths = [member.path for member in members]
        lows = [self.low[p] for p in paths]
        highs = [self.high[p] for p in paths]
        whole = (self.low[path], self.high[path])
        scale, (least_of, most_of, (low, high)) = scaled(lows, highs, whole)
        least, most = sum(least_of), sum(most_of)
        if least > low:
            low = least
            told = [end for end in lows if end.top]
            words = partial("{} is no less than its parts together".format, self.name(path))
            self._narrow(path, Fraction(least, scale), False, words, None, *told)
        if most < high and full:
            high = most
            words = partial("{} is no more than its parts together".format, self.name(path))
            self._narrow(path, Fraction(most, scale), True, words, None, *highs)
        # What the others leave to a member beside its own least, and at its own most.
        room, lack = high - least, most - low
        for place, member in enumerate(paths):
            width = most_of[place] - least_of[place]
            if width > room:
                others = [end for i, end in enumerate(lows) if i != place and end.top]
                value = Fraction(room + least_of[place], scale)
                because = self._leave(member, path, "can be no more than")
                self._narrow(member, value, True, because, None, self.high[path], *others)
            if width > lack and full:
                above = [end for i, end in enumerate(highs) if i != place]
                value = Fraction(most_of[place] - lack, scale)
                because = self._leave(member, path, "must be no less than")
                self._narrow(member, value, False, because, None, self.low[path], *above)

    def _run(self, chain: Chain) -> _Run:
        paths = [entry.path for entry in chain.entries]
        siblings = chain.parent.members if chain.parent else self.tree.declaration.ingredients
        everyone = [member.path for member in siblings]
        return _Run(chain.premise, paths, chain.parent.path if chain.parent else WHOLE, everyone)

    def _order(self, run: _Run) -> None:
        """None less than the next, and all of them within what they stand in."""
        pairs = list(pairwise(run.paths))
        for before, after in pairs:
            self._descend(before, after, True, run.premise)
        for before, after in reversed(pairs):
            self._descend(before, after, False, run.premise)
        self._shared_above(run)
        self._shared_below(run)

    def _descend(self, before: Path, after: Path, up: bool, premise: Premise, *using: End) -> None:
        """One entry is no less than another: the most of the one is handed on, or the least of
        the other back."""
        if up:
            end, path = self.high[before], after
            tighter = end.is_less(self.high[after])
        else:
            end, path = self.low[after], before
            tighter = self.low[before].is_less(end)
        if tighter:
            words = partial(before_words, self.name(before), self.name(after))
            self._narrow(path, end.value, up, words, premise, end, *using)

    def _beside(self, beside: Beside) -> None:
        """Groups without a sure place stand between their neighbours all the same."""
        before = beside.before.path
        for entry in beside.after:
            after = entry.path
            self._descend(before, after, True, Premise.ORDER, _BY_GROUP)
            self._descend(before, after, False, Premise.ORDER, _BY_GROUP)
            most = self.high[after]
            if beside.place > 1 and beside.place * most.top > most.bottom:
                words = partial(kth_words, self.name(after), beside.place, self.name(WHOLE))
                part = Fraction(1, beside.place)
                self._narrow(after, part, True, words, Premise.ORDER, _BY_GROUP)

    def _shared_above(self, run: _Run) -> None:
        """An entry is at most its part of what it and those before it have between them."""
        paths, most = run.paths, self.high[run.parent]
        scale, (lows, (whole,), every) = scaled(
            [self.low[p] for p in paths], [most], [self.low[p] for p in run.everyone]
        )
        spare = whole - sum(every)
        before = [0, *accumulate(lows)]
        for place, path in enumerate(paths):
            # A longer run lowers the mean as long as what joins it has a lower least; these do
            # not rise along the list, so the best run is found by halving.
            first, end = 0, place
            while first < end:
                middle = (first + end) // 2
                mean_times = spare + before[place + 1] - before[middle + 1]
                if lows[middle] * (place - middle) < mean_times:
                    end = middle
                else:
                    first = middle + 1
            size = place - first + 1
            value = spare + before[place + 1] - before[first]
            now = self.high[path]
            if value * now.bottom < now.top * scale * size:
                members = set(paths[first : place + 1])
                others = [self.low[p] for p in run.everyone if p not in members and self.low[p].top]
                words = partial(kth_words, self.name(path), size, self._left(run.parent, others))
                part = Fraction(value, scale * size)
                self._narrow(path, part, True, words, run.premise, most, *others)

    def _shared_below(self, run: _Run) -> None:
        """An entry is at least its part of what it and those after it have to fill."""
        paths, least = run.paths, self.low[run.parent]
        scale, (highs, (whole,), every) = scaled(
            [self.high[p] for p in paths], [least], [self.high[p] for p in run.everyone]
        )
        lack = whole - sum(every)
        before = [0, *accumulate(highs)]
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
                members = set(paths[place : last + 1])
                above = [self.high[p] for p in run.everyone if p not in members]
                words = partial(first_words, self.name(path), size, self._left(run.parent, above))
                part = Fraction(value, scale * size)
                self._narrow(path, part, False, words, run.premise, least, *above)

    # ---- words ----

    def _left(self, parent: Path, others: Sequence[End]) -> str:
        return "what the others leave" if others else self.name(parent)

    def _leave(self, member: Path, path: Path, how: str) -> Callable[[], str]:
        words = "{} {} the others leave of {}".format
        return partial(words, self.name(member), how, self.name(path))


#: What is said of a group without a place of its own rests on its being one.
_BY_GROUP = End(Fraction(0), None, (Premise.GROUPS,))


def _at_most_words(name: str, most: Fraction) -> str:
    return f"{name} are at most {say(most)} % of the mix"
