"""What the declaration alone proves, without a solver, in exact fractions.

Over a plain descending list the formulas are the mixtures of its corners ("the first k weigh
the same, the rest nothing"), so that every linear question is answered exactly at a corner.
Where there are groups, tails, percentages or "and/or", the corners of the outer list and the
intervals of `spread` give bounds that are sound and may be wider than they need be.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from functools import cached_property, partial

from panellint.declared import Declaration
from panellint.known import Range
from panellint.shares.answers import (
    Base,
    Bounds,
    ClashLine,
    Condition,
    ConditionAnswer,
    Judgement,
    Path,
    Proof,
    Verdict,
    Weights,
    no_proof,
)
from panellint.shares.composition import Interval
from panellint.shares.corners import Corners
from panellint.shares.game import play
from panellint.shares.premises import DEFAULT, Premise, in_order, numbers
from panellint.shares.rounding import outward
from panellint.shares.spread import NOTHING, End, Spread
from panellint.shares.tree import Tree
from panellint.shares.unlisted import with_unlisted
from panellint.shares.verdicts import alone, combined, verdict_of
from panellint.shares.words import condition_words, first_words, kth_words, plural, say, sentence

#: A formula as parts of the mix by leaf.
Formula = Mapping[int, Fraction]
INFINITE = float("inf")


class OrderAnswers:
    """What order, groups, percentages and tails prove by themselves.

    `water` is net water lost in percent of the mix (negative: taken up), None where nothing is
    known of it; it matters for the base of the finished food alone. `unlisted` is as for
    `Formulas`.
    """

    engine = "order"

    def __init__(
        self,
        declaration: Declaration,
        *,
        premises: Iterable[Premise] = DEFAULT,
        water: Range | None = None,
        groups_ranked: bool = True,
        groups_ordered: bool = True,
        unlisted: Iterable[str] = (),
    ) -> None:
        self.premises = in_order(premises)
        self.tree = Tree(
            with_unlisted(declaration, unlisted),
            groups_ranked=groups_ranked and Premise.GROUPS in self.premises,
            groups_ordered=groups_ordered,
            groups_beside=Premise.GROUPS in self.premises,
        )
        self._lost = water

    @property
    def exact(self) -> bool:
        """True for a plain descending list, where every bound is sharp."""
        return self.tree.is_plain

    @cached_property
    def spread(self) -> Spread:
        """Least and most of every entry."""
        return Spread(self.tree, self.premises)

    @property
    def consistent(self) -> bool:
        """False where the declaration contradicts itself."""
        return self.exact or self.spread.clash is None

    @property
    def clash(self) -> tuple[ClashLine, ...]:
        """Where it is not consistent: the statements that cannot all be true."""
        path = None if self.exact else self.spread.clash
        if path is None:
            return ()
        ends = (self.spread.low[path], self.spread.high[path])
        return tuple(
            ClashLine(end.proof.rests_on[0] if end.rests_on else Premise.ORDER, words)
            for end in ends
            for words in end.proof.sentences
        )

    @cached_property
    def corners(self) -> Corners:
        """The corners of the outer list."""
        return Corners(self.tree, ordered=Premise.ORDER in self.premises)

    def _corner_most(self, terms: Mapping[int, Fraction]) -> Fraction:
        return self.corners.most(terms)

    def _box_most(self, terms: Mapping[int, Fraction]) -> tuple[Fraction, tuple[End, ...]]:
        """The most of a sum over leaves within their intervals, all of them one together."""
        leaves = self.tree.leaves
        lows = [self._leaf_low(leaf.index) for leaf in leaves]
        highs = [self.spread.high[leaf.path] for leaf in leaves]
        room = 1 - sum((end.value for end in lows if end.value), NOTHING.value)
        used = [end for end in lows if end.value]
        total = NOTHING.value
        for index, factor in terms.items():
            if lows[index].value:
                total += factor * lows[index].value
        # What is left goes first to what counts most; what counts nothing is told for the proof.
        for leaf in sorted(leaves, key=lambda x: -terms.get(x.index, 0)):
            if room <= 0:
                break
            low, high = lows[leaf.index], highs[leaf.index]
            take = min(room, high.value - low.value if low.value else high.value)
            if take > 0:
                if leaf.index in terms:
                    total += terms[leaf.index] * take
                room -= take
                used.append(high)
        return total, tuple(used)

    def _leaf_low(self, index: int) -> End:
        leaf = self.tree.leaves[index]
        return NOTHING if leaf.rest else self.spread.low[leaf.path]

    def _most(self, terms: Mapping[int, Fraction], whole: Path | None) -> End:
        """The most of a sum over leaves, as a part of the mix."""
        best = End(self._corner_most(terms))
        biggest = max(terms.values(), default=NOTHING.value)
        if len(terms) < len(self.tree.leaves):
            biggest = max(biggest, NOTHING.value)
        if best.value < biggest:
            best = End(best.value, (self._corner_words,), self._rests)
        used: tuple[End, ...]
        if whole is not None:
            factor = next(iter(terms.values()), Fraction(0))
            end = self._end(whole, up=factor > 0)
            value, used = factor * end.value, (end,)
        elif self.exact:
            return best
        else:
            value, used = self._box_most(terms)
        if value < best.value or (value == best.value and len(used) == 1):
            said = tuple(dict.fromkeys(s for end in used for s in end.sentences))
            return End(value, said, frozenset(p for end in used for p in end.rests_on))
        return best

    def _end(self, path: Path, *, up: bool) -> End:
        """The most or the least of one entry; of a plain list at once, for any length."""
        if not self.exact:
            return self.spread.high[path] if up else self.spread.low[path]
        if Premise.ORDER not in self.premises:
            return End(Fraction(int(up)))
        size, before = len(self.tree.leaves), path[0]
        name = self.tree.entries[path].name
        if up:
            words = kth_words(name, before + 1, "the mix") if before else ""
            return End(Fraction(1, before + 1), *_because(words))
        if before:
            return End(Fraction(0))
        words = first_words(name, size, "the mix") if size > 1 else ""
        return End(Fraction(1, size), *_because(words))

    @cached_property
    def _rests(self) -> frozenset[Premise]:
        """What the corners rest on."""
        chain = next(self.tree.chains())
        also = self.tree.ranks_by_group(chain, *chain.entries)
        return frozenset({Premise.ORDER, also} if also else {Premise.ORDER})

    @cached_property
    def _corner_words(self) -> str:
        names = [e.name for e in self.tree.declaration.ingredients]
        some = names if len(names) <= 6 else [*names[:5], "and so on"]
        return sentence(
            f"in descending order by weight, none less than the next ({', '.join(some)}), such a "
            "sum is least, and most, where the first few weigh the same and the rest nothing"
        )

    # ---- questions ----

    def bounds(self, weights: Weights, base: Base = Base.MIX) -> Bounds:
        """The least and the most of a weighted sum of shares, in percent of the base.

        Raises KeyError for a path that the declaration does not have.
        """
        terms = self.tree.leaf_weights(weights)
        weightless = base is Base.MIX_WITHOUT_WATER and len(self.tree.water) == len(
            self.tree.leaves
        )
        if weightless or not self.tree.leaves or not self.consistent:
            return Bounds(-INFINITE, INFINITE, sure=False)
        whole = next(iter(weights)) if len(weights) == 1 else None
        high = self._most(terms, whole)
        mirrored = {leaf: -factor for leaf, factor in terms.items()}
        low = self._most(mirrored, whole)
        low = End(-low.value, low.sentences, low.rests_on)
        positive = all(factor >= 0 for factor in terms.values())
        least, most = self._rebased(terms, low, high, base)
        if positive and (least is None or least.value <= 0):
            least = End(Fraction(0))
        name = " + ".join(self.tree.entries[path].name for path in weights)
        verb = "are" if len(weights) > 1 or plural(name) else "is"
        return Bounds(
            -INFINITE if least is None else outward(100 * least.value, up=False),
            INFINITE if most is None else outward(100 * most.value, up=True),
            no_proof if least is None else partial(_closed, least, f"{name} {verb} at least", base),
            no_proof if most is None else partial(_closed, most, f"{name} {verb} at most", base),
        )

    def _rebased(
        self, terms: Mapping[int, Fraction], low: End, high: End, base: Base
    ) -> tuple[End | None, End | None]:
        if base is Base.MIX:
            return low, high
        if base is Base.MIX_WITHOUT_WATER:
            return self._without_water(terms, low, high)
        if base is Base.DRY_MATTER:
            return (low if low.value >= 0 else None), None
        lost = self._water_lost()
        if lost is None:
            return None, None
        least = self._finished(low, lost.high if low.value < 0 else lost.low)
        most = self._finished(high, lost.low if high.value < 0 else lost.high)
        return least, most

    def _finished(self, end: End, lost: Fraction) -> End:
        """A share of the mix as one of the finished food, once that much water is lost."""
        if not lost or not end.value:
            return end
        side = "takes out" if lost > 0 else "adds"
        words = f"processing {side} {say(abs(100 * lost))} % of the mix as water and no more"
        return End(
            end.value / (1 - lost),
            (*end.sentences, sentence(words)),
            end.rests_on | {Premise.WATER},
        )

    def _water_lost(self) -> Interval | None:
        """Net water lost as a part of the mix; None without its premise."""
        if Premise.WATER not in self.premises:
            return None
        kappa = numbers().kappa
        if self._lost is None:
            return Interval(Fraction(0), kappa)
        low, high = (Fraction(str(end)) / 100 for end in self._lost)
        return Interval(low, min(high, kappa))

    def _without_water(
        self, terms: Mapping[int, Fraction], low: End, high: End
    ) -> tuple[End | None, End | None]:
        """Shares of what is left when declared water is taken out."""
        water = dict.fromkeys(self.tree.water, Fraction(1))
        if not water:
            return low, high
        dry = {x.index: Fraction(1) for x in self.tree.leaves if not x.is_water}
        most, least = self.corners.ratio(terms, dry, True), self.corners.ratio(terms, dry, False)
        said = (self._corner_words,)
        top = None if most is None else End(most, said, self._rests)
        bottom = None if least is None else End(least, said, self._rests)
        if all(leaf in dry for leaf in terms):
            biggest = max(max(terms.values(), default=Fraction(0)), Fraction(0))
            if top is None or biggest <= top.value:
                top = End(biggest)
        if not self.exact and high.value >= 0:
            wet = self._most(water, None)
            if wet.value < 1 and (top is None or high.value / (1 - wet.value) < top.value):
                top = End(
                    high.value / (1 - wet.value),
                    (*high.sentences, *wet.sentences),
                    high.rests_on | wet.rests_on,
                )
        if low.value >= 0 and (bottom is None or low.value > bottom.value):
            bottom = low
        return bottom, top

    def judge(self, *alternatives: Sequence[Condition]) -> Judgement:
        """Whether any one of the alternatives is met in full.

        Exact for a plain list; elsewhere "open" may only mean that order does not decide.
        """
        found: list[tuple[Verdict, Proof]] = []
        answers: list[ConditionAnswer] = []
        kept = broken = None
        for conditions in alternatives:
            mine = []
            for condition in conditions:
                bounds = self.bounds(condition.weights, condition.base)
                mine.append(ConditionAnswer(condition, bounds, verdict_of(condition, bounds)))
            answers.extend(mine)
            verdict, proof = alone(mine)
            if verdict is Verdict.OPEN and self.consistent:
                verdict, proof, formula = self._jointly(conditions)
                kept = kept or formula
            found.append((verdict, proof))
        judgement = combined(found, answers)
        if judgement.verdict is not Verdict.OPEN:
            return judgement
        if self.exact:
            broken = self._breaking(alternatives)
        return Judgement(Verdict.OPEN, judgement.conditions, Proof(), kept, broken)

    def _rows(self, conditions: Sequence[Condition]) -> list[dict[int, Fraction]] | None:
        """Conditions as sums that must not be below zero; None where a base is not linear in
        the mix."""
        rows = []
        for condition in conditions:
            if condition.base not in (Base.MIX, Base.MIX_WITHOUT_WATER):
                return None
            terms = self.tree.leaf_weights(condition.weights)
            for leaf in self.tree.leaves:
                if condition.base is Base.MIX or not leaf.is_water:
                    terms[leaf.index] = (
                        terms.get(leaf.index, Fraction(0)) - Fraction(condition.needs) / 100
                    )
            sign = -1 if condition.at_most else 1
            rows.append({leaf: sign * value for leaf, value in terms.items()})
        return rows

    def _jointly(
        self, conditions: Sequence[Condition]
    ) -> tuple[Verdict, Proof, dict[Path, float] | None]:
        rows = self._rows(conditions)
        if not rows:
            return Verdict.OPEN, Proof(), None
        value, _, mixture = play([self.corners.values(row, True) for row in rows])
        if value < 0:
            said = (
                self._corner_words,
                *(sentence(condition_words(condition)) for condition in conditions),
                "These cannot all hold, though each may by itself.",
            )
            return Verdict.REFUTED, Proof(said, in_order(self._rests)), None
        return Verdict.OPEN, Proof(), self.corners.mixed(mixture) if self.exact else None

    def _breaking(self, alternatives: Sequence[Sequence[Condition]]) -> dict[Path, float] | None:
        """A corner that breaks every alternative."""
        tables = [self._rows(conditions) or [] for conditions in alternatives]
        values = [[self.corners.values(row, True) for row in rows] for rows in tables]
        for place in range(len(self.corners.sets)):
            if all(any(value[place] < 0 for value in rows) for rows in values):
                return self.corners.mixed(
                    [Fraction(int(i == place)) for i in range(len(self.corners.sets))]
                )
        return None


def _because(words: str) -> tuple[tuple[str, ...], frozenset[Premise]]:
    return ((sentence(words),), frozenset({Premise.ORDER})) if words else ((), frozenset())


def _closed(end: End, claim: str, base: Base) -> Proof:
    if not end.sentences:
        return Proof()
    ending = sentence(f"so {claim} {say(100 * end.value)} % of the {base.words}")
    return Proof((*end.proof.sentences, ending), in_order(end.rests_on))
