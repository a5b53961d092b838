"""A label with what is weighed for it: the batch matched with what is declared, or a declaration
that is made of the components themselves, so that checks can judge it.

The text of such a declaration only gives each entry a place to be marked at; it is never read.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import partial

from panellint.analysis.context import LabelContext
from panellint.analysis.nutrition_input import facts_of
from panellint.catalogue import load
from panellint.core.once import once
from panellint.core.phrases import capital
from panellint.core.source import Source, Span
from panellint.core.text import one_line
from panellint.ingredients.model import Declaration, Ingredient
from panellint.ingredients.resolve import joined_names
from panellint.label.model import Bound, Label, Percent, PercentOf
from panellint.maker.answers import BatchAnswers
from panellint.maker.balance import check
from panellint.maker.component import FINISHED, BatchContent, Component
from panellint.maker.formula import Formula
from panellint.maker.model import Batch
from panellint.maker.reconcile.matching import Matching, match
from panellint.maker.sheet.locate import INLINE, inline
from panellint.maker.water import settled_water
from panellint.rulepacks.data import data
from panellint.rulepacks.settings import Settings
from panellint.shares.model import Path


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


#: A bracket that qualifies a name.
BRACKET = re.compile(r"\(([^()\[\]{},;]*)\)")


@dataclass(frozen=True, slots=True)
class Item:
    """One entry to be declared.

    `share` is its part of the mix, 0 to 1, of the `components` behind it; `members` are listed
    inside it in their own order; `percent` is a percentage to print, "" for none. A bracket in
    the `name` qualifies it.
    """

    name: str
    share: Fraction
    components: tuple[Component, ...]
    members: tuple[Item, ...] = ()
    percent: str = ""

    @property
    def text(self) -> str:
        """As the declaration prints it."""
        inside = f" ({', '.join(member.text for member in self.members)})" if self.members else ""
        return f"{self.name}{f' ({self.percent} %)' if self.percent else ''}{inside}"


def bare(name: str) -> str:
    """Returns an entry's name without its brackets."""
    return one_line(BRACKET.sub(" ", name))


def label_of(
    items: Sequence[Item],
    formula: Formula,
    settings: Settings,
    *,
    name: str = "",
    facts: Mapping[str, str] | None = None,
    path: str = "-",
) -> LabelContext:
    """Returns the label that declares the items, with the formula behind it. The first name
    begins with a capital, as a printed one does.

    `name` is the product's name, `facts` are those of a panel file ("species", "form",
    "market"). The formula must have its water settled.
    """
    writer = _Writer(settings, (facts or {}).get("market"))
    name_span = writer.line("Product name", name)
    given = {kind: (text, writer.line(kind, text)) for kind, text in (facts or {}).items() if text}
    start = len(writer.text)
    entries = writer.entries(
        replace(item, name=capital(item.name)) if not place else item
        for place, item in enumerate(items)
    )
    source = Source(f"{writer.text}\n", path)
    declaration = Declaration(entries)
    label = Label(
        source,
        product_name=name,
        product_name_span=name_span,
        declaration_span=Span(start, len(writer.text)),
        facts=given,
    )
    declared = {id(component) for item in items for component in item.components}
    left_over = tuple(c for c in formula.components if c.share and id(c) not in declared)
    matching = Matching(writer.own, left_over, (), writer.weights)
    answers = BatchAnswers(declaration, matching.weights, formula)
    batch = WeighedBatch(formula, True, matching, answers)
    return LabelContext(source, settings, printed=(label, declaration), sheet=lambda _: batch)


class _Writer:
    """Entries with their places in a text that grows, and what is weighed of each."""

    def __init__(self, settings: Settings, market: str | None) -> None:
        self.text = ""
        self.own: dict[Path, tuple[Component, ...]] = {}
        self.weights: dict[Path, Fraction | None] = {}
        self._catalogue = load(settings.ingredients)
        self._as = {"language": settings.language or "en", "market": settings.market_for(market)}

    def _add(self, text: str) -> Span:
        start = len(self.text)
        self.text += text
        return Span(start, len(self.text))

    def line(self, heading: str, text: str) -> Span:
        """Adds a line under a heading and returns the place of its text."""
        self._add(f"{heading}: ")
        span = self._add(text)
        self._add("\n")
        return span

    def entries(self, items: Iterable[Item], path: Path = ()) -> tuple[Ingredient, ...]:
        """Adds the items and returns them as ingredients."""
        return tuple(self._entry(item, (*path, place)) for place, item in enumerate(items))

    def _entry(self, item: Item, path: Path) -> Ingredient:
        name = bare(item.name)
        if path[-1]:
            self._add(", ")
        name_span = self._add(name)
        notes = tuple(BRACKET.findall(item.name))
        self._add("".join(f" ({note})" for note in notes))
        percent = None
        if item.percent:
            span = self._add(f" ({item.percent} %)")
            percent = Percent(Decimal(item.percent), Bound.EXACT, PercentOf.FOOD, span)
        if item.members:
            self._add(" (")
        else:
            self.own[path] = item.components
        self.weights[path] = item.share
        members = self.entries(item.members, path)
        self._add(")" if members else "")
        match = self._catalogue.lookup(name, **self._as)
        if match is None and not members:
            match = item.components[0].match
        if match is None and not members:
            # A row whose name joins several is a group of these, in unknown parts.
            members = tuple(
                part._replace(
                    path=(*path, *part.path),
                    name_span=_behind(part.name_span, name_span.start),
                    span=_behind(part.span, name_span.start),
                )
                for part in joined_names(name, self._catalogue, **self._as)
            )
        return Ingredient(
            name=name,
            name_span=name_span,
            span=Span(name_span.start, len(self.text)),
            path=path,
            match=match,
            percent=percent,
            members=members,
            notes=notes,
        )


def _behind(span: Span, start: int) -> Span:
    """A span of a text that now begins at `start`."""
    return Span(start + span.start, start + span.end)
