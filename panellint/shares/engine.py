"""Two engines in turn: order answers first, the solver only where order leaves it open."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

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
)

if TYPE_CHECKING:
    from panellint.shares.exact.declaration_bounds import OrderAnswers


class FallbackEngine:
    """The answers of `order`, and where those are not enough of what `formulas` makes.

    Whatever order proves holds of every formula, so a question that it settles needs no solver.
    `formulas` is None for a quick look, and where nothing is known that order leaves out.
    `witness` looks for a formula that keeps a promise.
    """

    def __init__(
        self,
        order: OrderAnswers,
        formulas: Callable[[], PromiseAnswers] | None,
        witness: Finder = lambda alternatives: False,
    ) -> None:
        self._order = order
        self._make = formulas
        self._witness = witness

    @cached_property
    def _last(self) -> ShareAnswers:
        """The engine that has the last word."""
        return self._make() if self._make else self._order

    @property
    def consistent(self) -> bool:
        """False where it is proven that no formula fits the label."""
        return self._order.consistent and self._last.consistent

    @property
    def clash(self) -> tuple[ClashLine, ...]:
        """Where it is not consistent: statements that cannot all be true."""
        return self._order.clash or self._last.clash

    def bounds(self, weights: Weights, base: Base = Base.MIX) -> Bounds:
        """The tighter end of either engine, each with its own proof."""
        first = self._order.bounds(weights, base)
        if self._make is None or (first.sure and first.low == first.high):
            return first
        second = self._last.bounds(weights, base)
        if not second.sure or not first.sure:
            return second if second.sure else first
        low = first if first.low >= second.low else second
        high = first if first.high <= second.high else second
        return Bounds(low.low, high.high, lambda: low.low_proof, lambda: high.high_proof, sure=True)

    def judge(self, *alternatives: Sequence[Condition]) -> Judgement:
        """Whether any one of the alternatives is met in full."""
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
        judgement = self._order.judge(*alternatives)
        if self._make is not None and self._is_asked_on(judgement):
            return self._make().refuted(*alternatives)
        return judgement if judgement.verdict is Verdict.REFUTED else None
