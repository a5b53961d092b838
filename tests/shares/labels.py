"""Short ways to write declarations and guarantees in tests."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from panellint.catalogue.model import CatalogueEntry, Match, Range
from panellint.core.source import Span
from panellint.ingredients.model import Declaration, Ingredient
from panellint.label.model import Bound, Guarantee, Percent, PercentOf

NOWHERE = Span(0, 0)


def percent(value: str, bound: Bound = Bound.EXACT, of: PercentOf = PercentOf.FOOD) -> Percent:
    """A printed percentage."""
    return Percent(Decimal(value), bound, of, NOWHERE)


def entry(name: str, *members: Ingredient, **fields: Any) -> Ingredient:
    """An entry whose path is set by `declare`; "water" is processing water."""
    kind = "water" if name == "water" else "other"
    known = Match(CatalogueEntry(name, (name,), kind, ""), "listed")
    return Ingredient(name, NOWHERE, NOWHERE, (), match=known, members=members, **fields)


def declare(*entries: Ingredient | str) -> Declaration:
    """A declaration; a string stands for a plain entry."""
    made = [entry(e) if isinstance(e, str) else e for e in entries]
    return Declaration(tuple(_placed(e, (i,)) for i, e in enumerate(made)))


def _placed(item: Ingredient, path: tuple[int, ...]) -> Ingredient:

    members = tuple(_placed(m, (*path, i)) for i, m in enumerate(item.members))
    return item._replace(path=path, members=members)


def guarantee(
    nutrient: str, value: str, bound: Bound = Bound.MIN, unit: str = "%", basis: str = "as fed"
) -> Guarantee:
    """One line of the guaranteed analysis."""
    return Guarantee(
        nutrient, nutrient, bound, Decimal(value), unit, basis, NOWHERE, NOWHERE, NOWHERE
    )


def ranges_by_name(table: dict[str, dict[str, tuple[float, float]]]) -> Any:
    """Composition ranges by the name of the ingredient; what is absent is unknown."""
    return lambda ingredient: {
        nutrient: Range(*ends) for nutrient, ends in table.get(ingredient.name, {}).items()
    }
