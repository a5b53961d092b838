"""The name that a misspelt one was meant to be: one answer for every rule that asks.

Only a name that nothing else explains is compared, and only a very near one is told; how near
stands in `rules/words/near.yaml`. It is a suggestion and never a match.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING

from panellint.core.text import one_line
from panellint.ingredients.model import Ingredient
from panellint.label.near_words import mended
from panellint.rulepacks.data import data

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.catalogue import Catalogue


def unknown(context: LabelContext) -> list[Ingredient]:
    """The entries under a name that is not known."""
    return [entry for entry in context.entries if entry.match is None]


def is_compared(context: LabelContext, entry: Ingredient) -> bool:
    """Whether names near an unknown one are looked for: only for the first so many of a label,
    since a list of more is none that was misspelt."""
    return entry.span.start <= context.once(_last_compared)


def _last_compared(context: LabelContext) -> int:
    """Returns where the last entry starts that is compared."""
    names = context.once(unknown)[: data("words/near")["most-names"]]
    return names[-1].span.start if names else -1


def near_name(context: LabelContext, entry: Ingredient) -> str | None:
    """The known name that a printed, unknown one misses by a letter or two, or that a scanner has
    spoilt with digits; None for a name that is known, a group's heading that is not spoilt, or one
    that is far from all."""
    if entry.match is not None or not is_compared(context, entry):
        return None
    name = one_line(entry.name.lower())
    if scanned := next((spelling for spelling in mended(name) if context.lookup(spelling)), None):
        return scanned
    if entry.members:
        return None
    return _near(context.catalogue, name, context.market, context.language)


def is_sure(context: LabelContext, entry: Ingredient, near: str) -> bool:
    """Returns whether a known name is one slip away and no other ingredient's within two: then no
    other can have been meant."""
    from rapidfuzz.distance import OSA

    name = one_line(entry.name.lower())
    return (
        OSA.distance(name, near.lower()) == 1
        and context.catalogue.within(name, 2, context.market, context.language) == 1
    )


@lru_cache(maxsize=1024)
def _near(catalogue: Catalogue, name: str, market: str, language: str) -> str | None:
    near = data("words/near")
    if not near["shortest"] <= len(name) <= near["longest"]:
        return None
    looked_at = near["looked-at"]
    suggested = catalogue.suggest(name, market=market, language=language, limit=looked_at)
    if not suggested:
        return None
    from rapidfuzz.distance import OSA

    best = min(suggested, key=lambda other: (OSA.distance(name, other.lower()), other))
    missed = OSA.distance(name, best.lower())
    allowed = 1 if len(name) < near["two-from"] else 2
    same_start = name[0] == best[0].lower() or missed == 1
    words, others = name.split(), best.lower().split()
    inflected = re.compile(near["endings"].get(language, r"(?!)"))
    if [inflected.sub("", word) for word in words] == [inflected.sub("", word) for word in others]:
        return None
    if missed > 1 and len(words) == len(others):
        # Two slips in one short word are another word: "callos" is no "caldo".
        pairs = zip(words, others, strict=True)
        if any(OSA.distance(*pair) > 1 and len(pair[0]) < near["two-from"] for pair in pairs):
            return None
    return best if 0 < missed <= allowed and same_start else None
