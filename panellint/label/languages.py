"""The language of a label, from the headings of its parts."""

from __future__ import annotations

from collections import Counter
from functools import cache

from panellint.label.model import Label
from panellint.packs import data

#: Taken where the headings leave more than one language open, or say nothing.
USUAL = "en"


@cache
def _languages() -> dict[tuple[str, str], frozenset[str]]:
    """Section kind and folded heading to the languages that have it."""
    found: dict[tuple[str, str], set[str]] = {}
    for one in data("words/headings")["headings"]:
        for language, words in one["words"].items():
            for word in words:
                found.setdefault((one["kind"], _folded(word)), set()).add(language)
    return {key: frozenset(languages) for key, languages in found.items()}


def _folded(words: str) -> str:
    return " ".join(words.replace("’", "'").split()).casefold()


def language_of(label: Label) -> str:
    """The language that most headings of the label stand in; the facts that its user adds
    ("Form:", "Market:") are no headings of the label and do not count."""
    votes: Counter[str] = Counter()
    for section in label.sections:
        printed = _folded(label.source.slice(section.heading))
        languages = _languages().get((section.kind, printed), frozenset())
        if section.kind not in label.facts or section.kind in _ON_LABELS:
            votes.update(languages)
    if not votes:
        return USUAL
    most = max(votes.values())
    leading = sorted(language for language, count in votes.items() if count == most)
    return USUAL if USUAL in leading else leading[0]


#: Facts that stand on a label too.
_ON_LABELS = frozenset(
    "feeding net-contents maker lot best-before storage contact origin warnings".split()
)
