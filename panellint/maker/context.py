"""The batch behind a label: what is weighed, matched with what is declared."""

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial

from panellint.analysis.context import LabelContext
from panellint.analysis.nutrition_input import facts_of
from panellint.core.once import once
from panellint.core.source import Source
from panellint.maker.answers import BatchAnswers
from panellint.maker.balance import check
from panellint.maker.content import FINISHED, BatchContent
from panellint.maker.formula import Formula
from panellint.maker.model import Batch
from panellint.maker.reconcile.matching import Matching, match
from panellint.maker.sheet.locate import INLINE, inline
from panellint.maker.water import settled_water
from panellint.rulepacks.data import data
from panellint.rulepacks.settings import Settings


@dataclass(frozen=True, slots=True)
class WeighedBatch:
    """The batch behind a label.

    `formula` has the water that processing takes out; `finished_known` is False where the weight
    of the finished food is not known, so that nothing can be said per weight of it. `matching`
    says which component is which entry, `answers` are the shares by entry.
    """

    formula: Formula
    finished_known: bool
    matching: Matching
    answers: BatchAnswers

    @property
    def batch(self) -> Batch:
        """The sheet as it was read."""
        return self.formula.batch

    def content(self, nutrient: str, basis: str = FINISHED) -> BatchContent:
        """What the food holds of a nutrient."""
        return self.formula.content(nutrient, basis)


def with_batch(source: Source, batch: Batch, settings: Settings | None = None) -> LabelContext:
    """Returns a label with its batch, by default under the settings that reach the label."""
    reach = settings or Settings.for_path(source.path)
    return LabelContext(source, reach, sheet=partial(weigh, batch))


@once
def with_written_sheet(context: LabelContext) -> LabelContext | None:
    """Returns a label with the formula that is written out in its panel file; None without."""
    text, span = context.label.facts.get("batch-sheet", ("", None))
    if span is None or not text.lstrip().startswith(INLINE):
        return None
    sheet = partial(weigh, inline(text, context.source, span))
    printed = (context.label, context.declaration)
    return LabelContext(context.source, context.settings, printed=printed, sheet=sheet)


def weigh(batch: Batch, context: LabelContext) -> WeighedBatch:
    """Returns the batch matched with what the label of the context declares."""
    formula, finished_known = formula_of(batch, context)
    matching = match(context.declaration, formula.components)
    answers = BatchAnswers(context.declaration, matching.weights, formula)
    return WeighedBatch(formula, finished_known, matching, answers)


def formula_of(batch: Batch, context: LabelContext) -> tuple[Formula, bool]:
    """Returns the formula of a batch with the water that sheet, form and label tell of, and
    whether the weight of the finished food is known."""
    formula = Formula.of(batch, context.catalogue, market=context.market, language=context.language)
    moisture = context.guarantee("moisture")
    declared = float(moisture.value) if moisture and moisture.unit == "%" else None
    little = float(data("data/batch")["little_water_lost"])
    water = settled_water(formula.water, context.form, declared, little)
    added = formula.added
    if added is None and (to_add := facts_of(context).water) and to_add > 0:
        added = Fraction(str(to_add))
    settled = Formula(batch, formula.components, water or formula.water, added)
    if water is formula.water:
        check(settled)
    elif water is not None and 100 * settled.yield_range()[0] > 100:
        # A maximum above what is in the mix: nothing has to leave.
        as_mixed = replace(formula.water, origin="taken as mixed, drier than the label's maximum")
        settled = Formula(batch, formula.components, as_mixed, added)
    return settled, water is not None


def weighed(context: LabelContext) -> WeighedBatch:
    """Returns the batch of a context that has one. Raises TypeError for another: a check that
    needs a batch sheet runs nowhere else."""
    if not isinstance(context.sheet, WeighedBatch):
        raise TypeError("no batch sheet is at hand")
    return context.sheet
