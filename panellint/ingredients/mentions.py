"""Names of known ingredients in free text: product names, claims, sentences."""

import re
from collections.abc import Callable, Iterator
from typing import NamedTuple, TypeAlias

from panellint.catalogue.model import Match
from panellint.core.source import Span
from panellint.core.text import fold
from panellint.rulepacks.data import data

#: The most words of a name that is looked for.
LONGEST = 4
#: A word without the article that is run into it: "l'agneau", "all'anatra".
_WORD = re.compile(
    r"(?<![^\W_])(?!(?:[ld]|qu|dell|all|nell|sull|dall|un)['’][^\W_])[^\W_]+(?:['’-][^\W_]+)*",
    re.IGNORECASE,
)
#: What stands between two names and inside none.
_BETWEEN = re.compile(r"[,;:|&]|\s[–—-]\s")

#: What the catalogue knows under a printed name, or None.
Lookup: TypeAlias = Callable[[str], Match | None]


class Mention(NamedTuple):
    """A known ingredient in a text: its printed words, folded, their place, and how many they
    are."""

    name: str
    span: Span
    match: Match
    size: int


def is_listed(mention: Mention) -> bool:
    """Returns True for a name that the catalogue lists; a composed one may be any two words."""
    return mention.match.how != "composed"


def mentions(
    text: str,
    lookup: Lookup,
    start: int = 0,
    end: int | None = None,
    accepts: Callable[[Mention], bool] = is_listed,
) -> Iterator[Mention]:
    """Yields the known ingredients in a text, the longest name at each place, none twice.

    A name that is not accepted gives way to a shorter one, and to those behind its first word.
    """
    words = list(_WORD.finditer(text, start, len(text) if end is None else end))
    place = 0
    while place < len(words):
        mention = _longest(text, words[place : place + 2 * LONGEST], lookup, accepts)
        if mention is not None:
            yield mention
        place += mention.size if mention else 1


def _longest(
    text: str, words: list[re.Match[str]], lookup: Lookup, accepts: Callable[[Mention], bool]
) -> Mention | None:
    """The longest name that begins with the first of the words; none begins with "and"."""
    start = words[0].start()
    if words[0].group().lower() in data("words/names")["joining"]:
        return None
    for size in range(min(len(words), LONGEST), 0, -1):
        span = Span(start, words[size - 1].end())
        printed = text[span.start : span.end]
        match = None if _BETWEEN.search(printed) else lookup(printed)
        if match is not None:
            mention = Mention(fold(printed), span, match, size)
            if accepts(mention) and not _holds_longer(text, words[1:], mention, lookup, accepts):
                return mention
    return None


def _holds_longer(
    text: str,
    words: list[re.Match[str]],
    mention: Mention,
    lookup: Lookup,
    accepts: Callable[[Mention], bool],
) -> bool:
    """Returns whether a listed name begins behind words of praise and goes on behind the name:
    "all natural beef" of "all natural beef bully sticks"."""
    if mention.match.how != "qualified" or mention.size > len(words):
        return False
    for first in range(mention.size - 1):
        inner = _longest(text, words[first:], lookup, accepts)
        if inner and inner.match.how == "listed" and inner.span.end > mention.span.end:
            return True
    return False
