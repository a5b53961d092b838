"""Ingredients that a rule bars, or wants looked at, wherever they stand or high in the list.

`which` chooses them (see `choosing`), in the list or, where the rule speaks of no place, among
the additives of the EU heading. `among-first` keeps to so many first entries of the
list, members of a group with their group; `before` ends these at the first entry of a choice;
`at-least` asks for so many. `certainty` is the finding's: proven where a text bars them,
practice where it is a judgement. One finding at the first of them, the others named with it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from panellint.checks.choosing import Choice
from panellint.checks.standing import standing
from panellint.declared import Ingredient
from panellint.findings import Certainty, Observation, Related

if TYPE_CHECKING:
    from panellint.case import Case
    from panellint.packs import Rule


def check(case: Case, rule: Rule) -> Iterator[Observation]:
    """One observation where enough of the chosen ingredients stand in that part of the list."""
    which = rule.parameters.made("which", Choice)
    found = list(which.among(_part_of_list(case, rule)))
    if not found and "among-first" not in rule.parameters:
        found = list(which.among(additives(case)))
    if not found or len(found) < rule.parameters.get("at-least", 1):
        return
    first = found[0]
    listed = bool(first.path)
    yield Observation(
        which.place(case, first),
        Certainty(rule.parameters.text("certainty")),
        values={
            "name": first.name,
            "names": list(dict.fromkeys(entry.name for entry in found)),
            "number": len(found),
            "species": case.species or "pet",
            **(standing(case, first).values if listed else _UNLISTED),
        },
        rests_on=("order",) if "among-first" in rule.parameters else (),
        related=tuple(Related(which.place(case, e), "this one too") for e in found[1:]),
    )


#: What is said of the place of an additive that stands outside the list.
_UNLISTED = {"place": "among the additives", "share": "a small part", "least": 0.0, "most": 100.0}


def additives(case: Case) -> tuple[Ingredient, ...]:
    """What the EU heading of additives declares, in the form of entries without a place."""
    return tuple(
        Ingredient(
            name=one.printed,
            name_span=one.span,
            span=one.span,
            path=(),
            match=case.catalogue.lookup(one.printed, market=case.market, language=case.language),
        )
        for one in case.label.additives
    )


def _part_of_list(case: Case, rule: Rule) -> tuple[Ingredient, ...]:
    """The entries that a rule looks at: those without members, and groups by their own name."""
    entries = case.entries
    if "before" in rule.parameters:
        before = rule.parameters.made("before", Choice)
        ends = [entry.path[0] for entry in entries if before.fits(entry)]
        entries = tuple(e for e in entries if not ends or e.path[0] < min(ends))
    if "among-first" in rule.parameters:
        most = rule.parameters.number("among-first")
        entries = tuple(entry for entry in entries if entry.path[0] < most)
    return entries
