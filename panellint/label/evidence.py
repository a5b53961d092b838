"""What speaks for words being a part of a label: nearly its heading or its statutory words, a
figure of its kind, the section around them. The signs and their weights are data
(`rules/words/evidence.yaml`)."""

import re
from collections.abc import Callable, Iterable, Mapping
from functools import cache, lru_cache
from typing import NamedTuple

from panellint.core.text import fold
from panellint.label.guarantees import nutrient_names
from panellint.label.headings import heading_kinds
from panellint.label.kinds import kinds
from panellint.label.near_words import KnownWords
from panellint.rulepacks.data import data, search

_WORD = re.compile(r"[^\W_](?:[\w'’|!]*\w)?")
#: Letters that a scanner puts for digits, beside one.
_SPOILT_FIGURE = re.compile(r"\d[OIS]|(?<!\w)[OISl]\d")
_LETTERS = re.compile(r"\w")


class _Signs(NamedTuple):
    """Words to the part that they are of, and the figures and the earning words of each part."""

    parts: dict[str, str]
    nutrients: frozenset[str]
    near: KnownWords
    figures: dict[str, re.Pattern[str]]
    reads: dict[str, re.Pattern[str]]
    sentence: re.Pattern[str]


def maybe(words: str, section: str = "", *, slips: bool = True) -> tuple[str, ...]:
    """Returns the parts of a label that words in a section may be, the likeliest first: kinds of
    section and ids of nutrients, each by evidence of at least the weight that is enough. Without
    `slips` a nearly printed word is one whose signs look alike."""
    given, signs = data("words/evidence"), _signs()
    weights = given["weights"]
    weight_of: dict[str, int] = {}
    for part, exact in _phrases(words, slips):
        weight = weights["words" if exact else "near-words"]
        weight_of[part] = max(weight_of.get(part, 0), weight)
    named = bool(weight_of)
    if "energy" in weight_of:
        weight_of["calories"] = max(weight_of["energy"], weight_of.get("calories", 0))
    for part, figure in signs.figures.items():
        if printed := [match.group() for match in figure.finditer(words)]:
            weight_of[part] = weight_of.get(part, 0) + weights["figure"]
            if not named and sum(map(len, printed)) * 2 > len(_LETTERS.findall(words)):
                weight_of[part] += weights["alone"]
            elif any(map(_SPOILT_FIGURE.search, printed)):
                weight_of[part] += weights["spoilt"]
    if "guarantees" in weight_of:  # a percentage is a figure of each nutrient that is named
        for part in signs.nutrients & weight_of.keys():
            weight_of[part] += weights["figure"]
    # In a table of guarantees each line is one nutrient; the table itself is there.
    own = signs.nutrients if section == "guarantees" else {section}
    for part in own & weight_of.keys():
        weight_of[part] += weights["own-section"]
    if section == "guarantees":
        weight_of.pop(section, None)
    enough = [part for part, weight in weight_of.items() if weight >= given["enough"]]
    return tuple(sorted(enough, key=lambda part: (-weight_of[part], part)))


def hinted(words: str, part: str, *, figures: bool, phrases: bool = True) -> bool:
    """Returns whether anything at all among words speaks of a part of a label: too little to be
    taken for it, enough not to call it missing. A figure of its kind is such a sign with
    `figures`, else at their end alone; without `phrases` its words are none."""
    figure = _signs().figures.get(part)
    ends = [match.end() for match in figure.finditer(words)] if figure else []
    if ends and (figures or not _LETTERS.search(words, ends[-1])):
        return True
    if not phrases or search("words/evidence", "no-hint").search(words):
        return False
    least = data("words/evidence")["hint"]
    return any(part == of for of, _ in _phrases(words, slips=False, least=least))


def could_hold(words: str, part: str) -> bool:
    """Returns whether words that were not understood are enough to hold a part of a label: a
    figure where such a part has one, else several words."""
    enough = data("words/evidence")["could-hold"]
    return re.search(enough.get(part, enough["otherwise"]), words) is not None


