"""What it means to stand in a bracket: whether figures make the whole, and what a bare name is.

The words are data (`rules/words/declarations.yaml`).
"""

import re
from collections.abc import Callable, Iterable, Sequence
from decimal import Decimal
from functools import cache

from panellint.catalogue.model import BARE_STATES, Match
from panellint.core.wording import regex
from panellint.ingredients.model import Ingredient
from panellint.label.model import Bound, Percent, PercentOf
from panellint.rulepacks.data import data

#: Kinds that are made of other ingredients: a bracket behind them lists.
GROUPS = frozenset({"category", "mixed"})


def counts_by_weight_of_feed(market: str) -> bool:
    """Returns whether the market's text has every figure in a list count in the feed by weight."""
    return market in data("markets")["figures_by_weight_of_feed"]


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
    members: Sequence[Ingredient],
    name: str,
    match: Match | None,
    lookup: Callable[[str], Match | None],
) -> list[Ingredient]:
    """The members of a group that a name stands before, as parts and sources of it.

    The heart in "lamb (heart, liver)" is the lamb's, the beef in "animal fat (beef)" is fat of
    beef. Where no name says so, a bare name says whence and not what it is made of: little is
    known of it.
    """
    known = match.known if match and match.known.kind not in GROUPS else None
    worked_up = search_for("worked").search(name) is not None
    taken = []
    for member in members:
        own = member.match
        if own and own.known.state in BARE_STATES:
            if match and (whole := _of_its_group(member.name, own, name, match, lookup)):
                member = member._replace(match=whole)
            elif worked_up or (known is not None and own.known.state != known.state):
                member = member._replace(match=unmeasured(own))
        elif own is None and known is not None:
            member = member._replace(match=_whole(member.name, name, known.species, lookup))
        taken.append(member)
    return taken


def _of_its_group(
    name: str, own: Match, group: str, match: Match, lookup: Callable[[str], Match | None]
) -> Match | None:
    """What a member's name and its group's say together; None where they say no more."""
    part, whole = own.known, match.known
    if part.species == whole.species:
        return None
    if part.species in whole.classes:  # the heart of some animal, in a group of lamb
        return _whole(name, group, whole.species, lookup)
    if whole.species not in part.classes:
        return None
    words = group.split()
    names = [f"{name} {group}"] if len(words) == 1 else []
    names += [" ".join((*words[:at], name, *words[at + 1 :])) for at in range(len(words))]
    for other in filter(None, map(lookup, names)):
        known = other.known
        if known.id != part.id and (known.species, known.kind) == (part.species, whole.kind):
            return other
    return None


def _whole(
    name: str, group: str, species: str, lookup: Callable[[str], Match | None]
) -> Match | None:
    """Returns what a part and its group's name make together, of that animal; None where no name
    is known for it."""
    matches = (lookup(together) for together in _names_together(name, group) if name)
    return next((match for match in matches if match and match.known.species == species), None)


def _names_together(name: str, group: str) -> list[str]:
    """Returns the names that a part and the animal of its group may make: "beef heart", "cœur de
    bœuf", "Rinderherz"."""
    given = data("words/declarations")["part-of-group"]
    own = given["as"].get(group.lower(), group)
    return [
        pattern.format(part=name.lower(), group=own if pattern.startswith("{group}{") else group)
        for pattern in given["patterns"]
    ]


def unmeasured(match: Match) -> Match:
    """The same ingredient, of whose composition nothing is known."""
    return match._replace(known=match.known._replace(figures={}, usual=None, state="unknown"))


@cache
def search_for(key: str) -> re.Pattern[str]:
    """Returns words of `rules/words/declarations.yaml` as one search: `worked` as whole words."""
    words = data("words/declarations")[key]
    return regex(rf"\b(?:{'|'.join(words)})\b") if key == "worked" else regex(*words)


def in_several_languages(
    name: str, known: Callable[[str, str], Match | None], languages: Iterable[str]
) -> Match | None:
    """Returns what "Reis / riz / riso" is, one name in several languages: one thing in all that are
    known, of which one at most is not; `known` looks a name up in a language."""
    codes = tuple(languages)
    parts = [part.strip() for part in name.split("/")]
    if not all(any(map(str.isalpha, part)) for part in parts):
        return None
    readings = [[match for code in codes if (match := known(part, code))] for part in parts]
    if readings.count([]) > 1:
        return None
    for match in next(filter(None, readings), ()):
        if all(not own or any(_alike(match, other) for other in own) for own in readings):
            return match
    return None


def _alike(match: Match, other: Match) -> bool:
    """Returns whether two names may be one thing: one is a kind of the other, or both are of one
    source in one state."""
    first, second = match.known, other.known
    above = second.id in (first.id, first.kind_of, *first.classes) or (
        first.id in (second.kind_of, *second.classes)
    )
    sources = {(known.species, known.kind, known.state) for known in (first, second)}
    return above or (bool(first.species) and len(sources) == 1)
