"""Texts that no maker would print, each the same for its seed: cut and mutated from the corpus, and
made from the parts of a declaration."""

from __future__ import annotations

import random
from functools import cache
from pathlib import Path

from panellint.core.source import read
from tests.labels import layouts

CORPUS = Path(__file__).parents[2] / "corpus"
_WORDS = (
    "( ) [ ] { } , ; : . * % & / | - \u2013 \u2019 \u201c \u00a0 \u200b \ufeff \u202e \u0130 \u00df"
    " \U0001f408 \x00 \x1b[31m \r \r\n \n\n \t 0 1 9 99999999999999999999 1,5 0.1% 100% -3% 1e9"
    " \u00bd \u00b2 and or of contains including and/or less than min. max. Ingredients:"
    " Composition: Zusammensetzung: Analysis: Additives: Species: Market: Form: Language: Batch"
    " Product complete dog cat chicken xylitol vitamin kcal/kg IU/kg <b> </b> # ``` ~~~ {{x}} {%y%}"
    " \\ $"
)
#: What readers trip over: signs of the grammar, headings, figures, letters of several widths.
HOSTILE = (*_WORDS.split(" "), "Waive x until 9999-99-99: y", "less than 1% of")
NAMES = (
    "duck",
    "chicken meal",
    "peas",
    "salt",
    "vitamin E supplement",
    "zinc oxide",
    "zorbane",
    "e 300",
)
OPEN = ("(", "[", "{", ": ", " (of which ", " (including ", "")
JOIN = (", ", "; ", " and ", " & ", ",", " / ", "\n", " and/or ")


@cache
def labels() -> tuple[str, ...]:
    """The texts of the corpus."""
    return tuple(read(path).text for path in sorted(CORPUS.glob("*.panel")))


def text_of(seed: int) -> str:
    """The text of a seed. One in fifty is a label and more, the others are short."""
    chance = random.Random(seed)
    if seed % 4 == 3:
        return "Ingredients: " * chance.randrange(2) + declaration(chance, 4)
    text = chance.choice(labels())
    if seed % 50:
        length = min(chance.choice((20, 60, 150)), len(text))
        start = chance.randrange(len(text) - length + 1)
        text = text[start : start + length]
    for _ in range(chance.choice((1, 2, 5))):
        text = mutated(text, chance)
    return text


def laid_out(seed: int) -> str:
    """A whole label of a seed in one of many layouts, and in half of them with changes."""
    chance = random.Random(seed)
    text = layouts.text(chance.choice(layouts.labels()), chance.randrange(1, 2**31))
    for _ in range(chance.choice((0, 0, 1, 3))):
        text = mutated(text, chance)
    return text


def mutated(text: str, chance: random.Random) -> str:
    """A text with one change."""
    start, end = sorted(chance.randrange(len(text) + 1) for _ in range(2))
    end = min(end, start + chance.choice((0, 1, 8, 200)))
    kind = chance.randrange(6)
    if kind == 0:
        return text[:start] + text[end:]
    if kind == 1:
        return text[:end] + text[start:]
    if kind == 2:
        return text[:start] + text[start:end].swapcase() + text[end:]
    if kind == 3:
        return text[:start] + chance.choice(HOSTILE) * chance.choice((1, 1, 30)) + text[start:]
    if kind == 4:
        other = chance.choice(labels())
        at = chance.randrange(len(other) + 1)
        return text[:start] + other[at : at + chance.choice((5, 60))] + text[end:]
    return (
        text[:start]
        + chr(chance.choice((chance.randrange(0x110000), chance.randrange(256))))
        + text[end:]
    )


def declaration(chance: random.Random, depth: int) -> str:
    """A list of ingredients with groups, percentages and marks, right or not."""
    pieces = []
    for _ in range(chance.randrange(1, 6)):
        piece = chance.choice(NAMES)
        if depth and chance.random() < 0.35:
            piece += chance.choice(OPEN) + declaration(chance, depth - 1)
            piece += chance.choice((")", "]", "}", "", "))"))
        if chance.random() < 0.3:
            piece += chance.choice((" 4 %", " (12.5%)", "*", " 3000 IU/kg", " min. 4 %", " <1%"))
        if chance.random() < 0.1:
            piece = chance.choice(HOSTILE) + piece
        pieces.append(piece + chance.choice(JOIN))
    return "".join(pieces)