def misprinted(words: str) -> set[str]:
    """Returns the parts of which words are printed with signs that look alike."""
    return {part for part, exact in _phrases(words, slips=False) if not exact}


def headed(words: str) -> str:
    """Returns the kind of section whose heading words begin with; "" where they begin with none."""
    places = [word.end() for word in _WORD.finditer(words)][: data("words/evidence")["longest"]]
    start = _WORD.search(words)
    known = heading_kinds()
    printed = (fold(words[start.start() : end]) for end in reversed(places)) if start else ()
    return next((known[heading] for heading in printed if heading in known), "")


def part_name(part: str) -> str:
    """Returns what a part of a label is called: the nutrient's name, or the kind of section."""
    rows = data("nutrients/nutrients")["nutrients"]
    names = (str(row["names"]["en"][0]) for row in rows if row["id"] == part)
    return next(names, part.replace("-", " "))


def earns(kind: str, words: str) -> bool:
    """Returns True where the words under a heading hold what its kind is read by: words of it, or,
    where its sentences are free, any of a language that is read."""
    reads = _signs().reads.get(kind)
    free = kind in kinds("sentences") and is_sentence(words)
    return reads is None or free or reads.search(words) is not None


def is_sentence(words: str) -> bool:
    """Returns True where a small word of a language that is read stands among the words."""
    return _signs().sentence.search(words) is not None


def before_sentence(words: str) -> str:
    """Returns the words before the first small word of a language that is read."""
    return words[: match.start()] if (match := _signs().sentence.search(words)) else words


def names_ingredient(words: str, is_name: Callable[..., bool]) -> bool:
    """Returns whether an ingredient is named among the words; `is_name` tells the names."""
    places = [word.span() for word in _WORD.finditer(words)]
    most = data("words/blocks")["lengths"]["ingredient-words"]
    return any(
        is_name(words[start:end])
        for number, (start, _) in enumerate(places)
        for _, end in places[number : number + most]
    )


@lru_cache(maxsize=8)
def _phrases(words: str, slips: bool, least: int = 0) -> tuple[tuple[str, bool], ...]:
    """Returns the part of each known phrase of so many signs among the words, and whether it is
    printed exactly. Several questions are asked of one stretch of words."""
    given, signs = data("words/evidence"), _signs()
    parts, known = signs.parts, signs.near.near if slips else signs.near.alike
    places = [word.span() for word in _WORD.finditer(words)][: given["looked-at"]]
    phrases = []
    for first, (start, _) in enumerate(places):
        for _, end in places[first : first + given["longest"]]:
            folded = fold(words[start:end])
            if len(folded) < least:
                continue
            if folded in parts:
                phrases.append((parts[folded], True))
            elif near := known(folded):
                phrases.append((parts[near], False))
    return tuple(phrases)


@cache
def _signs() -> _Signs:
    given = data("words/evidence")
    parts = {**heading_kinds(), **nutrient_names()}
    for part in given["parts"]:
        parts.update((fold(words), part["part"]) for words in part["words"])
    small = "|".join(word for words in given["sentence"].values() for word in words)
    return _Signs(
        parts,
        frozenset(nutrient_names().values()),
        KnownWords(parts),
        _patterns("figure"),
        _patterns("reads"),
        re.compile(rf"(?<!\w)(?:{small})(?!\w)", re.IGNORECASE),
    )


def expressions(given: Iterable[str] | Mapping[str, str], begins: Iterable[str] = ()) -> str:
    """Returns expressions, listed or by name, and plain words that begin a line, in any case."""
    listed = [*(given.values() if isinstance(given, Mapping) else given)]
    return "(?i:" + "|".join([*listed, *(rf"^\W*{re.escape(words)}\b" for words in begins)]) + ")"


def _patterns(key: str) -> dict[str, re.Pattern[str]]:
    return {
        part["part"]: re.compile(expressions(part[key]))
        for part in data("words/evidence")["parts"]
        if key in part
    }
