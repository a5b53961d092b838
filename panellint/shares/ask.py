"""One object for every question about shares: order first, the solver where it can add."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from panellint.declared import Declaration, Ingredient
from panellint.known import Range
from panellint.label.model import Guarantee
from panellint.shares.answers import (
    Base,
    Bounds,
    ClashLine,
    Condition,
    Judgement,
    Verdict,
    Weights,
)
from panellint.shares.composition import Ranges, catalogue_ranges, usual_levels
from panellint.shares.guarantees import Tolerance, nutrient_units
from panellint.shares.order import OrderAnswers
from panellint.shares.premises import DEFAULT, Premise, in_order

if TYPE_CHECKING:
    from panellint.shares.formulas import Formulas

#: The bases on which nothing but the declaration counts while no guarantee does.
_AS_MIXED = (Base.MIX, Base.MIX_WITHOUT_WATER)


class LabelShares:
    """What a label proves of its shares.

    Answers come from `order` where that settles them, and from `formulas`, made when first
    needed, where the solver can say more. With `quick` the solver is never used. The arguments
    are those of `Formulas`.
    """

    def __init__(
        self,
        declaration: Declaration,
        *,
        guarantees: Iterable[Guarantee] = (),
        ranges: Ranges = catalogue_ranges,
        units: Mapping[str, str] | None = None,
        water: Range | None = None,
        tolerance: Tolerance | None = None,
        premises: Iterable[Premise] = DEFAULT,
        kept: Sequence[Condition] = (),
        usual: Callable[[Ingredient], Range | None] = usual_levels,
        groups_ranked: bool = True,
        groups_ordered: bool = True,
        quick: bool = False,
    ) -> None:
        self.quick = quick
        self.premises = in_order(premises)
        self.order = OrderAnswers(
            declaration,
            premises=self.premises,
            water=water,
            groups_ranked=groups_ranked,
            groups_ordered=groups_ordered,
        )
        usable = tuple(guarantees) if Premise.GUARANTEES in self.premises else ()
        self._more = bool(
            usable or Premise.PRACTICE in self.premises or (kept and Premise.NAME in self.premises)
        )

        def make() -> Formulas:
            from panellint.shares.formulas import Formulas

            return Formulas(
                declaration,
                guarantees=usable,
                ranges=ranges,
                units=nutrient_units() if units is None else units,
                water=water,
                tolerance=tolerance,
                premises=self.premises,
                kept=kept,
                usual=usual,
                groups_ranked=groups_ranked,
                groups_ordered=groups_ordered,
            )

        self._make = make

    @cached_property
    def formulas(self) -> Formulas:
        """The set of formulas, with the solver behind it."""
        return self._make()

    def order_decides(self, *bases: Base) -> bool:
        """True where the solver can add nothing: a plain list with nothing else to go by."""
        return self.order.exact and not self._more and all(base in _AS_MIXED for base in bases)

    @property
    def engine(self) -> str:
        """ "order" where the solver is not used or can add nothing, else "formulas"."""
        return "order" if self.quick or self.order_decides() else "formulas"

    @property
    def consistent(self) -> bool:
        """False where it is proven that no formula fits the label."""
        if not self.order.consistent:
            return False
        return self.engine == "order" or self.formulas.consistent

    @property
    def clash(self) -> tuple[ClashLine, ...]:
        """Where it is not consistent: statements that cannot all be true."""
        if self.engine == "order":
            return self.order.clash
        return self.formulas.clash or self.order.clash

    @property
    def clash_rests_on(self) -> tuple[Premise, ...]:
        """What the clash rests on; with `composition` in it, the ranges may be to blame."""
        if self.engine == "order" or self.formulas.consistent:
            return in_order(line.premise for line in self.order.clash)
        return self.formulas.clash_rests_on

    def bounds(self, weights: Weights, base: Base = Base.MIX) -> Bounds:
        """The least and the most of a weighted sum of shares, in percent of the base.

        Raises KeyError for a path that the declaration does not have.
        """
        if self.quick or self.order_decides(base):
            return self.order.bounds(weights, base)
        return self.formulas.bounds(weights, base)

    def judge(self, *alternatives: Sequence[Condition]) -> Judgement:
        """Whether any one of the alternatives is met in full, with the solver only where order
        leaves it open and more is known."""
        found = self.order.judge(*alternatives)
        bases = [condition.base for conditions in alternatives for condition in conditions]
        if found.verdict is not Verdict.OPEN or self.quick or self.order_decides(*bases):
            return found
        return self.formulas.judge(*alternatives)
