"""Two engines in turn: order answers first, the solver only where order leaves it open."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property

from panellint.shares.answers import (
    Base,
    Bounds,
    ClashLine,
    Condition,
    Judgement,
    ShareAnswers,
    Verdict,
    Weights,
)


class InTurn:
    """The answers of `order`, and where those are not enough of what `formulas` makes.

    Whatever order proves holds of every formula, so a question that it settles needs no solver.
    """

    def __init__(self, order: ShareAnswers, formulas: Callable[[], ShareAnswers]) -> None:
        self._order = order
        self._make = formulas

    @cached_property
    def _formulas(self) -> ShareAnswers:
        return self._make()

    @property
    def engine(self) -> str:
        """The engine that has the last word."""
        return self._formulas.engine if "_formulas" in self.__dict__ else self._order.engine

    @property
    def consistent(self) -> bool:
        """False where it is proven that no formula fits the label."""
        return self._order.consistent and self._formulas.consistent

    @property
    def clash(self) -> tuple[ClashLine, ...]:
        """Where it is not consistent: statements that cannot all be true."""
        return self._order.clash or self._formulas.clash

    def bounds(self, weights: Weights, base: Base = Base.MIX) -> Bounds:
        """The tighter end of either engine, each with its own proof."""
        first = self._order.bounds(weights, base)
        if first.sure and first.low == first.high:
            return first
        second = self._formulas.bounds(weights, base)
        if not second.sure or not first.sure:
            return second if second.sure else first
        low = first if first.low >= second.low else second
        high = first if first.high <= second.high else second
        return Bounds(low.low, high.high, lambda: low.low_proof, lambda: high.high_proof, sure=True)

    def judge(self, *alternatives: Sequence[Condition]) -> Judgement:
        """Whether any one of the alternatives is met in full."""
        first = self._order.judge(*alternatives)
        if first.verdict is not Verdict.OPEN or not self._order.consistent:
            return first
        return self._formulas.judge(*alternatives)
