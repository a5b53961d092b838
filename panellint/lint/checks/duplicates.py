"""Ingredients that stand twice in one list: under one name, or under two."""

from collections.abc import Iterator
from functools import cache

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation, Related
from panellint.core.text import fold
from panellint.ingredients.model import Ingredient
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule


@cache
def _synonyms() -> dict[str, int]:
    sets = data("words/synonyms")["synonyms"]
    return {name: number for number, names in enumerate(sets) for name in names}


def _single(context: LabelContext) -> tuple[list[Ingredient], list[str]]:
    """Returns the entries that are looked at, and their names folded."""
    entries = [
        entry for entry in context.entries if not entry.any_of and not entry.members and entry.name
    ]
    return entries, [fold(entry.name) for entry in entries]


def check(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds entries that an earlier one of their list equals, by name or by another name.

    Members of a group are compared among themselves only: the salt of a cheese and the salt of the
    food are two additions. Alternatives (“and/or”) and component lists are passed over.
    """
    by_name = rule.parameters.text("by") == "name"
    looked_at, names = context.once(_single)
    keys = names if by_name else list(map(_synonyms().get, names))
    known = [key for key in keys if key is not None]
    if len(set(known)) == len(known):
        return
    first: dict[tuple[tuple[int, ...], str | int], Ingredient] = {}
    for entry, name, key in zip(looked_at, names, keys, strict=True):
        if key is None:
            continue
        earlier = first.setdefault((entry.path[:-1], key), entry)
        if earlier is entry or (not by_name and fold(earlier.name) == name):
            continue
        yield Observation(
            entry.name_span,
            Certainty.PROVEN if by_name else Certainty.PRACTICE,
            {
                "name": entry.name,
                "other": earlier.name,
                "line": context.source.position(earlier.name_span.start)[0],
            },
            related=(Related(earlier.name_span, "first declared here"),),
        )
