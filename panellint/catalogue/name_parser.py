"""Parses printed names that no entry lists into a listed source and the words around it.

A name is a source that is listed, and phrases before and behind it of which every word is known:
parts, products, states (`rules/ingredients/forms.yaml`) and words that only qualify
(`rules/words/qualifiers.yaml`). The longest source wins; what leaves a word over is no parse.
"""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import chain, islice, pairwise
from typing import Any, NamedTuple

from panellint.core.text import spelled_alike

#: A name of more words than this is prose and not parsed.
LONGEST = 12
#: No phrase of the tables has more words than this.
_PHRASE = 6
#: So many readings of the words on one side of a source are tried.
_READINGS = 8
#: A source and a form written as one word have at least so many letters each.
_SHORTEST = 3
_LATIN = re.compile(r"[a-z]{4,}$")


class Phrase(NamedTuple):
    """Words before or behind a source, with the numbers of the facts that they may state."""

    text: str
    facts: tuple[int, ...]


class Parse(NamedTuple):
    """One way to read a name: the id of its source, and the phrases around it as printed."""

    source: str
    before: tuple[Phrase, ...]
    after: tuple[Phrase, ...]


class Organism(NamedTuple):
    """A micro-organism by its Latin name."""

    genus: str
    species: str
    fermented: bool


class NameParser:
    """Parses folded names. `data` are the tables that `panellint.catalogue.compile` explains;
    `listed` returns the id that claims a name in a market and language, or None."""

    def __init__(
        self, data: Mapping[str, Any], listed: Callable[[str, str, str], str | None]
    ) -> None:
        self._data = data
        self._listed = listed

    def parses(self, folded: str, market: str, language: str) -> Iterator[Parse]:
        """Yields the parses of a name, the longest source first."""
        words = self._words(folded, language)
        before, after = self._data["before"], self._data["after"]
        leading, trailing = before.get(language, {}), after.get(language, {})
        if table := self._data["compounds"].get(language):
            parts = (
                _parts(word, table, trailing, lambda name: self._listed(name, market, language))
                for word in words
            )
            words = tuple(chain.from_iterable(parts))
        for length in range(len(words), 0, -1):
            for start in range(len(words) - length + 1):
                end = start + length
                source = self._listed(" ".join(words[start:end]), market, language)
                if source is None:
                    continue
                for reading in _readings(words[:start], leading):
                    for other in _readings(words[end:], trailing):
                        yield Parse(source, reading, other)

    def _words(self, folded: str, language: str) -> tuple[str, ...]:
        """The words that name the ingredient: without a lead-in ("made with") and without a tail
        that says what it is preserved with or a source of; none where it is prose."""
        if language == "en":
            folded = spelled_alike(folded, self._data["spelling"])
        words = tuple(folded.split(" "))
        if language == "en":
            words = _without_tail(_without_lead(words, self._data["lead_ins"]), self._data["tails"])
        return words if len(words) <= LONGEST else ()

    def organism(self, folded: str) -> Organism | None:
        """The micro-organism that a name states by its genus, or by the genus' letter where
        fermentation is named too; None where it states none."""
        words = folded.split(" ")[:LONGEST]
        if any(word in self._data["not_organism"] for word in words):
            return None
        fermented = "fermentation" in words or "fermented" in words
        for word, species in pairwise(words[:5]):
            full = self._data["genera"].get(word)
            genus = full or (fermented and self._data["short_genera"].get(word))
            if genus and (_LATIN.match(species) or (full and species in ("sp", "spp"))):
                return Organism(genus, species, fermented)
        return None


def _parts(
    word: str,
    table: Mapping[str, Any],
    forms: Mapping[str, Sequence[int]],
    is_listed: Callable[[str], object],
) -> Sequence[str]:
    """The words that are written as one: a source with what is made of it ("rinderleber"), or
    what an apostrophe joins ("dagneau"); the word itself where it is none of these."""
    if word in forms or is_listed(word):
        return (word,)
    for letters in table.get("elided", ()):
        if word.startswith(letters) and is_listed(word[len(letters) :]):
            return letters, word[len(letters) :]
    for end in range(len(word) - _SHORTEST + 1, _SHORTEST - 1, -1):
        stem, form = word[:end], word[end:]
        for joint in table.get("joints", ()) if form in forms else ():
            source = stem.removesuffix(joint)
            name = table["stems"].get(source, source)
            if source + joint == stem and len(source) >= _SHORTEST and is_listed(name):
                return name, form
        if form in forms and len(parts := _parts(stem, table, forms, is_listed)) > 1:
            return *parts, form
    return (word,)


def _readings(
    words: Sequence[str], phrases: Mapping[str, Sequence[int]]
) -> Iterator[tuple[Phrase, ...]]:
    """Yields the ways to read words as phrases one behind the other, long phrases first."""
    return islice(_covers(tuple(words), phrases), _READINGS)


def _covers(
    words: tuple[str, ...], phrases: Mapping[str, Sequence[int]]
) -> Iterator[tuple[Phrase, ...]]:
    if not words:
        yield ()
        return
    for size in range(min(_PHRASE, len(words)), 0, -1):
        text = " ".join(words[:size])
        if (facts := phrases.get(text)) is not None:
            for rest in _covers(words[size:], phrases):
                yield (Phrase(text, tuple(facts)), *rest)


def _without_lead(words: tuple[str, ...], leads: Mapping[str, int]) -> tuple[str, ...]:
    while True:
        for size in range(min(_PHRASE, len(words) - 1), 0, -1):
            if " ".join(words[:size]) in leads:
                words = words[size:]
                break
        else:
            return words


def _without_tail(words: tuple[str, ...], tails: Mapping[str, int]) -> tuple[str, ...]:
    for start in range(1, min(len(words), LONGEST) - 1):
        for size in range(1, _PHRASE + 1):
            if " ".join(words[start : start + size]) in tails:
                return words[:start]
    return words
