"""Least and most of every entry from the declaration alone, by exact interval arithmetic.

Sound for every declaration and sharp for none but the simplest: an entry is at most one k-th of
what it stands in, at most any before it and at least any after it; printed percentages, caps of
a tail and sums of groups narrow what is left. Repeated until nothing changes.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import accumulate, pairwise
from math import lcm
from typing import NamedTuple

from panellint.declared import Ingredient
from panellint.label.model import PercentOf
from panellint.shares.answers import Path, Proof
from panellint.shares.premises import Premise, in_order
from panellint.shares.tree import Chain, Tree
from panellint.shares.unlisted import additives_at_most
from panellint.shares.words import (
    before_words,
    first_words,
    kth_words,
    percent_limits,
    percent_words,
    say,
    sentence,
    tail_words,
)

ROUNDS = 12
WHOLE: Path = ()
#: Sentences of one proof: a longer one is no pencil work.
LONGEST = 8


class End(NamedTuple):
    """One end of an interval, as a part of the mix, with why it holds."""

    value: Fraction
    sentences: tuple[str, ...] = ()
    rests_on: frozenset[Premise] = frozenset()

    @property
    def proof(self) -> Proof:
        """As a proof of its own."""
        return Proof(self.sentences[-LONGEST:], in_order(self.rests_on))


NOTHING = End(Fraction(0))
ALL = End(Fraction(1))


def _scaled(*runs: Sequence[End]) -> tuple[int, list[list[int]]]:
    """Ends as whole numbers over one denominator, which comes first: exact as fractions are, at
    a tenth of their cost."""
    values = [[end.value for end in run] for run in runs]
    scale = lcm(*{value.denominator for run in values for value in run})
    return scale, [[v.numerator * (scale // v.denominator) for v in run] for run in values]


class Spread:
    """Least and most of every entry, as parts of the mix; the empty path is the mix itself."""

    def __init__(self, tree: Tree, premises: Iterable[Premise]) -> None:
        self.tree = tree
        self.premises = frozenset(premises)
        self.low = dict.fromkeys(tree.entries, NOTHING)
        self.high = dict.fromkeys(tree.entries, ALL)
        self.low[WHOLE] = self.high[WHOLE] = ALL
        self._changed = False
        outer = next(tree.chains())
        self._groups = tree.ranks_by_group(outer, *outer.entries) is not None
        chains = [chain for chain in tree.chains() if chain.premise in self.premises]
        for _ in range(ROUNDS):
            self._changed = False
            self._caps()
            self._percentages()
            self._sums(WHOLE, tree.declaration.ingredients, partial=not tree.entries)
            for path, entry in tree.entries.items():
                if entry.members:
                    self._sums(path, entry.members, partial=entry.partial)
            for chain in chains:
                self._order(chain)
            if Premise.ORDER in self.premises:
                self._beside()
            if not self._changed or self.clash:
                break

    @property
    def clash(self) -> Path | None:
        """An entry whose least is above its most, or None."""
        return next((p for p in self.low if self.low[p].value > self.high[p].value), None)

    def name(self, path: Path) -> str:
        """The entry as printed; "the mix" for the whole."""
        return self.tree.entries[path].name if path else "the mix"

    # ---- what narrows ----

    def _narrow(
        self,
        path: Path,
        value: Fraction,
        up: bool,
        words: str,
        premise: Premise | None,
        *using: End,
    ) -> None:
        ends = self.high if up else self.low
        now = ends[path].value
        if (value >= now) if up else (value <= now):
            return
        sentences = [s for end in using for s in end.sentences]
        rests = frozenset[Premise]().union(*(end.rests_on for end in using))
        if premise is not None:
            rests |= {premise}
        if premise is Premise.ORDER and self._groups:
            rests |= {Premise.GROUPS}
        ends[path] = End(value, tuple(dict.fromkeys((*sentences, sentence(words)))), rests)
        self._changed = True

    def _caps(self) -> None:
        for path, entry in self.tree.entries.items():
            most = additives_at_most(entry)
            if most is not None:
                words = f"{entry.name} are at most {say(most)} % of the mix"
                self._narrow(path, most / 100, True, words, Premise.COMPOSITION)
        if Premise.TAIL not in self.premises:
            return
        for path, entry in self.tree.entries.items():
            if entry.at_most is not None:
                cap = Fraction(entry.at_most) / 100
                words = tail_words(entry.name, cap)
                self._narrow(path, cap, True, words, Premise.TAIL)

    def _percentages(self) -> None:
        if Premise.PERCENTAGES not in self.premises:
            return
        for path, entry in self.tree.entries.items():
            percent = entry.percent
            base = self._percent_base(path, entry)
            if percent is None or base is None:
                continue
            low, high = percent_limits(
                Fraction(percent.value), Fraction(percent.half_unit), percent.bound
            )
            words = percent_words(entry.name, percent, low, high, self.name(base))
            premise = Premise.PERCENTAGES
            if low is not None:
                end = self.low[base]
                self._narrow(path, low * end.value, False, words, premise, end)
                if base and low > 0:
                    end = self.high[path]
                    self._narrow(base, end.value / low, True, words, premise, end)
            if high is not None:
                end = self.high[base]
                self._narrow(path, high * end.value, True, words, premise, end)
                if base and high > 0:
                    end = self.low[path]
                    self._narrow(base, end.value / high, False, words, premise, end)

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

    def _sums(self, path: Path, members: Sequence[Ingredient], *, partial: bool) -> None:
        """A full group is the sum of its members; a partial one is no less."""
        paths = [member.path for member in members]
        lows = [self.low[p] for p in paths]
        highs = [self.high[p] for p in paths]
        whole = (self.low[path], self.high[path])
        scale, (least_of, most_of, (low, high)) = _scaled(lows, highs, whole)
        least, most = sum(least_of), sum(most_of)
        if least > low:
            low = least
            words = f"{self.name(path)} is no less than its parts together"
            told = [end for end in lows if end.value]
            self._narrow(path, Fraction(least, scale), False, words, None, *told)
        if most < high and not partial:
            high = most
            words = f"{self.name(path)} is no more than its parts together"
            self._narrow(path, Fraction(most, scale), True, words, None, *highs)
        for place, member in enumerate(paths):
            room = high - (least - least_of[place])
            if room < most_of[place]:
                others = [end for i, end in enumerate(lows) if i != place and end.value]
                words = f"{self.name(member)} can be no more than the others leave of "
                words += self.name(path)
                value = Fraction(room, scale)
                self._narrow(member, value, True, words, None, self.high[path], *others)
            need = low - (most - most_of[place])
            if need > least_of[place] and not partial:
                above = [end for i, end in enumerate(highs) if i != place]
                words = f"{self.name(member)} must be no less than the others leave of "
                words += self.name(path)
                value = Fraction(need, scale)
                self._narrow(member, value, False, words, None, self.low[path], *above)

    def _order(self, chain: Chain) -> None:
        """None less than the next, and all of them within what they stand in."""
        paths = [entry.path for entry in chain.entries]
        parent = chain.parent.path if chain.parent else WHOLE
        siblings = chain.parent.members if chain.parent else self.tree.declaration.ingredients
        everyone = [member.path for member in siblings]
        for before, after in pairwise(paths):
            self._descend(before, after, True, chain.premise)
        for before, after in reversed(list(pairwise(paths))):
            self._descend(before, after, False, chain.premise)
        self._shared_above(chain, paths, parent, everyone)
        self._shared_below(chain, paths, parent, everyone)

    def _descend(self, before: Path, after: Path, up: bool, premise: Premise, *using: End) -> None:
        """One entry is no less than another: the most of the one is handed on, or the least of
        the other back."""
        ends = self.high if up else self.low
        end, path = (ends[before], after) if up else (ends[after], before)
        now = ends[path].value
        # The same number is handed along a whole list, so that most pairs need no comparison.
        if end.value is now or (end.value >= now if up else end.value <= now):
            return
        words = before_words(self.name(before), self.name(after))
        self._narrow(path, end.value, up, words, premise, end, *using)

    def _beside(self) -> None:
        """Groups without a sure place stand between their neighbours all the same."""
        groups = End(Fraction(0), (), frozenset({Premise.GROUPS}))
        for beside in self.tree.beside():
            before = beside.before.path
            for entry in beside.after:
                after = entry.path
                self._descend(before, after, True, Premise.ORDER, groups)
                self._descend(before, after, False, Premise.ORDER, groups)
                most = self.high[after].value
                if beside.place > 1 and beside.place * most.numerator > most.denominator:
                    words = kth_words(self.name(after), beside.place, self.name(WHOLE))
                    part = Fraction(1, beside.place)
                    self._narrow(after, part, True, words, Premise.ORDER, groups)

    def _shared_above(
        self, chain: Chain, paths: Sequence[Path], parent: Path, everyone: Sequence[Path]
    ) -> None:
        """An entry is at most its part of what it and those before it have between them."""
        mine = [self.low[p] for p in paths]
        scale, (lows, (whole,), every) = _scaled(
            mine, [self.high[parent]], [self.low[p] for p in everyone]
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
            now = self.high[path].value
            if value * now.denominator < now.numerator * scale * size:
                run = set(paths[first : place + 1])
                others = [self.low[p] for p in everyone if p not in run and self.low[p].value]
                words = self._kth(path, size, parent, others)
                most = Fraction(value, scale * size)
                self._narrow(path, most, True, words, chain.premise, self.high[parent], *others)

    def _shared_below(
        self, chain: Chain, paths: Sequence[Path], parent: Path, everyone: Sequence[Path]
    ) -> None:
        """An entry is at least its part of what it and those after it have to fill."""
        mine = [self.high[p] for p in paths]
        scale, (highs, (whole,), every) = _scaled(
            mine, [self.low[parent]], [self.high[p] for p in everyone]
        )
        lack = whole - sum(every)
        before = [0, *accumulate(highs)]
        for place, path in enumerate(paths):
            start, last = place, len(paths) - 1
            while start < last:
                middle = (start + last + 1) // 2
                if highs[middle] * (middle - place) > lack + before[middle] - before[place]:
                    start = middle
                else:
                    last = middle - 1
            size = last - place + 1
            value = lack + before[last + 1] - before[place]
            now = self.low[path].value
            if value * now.denominator > now.numerator * scale * size:
                run = set(paths[place : last + 1])
                above = [self.high[p] for p in everyone if p not in run]
                words = self._first(path, size, parent, above)
                least = Fraction(value, scale * size)
                self._narrow(path, least, False, words, chain.premise, self.low[parent], *above)

    def _kth(self, path: Path, size: int, parent: Path, others: Sequence[End]) -> str:
        whole = "what the others leave" if others else self.name(parent)
        return kth_words(self.name(path), size, whole)

    def _first(self, path: Path, size: int, parent: Path, above: Sequence[End]) -> str:
        whole = "what the others leave" if above else self.name(parent)
        return first_words(self.name(path), size, whole)
