"""What the declaration alone proves, without a solver, in exact fractions.

Over a plain descending list the formulas are the mixtures of its corners ("the first k weigh
the same, the rest nothing"), so that every linear question is answered exactly at a corner.
Where there are groups, tails, percentages or "and/or", the corners of the outer list and the
intervals of `spread` give bounds that are sound and may be wider than they need be.
"""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from functools import cached_property, partial
from typing import Any

from panellint.core.numbers import decimal
from panellint.core.text import is_plural
from panellint.ingredients.model import Declaration
from panellint.shares.exact.corners import ALL, NOTHING, Corners, ShareBound, play, scaled
from panellint.shares.exact.intervals import Spread
from panellint.shares.explain import condition_words, first_words, kth_words, sentence
from panellint.shares.model import (
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
    alone,
    answered,
    combined,
    no_proof,
)
from panellint.shares.premises import DEFAULT, Premise, in_order
from panellint.shares.solver.rounding import outward_of
from panellint.shares.tree import Tree
from panellint.shares.unlisted import with_unlisted

INFINITE = float("inf")


class OrderAnswers:
    """What order, groups, percentages and tails prove by themselves.

    `unlisted` and `as_listed` are as for `Formulas`. Of shares of the finished food, and of its dry
    matter, nothing is said: that takes the water, which is the solver's matter.
    """

    def __init__(
        self,
        declaration: Declaration,
        *,
        premises: Iterable[Premise] = DEFAULT,
        groups_ranked: bool = True,
        groups_ordered: bool = True,
        unlisted: Iterable[str] = (),
        as_listed: bool = False,
    ) -> None:
        self.premises = in_order(premises)
        self.tree = Tree(
            with_unlisted(declaration, unlisted),
            groups_ranked=groups_ranked and Premise.GROUPS in self.premises,
            groups_ordered=groups_ordered,
            groups_beside=Premise.GROUPS in self.premises,
            as_listed=as_listed,
        )

    @property
    def exact(self) -> bool:
        """True for a plain descending list, where every bound is sharp."""
        return self.tree.is_plain

    @cached_property
    def spread(self) -> Spread:
        """Least and most of every entry."""
        return Spread(self.tree, self.premises)

    @cached_property
    def consistent(self) -> bool:
        """False where the declaration contradicts itself."""
        return self.exact or self.tree.may_be_all_first or self.spread.clash is None

    @property
    def clash(self) -> tuple[ClashLine, ...]:
        """Where it is not consistent: the statements that cannot all be true."""
        path = None if self.consistent else self.spread.clash
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

    @cached_property
    def _box(self) -> tuple[list[ShareBound], list[ShareBound], int, list[int], list[int]]:
        """Least and most of every leaf, as ends and as whole numbers over one denominator."""
        leaves = self.tree.leaves
        lows = [NOTHING if leaf.rest else self.spread.low[leaf.path] for leaf in leaves]
        highs = [self.spread.high[leaf.path] for leaf in leaves]
        scale, (least, most) = scaled(lows, highs)
        return lows, highs, scale, least, most

    def _box_most(self, terms: Mapping[int, int]) -> tuple[Fraction, list[ShareBound]]:
        """The most of a sum over leaves within their intervals, all of them one together."""
        lows, highs, scale, least, most = self._box
        room = scale - sum(least)
        total = sum([number * least[leaf] for leaf, number in terms.items()])
        last: float = -INFINITE
        # What is left goes first to what counts most.
        for leaf in sorted(range(len(least)), key=lambda leaf: -terms.get(leaf, 0)):
            if room <= 0:
                break
            take, last = min(room, most[leaf] - least[leaf]), terms.get(leaf, 0)
            total += last * take
            room -= take
        # All together are one, so that only what counts more or less than the last is needed.
        used = [end for leaf, end in enumerate(lows) if end.top and terms.get(leaf, 0) < last]
        used += [end for leaf, end in enumerate(highs) if terms.get(leaf, 0) > last]
        return Fraction(total, scale), used

    def _most(self, scale: int, terms: Mapping[int, int], weights: Weights) -> ShareBound:
        """The most of a sum over leaves, as a part of the mix. `terms` are whole numbers over
        `scale`, `weights` the entries that they are of."""
        total, size = self.corners.most(terms)
        biggest = max(terms.values(), default=0)
        if len(terms) < self.tree.size:
            biggest = max(biggest, 0)
        best = Fraction(total, scale * size)
        tighter, one = False, len(weights) == 1
        if one or not self.exact:
            used = [self._end(path, up=factor > 0) for path, factor in weights.items()]
            ends = zip(weights.values(), used, strict=True)
            value = sum((Fraction(factor) * end.value for factor, end in ends), Fraction(0))
            if not one:
                box, inside = self._box_most(terms)
                if not used or box / scale < value:
                    value, used = box / scale, inside
            tighter = value < best or (value == best and len(used) == 1)
        if tighter:
            return _end(value, *used)
        return self._by_corners(best) if total < biggest * size else _end(best)

    def _by_corners(self, value: Fraction) -> ShareBound:
        words, rests = (lambda: self._corner_words), self._rests
        return ShareBound(value.numerator, value.denominator, words, rests)

    def _end(self, path: Path, *, up: bool) -> ShareBound:
        """The most or the least of one entry; of a plain list at once, for any length."""
        if not self.exact:
            return self.spread.high[path] if up else self.spread.low[path]
        if Premise.ORDER not in self.premises:
            return ALL if up else NOTHING
        size, before = self.tree.size, path[0]
        name = self.tree.entries[path].name
        if up and before:
            words = partial(kth_words, name, before + 1, self.tree.whole)
            return ShareBound(1, before + 1, words, (Premise.ORDER,))
        if not up and not before and size > 1:
            words = partial(first_words, name, size, self.tree.whole)
            return ShareBound(1, size, words, (Premise.ORDER,))
        return NOTHING if before else ALL

    @cached_property
    def _rests(self) -> frozenset[Premise]:
        """What the corners rest on."""
        chain = self.tree.chains[0]
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
        tree = self.tree
        scale, terms = tree.scaled_weights(weights)
        dry = base is Base.MIX_WITHOUT_WATER
        unknown = base in (Base.FOOD, Base.DRY_MATTER) or (dry and len(tree.water) == tree.size)
        if unknown or not tree.size or not self.consistent:
            return Bounds(-INFINITE, INFINITE, sure=False)
        paths = tuple(weights)
        least: ShareBound | None
        most: ShareBound | None
        high = self._most(scale, terms, weights)
        mirrored = self._most(scale, _negative(terms), _negative(weights))
        low = ShareBound(-mirrored.top, mirrored.bottom, using=(mirrored,))
        least, most = self._without_water(scale, terms, low, high) if dry else (low, high)
        if (least is None or least.top <= 0) and all(number >= 0 for number in terms.values()):
            least = NOTHING
        return Bounds(
            -INFINITE if least is None else outward_of(100 * least.top, least.bottom, up=False),
            INFINITE if most is None else outward_of(100 * most.top, most.bottom, up=True),
            no_proof if least is None else partial(self._closed, least, paths, "least", base),
            no_proof if most is None else partial(self._closed, most, paths, "most", base),
        )

    def _closed(self, end: ShareBound, paths: Sequence[Path], which: str, base: Base) -> Proof:
        """The proof of one end, with what follows from it for the sum of some entries."""
        if not end.sentences:
            return Proof()
        name = " + ".join(self.tree.entries[path].name for path in paths)
        verb = "are" if len(paths) > 1 or is_plural(name) else "is"
        claim = f"so {name} {verb} at {which} {decimal(100 * end.value)} % of the {base.words}"
        return Proof((*end.proof.sentences, sentence(claim)), in_order(end.rests_on))

    def _without_water(
        self, scale: int, terms: Mapping[int, int], low: ShareBound, high: ShareBound
    ) -> tuple[ShareBound | None, ShareBound | None]:
        """Shares of what is left when declared water is taken out."""
        water = dict.fromkeys(self.tree.water, 1)
        if not water:
            return low, high
        dry = {leaf: 1 for leaf in range(self.tree.size) if leaf not in water}
        most = self.corners.ratio(scale, terms, dry, True)
        least = self.corners.ratio(scale, terms, dry, False)
        top = None if most is None else self._by_corners(most)
        bottom = None if least is None else self._by_corners(least)
        if all(leaf in dry for leaf in terms):
            biggest = Fraction(max(max(terms.values(), default=0), 0), scale)
            if top is None or biggest <= top.value:
                top = _end(biggest)
        if not self.exact and high.top >= 0:
            wet = self._most(1, water, {})
            if wet.value < 1 and (top is None or high.value / (1 - wet.value) < top.value):
                top = _end(high.value / (1 - wet.value), high, wet)
        if low.top >= 0 and (bottom is None or bottom.value < low.value):
            bottom = low
        return bottom, top

    def judge(self, *alternatives: Sequence[Condition]) -> Judgement:
        """Whether any one of the alternatives is met in full.

        Exact for a plain list; elsewhere "open" may only mean that order does not decide.
        """
        verdicts: list[tuple[Verdict, Proof]] = []
        answers: list[ConditionAnswer] = []
        for conditions in alternatives:
            mine = [answered(self, condition) for condition in conditions]
            answers.extend(mine)
            verdict, proof = alone(mine)
            if verdict is Verdict.OPEN and self.consistent:
                verdict, proof = self._jointly(conditions)
            verdicts.append((verdict, proof))
        return combined(verdicts, answers)

    def _row(self, condition: Condition) -> tuple[int, dict[int, int]] | None:
        """A condition as a sum over leaves that must not be below zero, in whole numbers over
        one denominator, which comes first; None where its base is not linear in the mix."""
        if condition.base not in (Base.MIX, Base.MIX_WITHOUT_WATER, Base.LISTED):
            return None
        scale, terms = self.tree.scaled_weights(condition.weights)
        needs = Fraction(condition.needs) / 100
        terms = {leaf: number * needs.denominator for leaf, number in terms.items()}
        less = needs.numerator * scale
        dry = condition.base is Base.MIX_WITHOUT_WATER
        for leaf in range(self.tree.size):
            if not dry or leaf not in self.tree.water:
                terms[leaf] = terms.get(leaf, 0) - less
        if condition.at_most:
            terms = _negative(terms)
        return scale * needs.denominator, terms

    def _rows(self, conditions: Sequence[Condition]) -> list[list[Fraction]]:
        """Each condition's sum at every corner; none where one is not linear in the mix."""
        rows = [self._row(condition) for condition in conditions]
        return [self.corners.values(*row, True) for row in rows if row] if all(rows) else []

    def _jointly(self, conditions: Sequence[Condition]) -> tuple[Verdict, Proof]:
        if len(conditions) == 1:
            fails = self._fails_at_corners(conditions[0])
        else:
            rows = self._rows(conditions)
            fails = bool(rows) and play(rows) < 0
        if not fails:
            return Verdict.OPEN, Proof()
        sentences = (
            self._corner_words,
            *(sentence(condition_words(condition)) for condition in conditions),
            "These cannot all hold, though each may by itself.",
        )
        return Verdict.REFUTED, Proof(sentences, in_order(self._rests))

    def _fails_at_corners(self, condition: Condition) -> bool:
        """Whether a condition is kept at no corner."""
        if condition.base not in (Base.MIX, Base.LISTED):
            row = self._row(condition)
            return row is not None and self.corners.most(row[1])[0] < 0
        scale, terms = self.tree.scaled_weights(condition.weights)
        sign = -1 if condition.at_most else 1
        needs = sign * Fraction(condition.needs) / 100
        total, size = self.corners.most({leaf: sign * number for leaf, number in terms.items()})
        return total * needs.denominator < needs.numerator * scale * size


def _negative(terms: Mapping[Any, Any]) -> dict[Any, Any]:
    """A sum with each sign turned."""
    return {key: -number for key, number in terms.items()}


def _end(value: Fraction, *using: ShareBound) -> ShareBound:
    """A value that holds for the reasons of other ends alone."""
    return ShareBound(value.numerator, value.denominator, using=using)
