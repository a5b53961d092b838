"""The language of a label, from the headings of its parts."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache, lru_cache

from panellint.core.source import Source
from panellint.core.text import fold
from panellint.label.model import Label, Section
from panellint.label.sections import PER_KILOGRAM
from panellint.rulepacks.data import data

_WORD = re.compile(r"[^\W\d_]+")
#: Taken where the headings leave more than one language open, or say nothing.
USUAL = "en"


@cache
def _unread() -> tuple[tuple[str, re.Pattern[str]], ...]:
    """Languages that are not read, with the words that tell each."""
    return tuple(
        (one["language"], re.compile(rf"\b(?:{'|'.join(map(re.escape, one['words']))})\b"))
        for one in data("words/unread-languages")["languages"]
    )


def unread_language(label: Label) -> str | None:
    """The language of a label that is not read, by two at least of its statutory words; None
    where the guarantees or a list under its heading are read all the same."""
    if label.guarantees or (label.declaration and not label.bare):
        return None
    text = label.source.text.lower()
    told = {language: len(set(words.findall(text))) for language, words in _unread()}
    language = max(told, key=lambda one: told[one])
    return language if told[language] > 1 else None


@cache
def _languages() -> dict[tuple[str, str], frozenset[str]]:
    """Section kind and folded heading to the languages that have it."""
    languages_of: dict[tuple[str, str], set[str]] = {}
    for heading in data("words/headings")["headings"]:
        for language, words in heading["words"].items():
            for word in words:
                languages_of.setdefault((heading["kind"], fold(word)), set()).add(language)
    return {key: frozenset(languages) for key, languages in languages_of.items()}


@lru_cache(maxsize=1024)
def _languages_of(kind: str, printed: str) -> frozenset[str]:
    """The languages that have such a heading; labels have few different ones."""
    words = PER_KILOGRAM.sub("", fold(printed))
    return _languages().get((kind, words), frozenset())


def languages_of_lists(source: Source, sections: Iterable[Section]) -> dict[Section, str]:
    """Returns the language of each declaration: that of its heading where only one language has
    it, else of the headings up to the next declaration; "" where these leave it open."""
    found: dict[Section, str] = {}
    votes: dict[str, int] = {}
    for section in reversed(list(sections)):
        languages = _languages_of(section.kind, source.slice(section.heading))
        if section.kind != "declaration":
            for language in languages:
                votes[language] = votes.get(language, 0) + 1
            continue
        most = max((votes.get(one, 0) for one in languages), default=0)
        leading = [one for one in languages if votes.get(one, 0) == most]
        found[section] = leading[0] if len(leading) == 1 else ""
        votes = {}
    return found


@cache
def languages_read() -> tuple[str, ...]:
    """The languages of which headings are known, the usual one first."""
    headings = data("words/headings")["headings"]
    others = {language for heading in headings for language in heading["words"]} - {USUAL}
    return (USUAL, *sorted(others))


def language_of(label: Label) -> str:
    """The language of the label's declaration by its own heading, else the one that most headings
    stand in; the facts that its user adds ("Form:", "Market:") are no headings of the label and do
    not count."""
    lists = [section for section in label.sections if section.kind == "declaration"]
    if len(lists) > 1 and (own := languages_of_lists(label.source, label.sections)[lists[0]]):
        return own
    votes: dict[str, int] = {}
    for section in label.sections:
        if section.kind not in label.facts or section.kind in _ON_LABELS:
            for language in _languages_of(section.kind, label.source.slice(section.heading)):
                votes[language] = votes.get(language, 0) + 1
    most = max(votes.values(), default=0)
    leading = sorted(one for one in languages_read() if votes.get(one, 0) == most)
    pasted = not any(one.heading.end > one.heading.start for one in label.sections)
    if len(leading) > 1 and (most or pasted):
        # "Composition" heads English and French lists, and a pasted text has no heading at all: the
        # small words of the text decide.
        words = _WORD.findall(label.source.text.lower())
        small = data("words/evidence")["sentence"]
        counts = {one: sum(word in small[one] for word in words) for one in leading}
        most = max(counts.values())
        leading = [one for one in leading if counts[one] == most]
    return USUAL if USUAL in leading else leading[0]


#: Facts that stand on a label too.
_ON_LABELS = frozenset(
    "feeding net-contents maker lot best-before storage contact origin warnings".split()
)
