"""What a label alone proves of the shares of its ingredients, and who works it out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import cache, cached_property, partial
from math import inf
from typing import TYPE_CHECKING, Any

from panellint.core.units import part_of_whole
from panellint.nutrition.bounds import tolerance
from panellint.rulepacks.settings import order_readings
from panellint.shares.engine import FallbackEngine
from panellint.shares.exact.declaration_bounds import OrderAnswers
from panellint.shares.exact.feasible_recipe import Witnesses
from panellint.shares.exact.recipes import Recipes
from panellint.shares.model import Condition
from panellint.shares.premises import DEFAULT, Premise, Reading, chosen, numbers
from panellint.shares.unlisted import WATER, left_out, most_water

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.shares.model import PromiseAnswers, ShareAnswers
    from panellint.shares.solver.formula_set import Formulas

#: What of a list speaks of the mix only where it counts weight as mixed.
_COUNTED = frozenset({Premise.ORDER, Premise.PERCENTAGES})
#: What is not sure where brackets had to be mended: neither rank nor membership.
_UNSURE = frozenset({Premise.ORDER, Premise.GROUPS, Premise.TAIL, Premise.PERCENTAGES})


class LabelShares:
    """The answers that a label gives about shares. Keeps nothing of the context itself."""

    def __init__(self, context: LabelContext) -> None:
        self._quick = context.quick
        self._declaration = context.declaration.weighable()
        self._guarantees = context.label.guarantees
        self._water = context.form.water_lost
        self._unlisted = unlisted(context)
        self._is_mixed = not order_readings(context.market)
        unsure = frozenset() if context.brackets_are_sound else _UNSURE
        self._premises = tuple(premise for premise in DEFAULT if premise not in unsure)
        self._list: dict[str, Any] = {
            "unlisted": self._unlisted,
            "groups_ranked": context.groups["ranked"],
            "groups_ordered": context.groups["ordered"],
        }
        self._made: list[Formulas] = []
        self._under = partial(
            self._formulas,
            guarantees=self._guarantees,
            water=self._water,
            tolerance=partial(tolerance, context.market),
            reading=Reading.MIXED if self._is_mixed else Reading.EITHER,
            **self._list,
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

    def _formulas(self, **options: Any) -> Formulas:
        from panellint.shares.solver.formula_set import Formulas

        self._made.append(Formulas(self._declaration, **options))
        return self._made[-1]

    @property
    def failed(self) -> bool:
        """Whether the solver gave no answer to some question, so that order alone answers it."""
        return any(formulas.failed for formulas in self._made)

    @cached_property
    def order(self) -> ShareAnswers:
        """The answers that need no solver: exact, at times wider."""
        if self._is_mixed:
            return self._plain
        counted = self._order_under(self._premises, as_listed=True)
        return FallbackEngine(self._plain, None, listed=FallbackEngine(counted, None))

    def answers(self, formulas: Formulas) -> FallbackEngine:
        """Order and a set of formulas: the tighter end of either, with the shorter proof where
        both are the same."""
        order = self._order_under(formulas.premises)
        return FallbackEngine(order, lambda: formulas, listed=self._listed)

    @cached_property
    def _plain(self) -> OrderAnswers:
        return self._order_under(self._premises)

    def _order_under(self, premises: tuple[Premise, ...], as_listed: bool = False) -> OrderAnswers:
        """Where the list may count another weight than that as mixed, what needs none."""
        if not self._is_mixed and not as_listed:
            premises = tuple(premise for premise in premises if premise not in _COUNTED)
        return OrderAnswers(self._declaration, premises=premises, as_listed=as_listed, **self._list)

    @cached_property
    def _listed(self) -> FallbackEngine | None:
        """What order and percentages say of the weights that the list counts; None where these
        are the weights as mixed."""
        if self._is_mixed:
            return None
        taken = set(self._premises) - {Premise.GUARANTEES, Premise.WATER}
        make = partial(self._formulas, premises=taken, as_listed=True, **self._list)
        order = self._order_under(self._premises, as_listed=True)
        return FallbackEngine(order, cache(make), Recipes(order.tree).is_kept)

    @cached_property
    def bounds(self) -> PromiseAnswers:
        """Order, and the solver where order leaves a question open; not for a quick look, nor
        where the label says nothing that order does not take up in full."""
        if self._quick and isinstance(self.order, FallbackEngine):
            return self.order
        if self._quick or (self._is_mixed and self._plain.exact and not self._guarantees):
            return FallbackEngine(self._plain, None, Recipes(self._plain.tree).is_kept)
        readings = () if self._is_mixed else (Reading.MIXED, Reading.DRY)
        under = partial(self._under, premises=self._premises)
        each = [cache(partial(under, reading=reading)) for reading in readings]
        witness = self.witnesses.is_kept
        return FallbackEngine(self._plain, self.formulas, witness, self._listed, each)

    @cached_property
    def witnesses(self) -> Witnesses:
        """Formulas that fit the label, where such are found without a solver."""
        return Witnesses(self._plain.tree, self._guarantees, self._water)


def unlisted(context: LabelContext) -> dict[str, Fraction | None]:
    """What the market's list of ingredients leaves out, water and additives listed apart, each
    with the most that it is in percent of the mix; None where nothing is known of that."""
    kinds = left_out(context.market)
    return {kind: _most_water(context) if kind == WATER else _additives(context) for kind in kinds}


def _additives(context: LabelContext) -> Fraction:
    """What the label prints, and beside it what carriers and additives without an amount are."""
    most = numbers().additives
    for additive in context.label.additives:
        part = part_of_whole(additive.unit)
        if additive.value is not None and part is not None:
            most += 100 * Fraction(additive.value) * part
    return min(most, Fraction(100))


def _most_water(context: LabelContext) -> Fraction | None:
    """The most water that is not listed: by the moisture declared with its tolerance; by the least
    that has to be declared, where a dry food declares none."""
    declared, lost = context.guarantee("moisture"), context.form.water_lost
    from_here = numbers().dry_up_to
    if declared is None:
        dry = context.form.moisture_class == "dry"
        return most_water(from_here, lost, dry=True) if dry else None
    value = Fraction(declared.value)
    above = tolerance(context.market, "moisture", float(value)).above if 0 <= value <= 100 else None
    if declared.unit != "%" or declared.basis != "as fed" or above is None or above == inf:
        return None
    return most_water(value + Fraction(str(above)), lost, dry=value <= from_here)
