"""Starches and binders with what each does."""

from collections.abc import Iterator

from panellint.analysis.context import LabelContext
from panellint.core.numbers import number
from panellint.ingredients.model import Ingredient
from panellint.lint.checks.starch import class_of
from panellint.report.owner import starch_answers
from panellint.rulepacks.data import data

_HIGH = "high-glycaemic-starch"


def starches(context: LabelContext) -> Iterator[tuple[Ingredient, str, str, str]]:
    """Yields every starch and gum with what it does, where it binds and its tested glycaemic index,
    then what else has such an index."""
    seen: set[tuple[int, ...]] = set()
    for answer in starch_answers(context):
        seen.add(answer.entry.path)
        does = data("words/reading")["starch_does"][answer.which]
        does += f" ({answer.why})" if answer.why else ""
        yield answer.entry, does, answer.published, _index(context, answer.entry)
    for entry in context.declaration.walk():
        index = _index(context, entry)
        if index and entry.path not in seen:
            yield entry, "carries carbohydrate", "", index


def high_from(context: LabelContext) -> float:
    """Returns the glycaemic index from which on it is high."""
    return context.settings.rules[_HIGH].parameters.number("high-from")


def _index(context: LabelContext, entry: Ingredient) -> str:
    tested = entry.match.known.glycaemic if entry.match else ()
    classed: str = data("words/reading")["glycaemic"][class_of(tested, high_from(context))]
    return classed + "; ".join(
        f"{number(food.value)} for {food.form}{'' if food.confirmed else ' (not confirmed)'}"
        for food in tested
    )


def index_sources(context: LabelContext) -> Iterator[str]:
    """Yields where the glycaemic indexes and the levels of binders are from."""
    for entry in context.declaration.walk():
        if entry.match:
            yield from (index.source for index in entry.match.known.glycaemic)
    for answer in starch_answers(context):
        known = answer.entry.match
        yield from (binder.source for binder in known.known.binding) if known else ()
