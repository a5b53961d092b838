"""Where the nutrients of a declaration come from: additives, whole foods, or nothing declared."""

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.catalogue.model import CatalogueEntry
from panellint.core.once import once
from panellint.ingredients.model import Ingredient
from panellint.ingredients.spelling import near_name
from panellint.rulepacks.data import data

#: The letter of a vitamin, a capital in a sentence: "vitamin A", "vitamin B12".
_VITAMIN = re.compile(r"(?<=\bvitamin )[a-z](?=\d*\b)")


class Sources(NamedTuple):
    """Nutrients by where they come from, each in the order of the rule's list.

    `supplied`: by an ingredient that is declared for it. `carried`: by a whole food that is rich
    in it. `missing`: by nothing that is declared. `open_list`: a premix or an unknown name is
    declared that may hold any of them.
    """

    supplied: tuple[str, ...]
    carried: tuple[str, ...]
    missing: tuple[str, ...]
    open_list: bool


def sources(
    context: LabelContext,
    nutrients: Iterable[str],
    by_kind: Mapping[str, Iterable[str]],
    by_note: Mapping[str, Iterable[str]],
) -> Sources:
    """Where each of the nutrients (ids of `rules/nutrients`) comes from in a declaration.

    `by_kind` maps a nutrient to kinds of ingredient that carry it, beside what the catalogue
    says of single foods; `by_note` to words of a name or its bracket that do ("with bone").
    """
    open_list = False
    supplying: list[tuple[Ingredient, CatalogueEntry]] = []
    for ingredient in context.entries:
        known = ingredient.match.known if ingredient.match else _meant(context, ingredient)
        if known is not None:
            supplying.append((ingredient, known))
            open_list = open_list or (known.state == "premix" and not ingredient.members)
        elif not ingredient.members and _may_be_a_premix(ingredient):
            open_list = True
    supplies = set[str]().union(*[known.supplies for _, known in supplying])
    carries = set[str]().union(*[known.carries for _, known in supplying])
    kinds = {known.kind for _, known in supplying}
    printed = [text for supplier, _ in supplying for text in _texts(supplier)] if by_note else []
    for nutrient, words in by_note.items():
        if any(word in text for text in printed for word in words):
            carries.add(nutrient)
    carries.update(n for n, among in by_kind.items() if not kinds.isdisjoint(among))
    asked = tuple(nutrients)
    return Sources(
        tuple(n for n in asked if n in supplies),
        tuple(n for n in asked if n in carries and n not in supplies),
        tuple(n for n in asked if n not in supplies and n not in carries),
        open_list,
    )


@once
def listed_sources(context: LabelContext, name: str) -> Sources:
    """Where the nutrients of a list of `rules/` come from, looked for once for all rules."""
    listed = data(name)
    return sources(
        context,
        listed["nutrients"].get(context.species, ()),
        listed["carried_by_kind"],
        listed["carried_by_words"],
    )


def names_of(nutrients: Iterable[str]) -> Iterator[str]:
    """What nutrients are called in a sentence."""
    names = {row["id"]: row["names"]["en"][0] for row in data("nutrients/nutrients")["nutrients"]}
    return (
        _VITAMIN.sub(lambda match: match.group().upper(), names[nutrient]) for nutrient in nutrients
    )


def _texts(ingredient: Ingredient) -> Iterator[str]:
    """The name and the notes of an ingredient, in small letters."""
    return (text.lower() for text in (ingredient.name, *ingredient.notes))


def _meant(context: LabelContext, ingredient: Ingredient) -> CatalogueEntry | None:
    """What a misspelt name was most likely meant to be; a misspelling is another rule's matter."""
    near = near_name(context, ingredient)
    match = near and context.lookup(near)
    return match.known if match else None


def _may_be_a_premix(ingredient: Ingredient) -> bool:
    words = ingredient.name.lower()
    return any(word in words for word in ("vitamin", "mineral", "premix", "trace element"))
