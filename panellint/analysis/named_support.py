"""Named ingredients with the declared entries that bear their own names."""

import re
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
    """Each named ingredient with its entries, in the order of the name. An unknown entry with its
    main word ("lamb carcase with meat") may be one, so that no share is missed for it alone."""
    unknown = context.once(unknown_names)
    return [
        Backed(
            name,
            (
                *context.supported[name.span],
                *(entry for entry in unknown if shares_a_word(name.name, entry.name)),
            ),
        )
        for name in named
    ]


def unknown_names(context: LabelContext) -> list[Ingredient]:
    """The declared names that the catalogue does not know; one of them could be the ingredient."""
    return [
        entry
        for entry in context.entries
        if entry.match is None and entry.name and not entry.members
    ]


def shares_a_word(name: str, text: str) -> bool:
    """True where a word of a text begins with the main word of a name, singular or plural."""
    stem = name.split()[-1].lower().rstrip("s")
    return bool(stem) and re.search(rf"(?<!\w){re.escape(stem)}", text, re.IGNORECASE) is not None


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
