"""Named ingredients with the declared entries that bear their own names."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.core.phrases import listed
from panellint.ingredients.model import Ingredient
from panellint.ingredients.product_name import Named
from panellint.shares.model import Number, Path


class Backed(NamedTuple):
    """A named ingredient with the declared entries that bear its own name."""

    named: Named
    entries: tuple[Ingredient, ...]


Support = Sequence[Backed]


def support_of(named: Iterable[Named], context: LabelContext) -> Support:
    """Each named ingredient with its entries, in the order of the name."""
    return [Backed(name, context.supported[name.span]) for name in named]


def all_declared(support: Support) -> bool:
    """False where a named ingredient is declared nowhere under its own name."""
    return all(entries for _, entries in support)


def weights_of(support: Support) -> dict[Path, Number]:
    """All entries at full weight: what the named ones are together, each entry once."""
    return {ingredient.path: 1 for _, entries in support for ingredient in entries}


def names_of(support: Support) -> str:
    """ "duck", "duck and millet together"."""
    names = listed(named.name for named, _ in support)
    return f"{names} together" if len(support) > 1 else names
