"""A label with the batch sheet behind it: shares are known, so that nothing is bounded."""

from __future__ import annotations

from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Any

from panellint.analysis.context import LabelContext
from panellint.analysis.nutrition_input import facts_of
from panellint.core.source import Source
from panellint.maker.answers import BatchAnswers
from panellint.maker.formula import FINISHED, Content, Formula
from panellint.maker.model import Batch
from panellint.maker.reconcile.matching import Matching, match
from panellint.maker.sheet.locate import INLINE, inline
from panellint.maker.water import Water, settled_water
from panellint.rulepacks.data import data
from panellint.rulepacks.settings import Settings

if TYPE_CHECKING:
    from panellint.shares.tree import Tree


class BatchContext(LabelContext):
    """What is known of one label and of the batch it is made from."""

    def __init__(self, source: Source, settings: Settings, batch: Batch) -> None:
        super().__init__(source, settings)
        self.batch = batch

    @cached_property
    def formula(self) -> Formula:
        """The batch with its ingredients known, with the water that processing takes out."""
        found = Formula.of(self.batch, self.catalogue, market=self.market, language=self.language)
        water = self.water_of(found.water) or found.water
        added = found.added
        if added is None and (to_add := facts_of(self).water) and to_add > 0:
            added = Fraction(str(to_add))
        return Formula(found.batch, found.components, water, added)

    def water_of(self, said: Water) -> Water | None:
        """How the finished food's weight is known; None where it is not."""
        moisture = self.guarantee("moisture")
        declared = float(moisture.value) if moisture and moisture.unit == "%" else None
        little = float(data("data/batch")["little_water_lost"])
        return settled_water(said, self.form, declared, little)

    @cached_property
    def finished_known(self) -> bool:
        """Whether the weight of the finished food is known, stated or taken from the label."""
        return self.water_of(self.formula.water) is not None

    def content(self, nutrient: str, basis: str = FINISHED) -> Content:
        """What the food holds of a nutrient."""
        return self.formula.content(nutrient, basis)

    @cached_property
    def matching(self) -> Matching:
        """Which line of the sheet is which entry."""
        return match(self.declaration, self.formula.components)

    @cached_property
    def weighed(self) -> BatchAnswers:
        """The answers of the batch sheet."""
        return BatchAnswers(self.declaration, self.matching.weights, self.formula)

    @cached_property
    def bounds(self) -> Any:
        """Every share question is answered by the sheet."""
        return self.weighed

    @cached_property
    def order(self) -> Any:
        """As `bounds`: order has nothing to add to known weights."""
        return self.weighed

    @cached_property
    def formulas(self) -> Any:
        """As `bounds`."""
        return self.weighed

    @cached_property
    def tree(self) -> Tree:
        """The declaration with what its edition says of order and of groups."""
        from panellint.shares.tree import Tree

        return Tree(
            self.declaration,
            groups_ranked=self._groups["ranked"],
            groups_ordered=self._groups["ordered"],
        )


def batch_context(context: LabelContext) -> BatchContext | None:
    """The case with its batch: one that has it, or a label with its formula written out in it.
    None for any other label, of which the rules here say nothing."""
    if isinstance(context, BatchContext):
        return context
    fact = context.label.facts.get("batch-sheet")
    if fact is None or not fact[0].lstrip().startswith(INLINE):
        return None
    held = context.__dict__.get("_batch_case")
    if held is None:
        held = BatchContext(
            context.source, context.settings, inline(fact[0], context.source, fact[1])
        )
        context.__dict__["_batch_case"] = held
    return held if isinstance(held, BatchContext) else None
