"""Two engines in turn: order answers first, the solver only where order leaves it open."""

from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import cached_property

from panellint.shares.exact.feasible_recipe import Finder
from panellint.shares.model import (
    Base,
    Bounds,
    ClashLine,
    Condition,
    Judgement,
    PromiseAnswers,
    ShareAnswers,
    Verdict,
    Weights,
    alone,
    answered,
    by_one_reading,
    combined,
    goes_by_order,
    joined,
)

#: A bound that is reached to within so many percent is reached.
_HAIR = Fraction(1, 10**6)


class FallbackEngine:
    """The answers of `order`, and where those are not enough of what `formulas` makes.

    Whatever order proves holds of every formula, so a question that it settles needs no solver.
    `formulas` is None for a quick look, and where nothing is known that order leaves out.
    `witness` looks for a formula that keeps a promise. Where a list may count one weight or
    another, these hold whatever it counts, `listed` answers of the weights that it counts, and
    `readings` answer of the mix, each under one reading.
    """

    def __init__(
        self,
        order: ShareAnswers,
        formulas: Callable[[], PromiseAnswers] | None,
        witness: Finder = lambda alternatives: False,
        listed: PromiseAnswers | None = None,
        readings: Sequence[Callable[[], PromiseAnswers]] = (),
    ) -> None:
        self._order = order
        self._make = formulas
        self._witness = witness
        self._listed = listed
        self._readings = readings

    @cached_property
    def _last(self) -> ShareAnswers:
        """The engine that has the last word."""
        return self._make() if self._make else self._order

    @cached_property
    def consistent(self) -> bool:
        """False where it is proven that no formula fits the label."""
        return self._order.consistent and (self._witness(((),)) or self._last.consistent)

    @property
    def clash(self) -> tuple[ClashLine, ...]:
        """Where it is not consistent: statements that cannot all be true."""
        return self._order.clash or self._last.clash

    def bounds(self, weights: Weights, base: Base = Base.MIX) -> Bounds:
        """The tighter end of either engine, each with its own proof."""
        if base is Base.LISTED and self._listed is not None:
            return self._as_listed(self._listed, weights)
        first = self._order.bounds(weights, base)
        if self._make is None or (first.sure and self._is_reached(weights, base, first)):
            return first
        second = self._last.bounds(weights, base)
        if not second.sure or not first.sure:
            return second if second.sure else first
        low = first if first.low >= second.low else second
        high = first if first.high <= second.high else second
        return Bounds.between(low, high)

    def _is_reached(self, weights: Weights, base: Base, bounds: Bounds) -> bool:
        """Whether either end is seen to be reached by some formula, so that none is tighter."""
        if bounds.low == bounds.high:
            return True
        if base is not Base.MIX:
            return False
        low, high = Fraction(bounds.low) + _HAIR, Fraction(bounds.high) - _HAIR
        return self._witness([[Condition(weights, high)]]) and self._witness(
            [[Condition(weights, low, at_most=True)]]
        )

    def judge(self, *alternatives: Sequence[Condition]) -> Judgement:
        """Whether any one of the alternatives is met in full."""
        if self._listed is not None and _of_the_list(alternatives):
            return self._judge_listed(self._listed, alternatives)
        first = self._order.judge(*alternatives)
        return self._last.judge(*alternatives) if self._is_asked_on(first) else first

    def _is_asked_on(self, first: Judgement) -> bool:
        """Whether the last word is another engine's, after what order says."""
        is_open = first.verdict is Verdict.OPEN
        return is_open and self._make is not None and self._order.consistent

    def refuted(self, *alternatives: Sequence[Condition]) -> Judgement | None:
        """The judgement where no formula meets any of the alternatives; None where one may.

        What a rule asks that is silent about open promises: a single formula that keeps one is
        enough of an answer, and is looked for first.
        """
        if self._witness(alternatives):
            return None
        if self._listed is not None and _of_the_list(alternatives):
            refutation = self._listed.refuted(*alternatives)
            if refutation is None or not goes_by_order(refutation.proof):
                return refutation
            return by_one_reading(refutation, "The share is counted by what the order goes by.")
        judgement = self._order.judge(*alternatives)
        if self._make is not None and self._is_asked_on(judgement):
            return self._make().refuted(*alternatives) or self._under_each(alternatives)
        return judgement if judgement.verdict is Verdict.REFUTED else None

    def _under_each(self, alternatives: Sequence[Sequence[Condition]]) -> Judgement | None:
        """The judgement where every reading by itself refutes the alternatives, though what all
        allow between them does not."""
        judgements: list[Judgement] = []
        for make in self._readings:
            judgement = make().refuted(*alternatives)
            if judgement is None:
                return None
            judgements.append(judgement)
        if not judgements:
            return None
        answers = [
            readings[0]._replace(bounds=_hull([answer.bounds for answer in readings]))
            for readings in zip(*[judgement.conditions for judgement in judgements], strict=True)
        ]
        proof = joined([judgement.proof for judgement in judgements])
        words = "So it is where the order goes by weight as mixed, and where it goes by dry matter."
        return by_one_reading(Judgement(Verdict.REFUTED, tuple(answers), proof), words)

    def _as_listed(self, listed: ShareAnswers, weights: Weights) -> Bounds:
        """What percentages prove of the weights that the list counts; what needs the order holds
        of the weights as mixed too, since a name may count these."""
        counted, mixed = listed.bounds(weights), self.bounds(weights)
        if not counted.sure:
            # A list of which one part counts another weight than the next proves nothing here.
            factors = [float(factor) for factor in weights.values()]
            return Bounds(100 * min(0.0, *factors), 100 * max(0.0, *factors), sure=False)
        hull = _hull([counted, mixed])
        low = hull if goes_by_order(counted.low_proof) else counted
        high = hull if goes_by_order(counted.high_proof) else counted
        return Bounds.between(low, high)

    def _judge_listed(
        self, listed: ShareAnswers, alternatives: Sequence[Sequence[Condition]]
    ) -> Judgement:
        counted = listed.judge(*alternatives)
        if counted.verdict is not Verdict.OPEN and not goes_by_order(counted.proof):
            return counted
        answers = [[answered(self, condition) for condition in some] for some in alternatives]
        return combined(
            [alone(some) for some in answers], [answer for some in answers for answer in some]
        )


def _of_the_list(alternatives: Sequence[Sequence[Condition]]) -> bool:
    return any(
        condition.base is Base.LISTED for conditions in alternatives for condition in conditions
    )


def _hull(every: Sequence[Bounds]) -> Bounds:
    """The bounds that hold wherever one of several does."""
    low, high = (
        min(every, key=lambda bounds: bounds.low),
        max(every, key=lambda bounds: bounds.high),
    )
    return Bounds.between(low, high)
