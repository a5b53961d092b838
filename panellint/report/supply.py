"""Starches and binders with what each does, and where vitamins and minerals come from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from panellint.analysis.starch_roles import answers
from panellint.core.numbers import number
from panellint.ingredients.model import Ingredient
from panellint.report.model import Nutrient, Starch

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.results.outline import CatNeed, NutrientSource

_BINDERS = "starch-as-bulk"
_DOES = {
    "binds": "binds",
    "bulk": "fills: a main part of the food",
    "holds shape": "gives a dry piece its shape",
    "undecided": "cannot be told from the label",
}


def starches(context: LabelContext) -> Iterator[Starch]:
    """Every starch and gum with its answer, then what else has a tested glycaemic index."""
    rule = context.settings.rules.get(_BINDERS)
    told: set[tuple[int, ...]] = set()
    for answer in answers(context, rule.parameters) if rule else ():
        told.add(answer.entry.path)
        yield Starch(
            answer.entry.name,
            _DOES[answer.which],
            answer.why,
            answer.published,
            _index(answer.entry),
        )
    for entry in context.declaration.walk():
        index = _index(entry)
        if index and entry.path not in told:
            yield Starch(entry.name, "carries carbohydrate", "", "", index)


def _index(entry: Ingredient) -> str:
    tested = entry.match.known.glycaemic if entry.match else ()
    return "; ".join(
        f"{number(one.value)} for {one.form}{'' if one.confirmed else ' (not confirmed)'}"
        for one in tested
    )


def index_sources(context: LabelContext) -> Iterator[str]:
    """Where the glycaemic indexes and the levels of binders that are told are from."""
    for entry in context.declaration.walk():
        if entry.match:
            yield from (one.source for one in entry.match.known.glycaemic)
    rule = context.settings.rules.get(_BINDERS)
    for answer in answers(context, rule.parameters) if rule else ():
        known = answer.entry.match
        yield from (one.source for one in known.known.binding) if known else ()


def nutrients(rows: Sequence[NutrientSource]) -> tuple[Nutrient, ...]:
    """Returns where the nutrients of the profile come from."""
    return tuple(Nutrient(row["name"], row["source"], tuple(row["from"])) for row in rows)


def cat_needs(rows: Sequence[CatNeed]) -> tuple[Nutrient, ...]:
    """Returns where what a cat must eat comes from."""
    return tuple(
        Nutrient(row["name"], row["source"], tuple(row["from"]), _note(row)) for row in rows
    )


def _note(row: CatNeed) -> str:
    words = [row["note"]] if row["note"] else []
    useless = row["not_from"]
    if useless:
        words.append(f"no source of it for a cat: {', '.join(useless)}")
    return "; ".join(words)
