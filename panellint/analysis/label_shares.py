"""What a label alone proves of the shares of its ingredients, and who works it out."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from functools import cache, cached_property, partial
from typing import TYPE_CHECKING, Any

from panellint.core.units import part_of_whole
from panellint.nutrition.tolerances import tolerance
from panellint.shares.engine import FallbackEngine
from panellint.shares.exact.declaration_bounds import OrderAnswers
from panellint.shares.exact.feasible_recipe import Witnesses, is_kept_alike, is_simple
from panellint.shares.model import Condition
from panellint.shares.premises import DEFAULT, Premise, chosen
from panellint.shares.unlisted import ADDITIVES, left_out

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.ingredients.model import Ingredient
    from panellint.shares.model import Path, PromiseAnswers
    from panellint.shares.solver.formula_set import Formulas

#: What is not sure where brackets had to be mended: neither rank nor membership.
_UNSURE = frozenset({Premise.ORDER, Premise.GROUPS, Premise.TAIL, Premise.PERCENTAGES})


class LabelShares:
    """The answers that a label gives about shares. Keeps nothing of the context itself."""

    def __init__(self, context: LabelContext) -> None:
        self._quick = context.quick
        self._entries = context.entries
        self._declaration = context.declaration.weighable()
        self._is_ranked = self._declaration is context.declaration
        self._guarantees = context.label.guarantees
        self._water = context.form.water_lost
        self._unlisted = _unlisted(context)
        self._ranked, self._ordered = context.groups["ranked"], context.groups["ordered"]
        unsure = frozenset() if context.brackets_are_sound else _UNSURE
        self._premises = tuple(premise for premise in DEFAULT if premise not in unsure)
        self._under = partial(
            _formulas,
            self._declaration,
            guarantees=self._guarantees,
            water=self._water,
            tolerance=partial(_tolerance, context.market),
            unlisted=self._unlisted,
            groups_ranked=self._ranked,
            groups_ordered=self._ordered,
        )
        #: Gives all formulas that fit the label, under the premises on by default.
        self.formulas: Callable[[], Formulas] = cache(partial(self._under, premises=self._premises))

    def formulas_under(
        self,
        premises: tuple[str, ...] | None,
        kept: Sequence[Condition] = (),
        kcal_per_kg: float | None = None,
    ) -> Formulas:
        """All formulas that fit under the named premises (None: those on by default). `kept`
        are the conditions of the name, for the premise `name`; `kcal_per_kg` a calculated calorie
        line as fed, for the premise `calories`."""
        taken = self._premises if premises is None else chosen(premises)
        return self._under(premises=taken, kept=kept, kcal_per_kg=kcal_per_kg)

    @cached_property
    def order(self) -> OrderAnswers:
        """The answers that need no solver: exact, at times wider."""
        return self._order_under(self._premises)

    def answers(self, formulas: Formulas) -> FallbackEngine:
        """Order and a set of formulas: the tighter end of either, with the shorter proof where
        both are the same."""
        return FallbackEngine(self._order_under(formulas.premises), lambda: formulas)

    def _order_under(self, premises: tuple[Premise, ...]) -> OrderAnswers:
        return OrderAnswers(
            self._declaration,
            premises=premises,
            water=self._water,
            unlisted=self._unlisted,
            groups_ranked=self._ranked,
            groups_ordered=self._ordered,
        )

    @cached_property
    def bounds(self) -> PromiseAnswers:
        """Order, and the solver where order leaves a question open; not for a quick look, nor
        where the label says nothing that order does not take up in full."""
        if self._quick or (self.order.exact and not self._guarantees):
            simple = self._is_ranked and not self._unlisted and is_simple(self._entries)
            top = self._declaration.ingredients if simple else ()
            return FallbackEngine(self.order, None, partial(_is_kept_in_order, top))
        return FallbackEngine(self.order, self.formulas, self._witnesses.is_kept)

    @cached_property
    def _witnesses(self) -> Witnesses:
        return Witnesses(self.order.tree, self._guarantees, self._water)

    def usual_recipe(self) -> Mapping[Path, float] | None:
        """A usual recipe (percent of the mix by leaf) that fits the declaration and the
        guarantees of the six parts; None where none is found."""
        return self._witnesses.keeps(((),))


def _is_kept_in_order(
    top: Sequence[Ingredient], alternatives: Sequence[Sequence[Condition]]
) -> bool:
    """Whether one of the alternatives is seen to be kept, whatever is guaranteed. `top` are the
    entries of a list of which order and the caps of a tail say all; of another list none."""
    return bool(top) and any(is_kept_alike(top, some) for some in alternatives)


def _formulas(*arguments: Any, **options: Any) -> Formulas:
    from panellint.shares.solver.formula_set import Formulas

    return Formulas(*arguments, **options)


def _tolerance(market: str, nutrient: str, declared: Fraction) -> tuple[float | None, float | None]:
    return tolerance(market, nutrient, float(declared))


def _unlisted(context: LabelContext) -> dict[str, Fraction]:
    """What the market's list of ingredients leaves out, water and additives listed apart, with
    the amount of these that the label prints, in percent of the food."""
    kinds = left_out(context.market, context.form.moisture_class, context.guarantee("moisture"))
    found = dict.fromkeys(kinds, Fraction(0))
    if ADDITIVES in found:
        for additive in context.label.additives:
            part = part_of_whole(additive.unit)
            if additive.value is not None and part is not None:
                found[ADDITIVES] += 100 * Fraction(additive.value) * part
    return found
