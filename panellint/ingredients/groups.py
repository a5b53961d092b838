"""What it means to stand in a bracket: whether figures make the whole, and what a bare name is.

The words are data (`rules/words/declarations.yaml`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal
from functools import cache

from panellint.catalogue.model import BARE_STATES, Match
from panellint.ingredients.model import Ingredient
from panellint.label.model import Bound, Percent, PercentOf
from panellint.rulepacks.data import data

#: Kinds that are made of other ingredients: a bracket behind them lists.
GROUPS = frozenset({"category", "mixed"})
#: Markets whose text has every figure in a list count in the feed by weight (Regulation (EC)
#: 767/2009, Art. 17).
BY_WEIGHT_OF_FEED = frozenset({"eu", "uk"})


def adds_up(figures: Sequence[Percent], parents: Sequence[Percent]) -> bool:
    """True where the members' figures make the whole of their entry, to the last digit.

    Where they only do within their rounding, something small may be left unnamed.
    """
    if not figures or any(p.bound is not Bound.EXACT for p in figures):
        return False
    total = sum((p.value for p in figures), Decimal(0))
    if all(p.of is PercentOf.PARENT for p in figures):
        return total == 100
    parent = next((p for p in parents if p.of is PercentOf.FOOD), None)
    return parent is not None and total == parent.value


def unclear(member: Ingredient) -> Ingredient:
    """The member without certainty of what its figure, taken as of the food, counts in."""
    if member.percent is None or member.percent.of is not PercentOf.FOOD:
        return member
    return member._replace(percent=member.percent._replace(of=PercentOf.UNCLEAR))


def as_of_its_group(
    members: Sequence[Ingredient], name: str, match: Match | None
) -> list[Ingredient]:
    """Members of "animal fat (beef)": their bare names say whence, not what they are made of."""
    known = match.known if match and match.known.kind not in GROUPS else None
    worked_up = worked().search(name) is not None
    made = []
    for member in members:
        own = member.match
        changed = worked_up or (known is not None and own and own.known.state != known.state)
        if own and changed and own.known.state in BARE_STATES:
            member = member._replace(match=unmeasured(own))
        made.append(member)
    return made


def unmeasured(match: Match) -> Match:
    """The same ingredient, of whose composition nothing is known."""
    return match._replace(known=match.known._replace(figures={}, usual=None, state="unknown"))


@cache
def worked() -> re.Pattern[str]:
    """Words by which an ingredient is not what its bare name says: dried, meal, oil..."""
    words = "|".join(data("words/declarations")["worked"])
    return re.compile(rf"\b(?:{words})\b", re.IGNORECASE)


@cache
def constituents() -> re.Pattern[str]:
    """What an ingredient holds and no ingredient is: "fat" in "milk (2 % fat)"."""
    return re.compile("|".join(data("words/declarations")["constituents"]), re.IGNORECASE)
