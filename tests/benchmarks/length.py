"""How time grows with the length of a text: four times the text against the text, as ratios.

Texts of many shapes, odd ones above all, are outlined and linted quickly, each once in full length
and once at a quarter of it (aim: at most 6, where growth in step with the length gives 4). A length
and the names of shapes may be given: `python tests/benchmarks/length.py 1000000 percentages`.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

from panellint import api
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings

#: Characters of the longer text.
LENGTH = int(sys.argv[1]) if len(sys.argv) > 1 else 400_000

#: What is repeated behind a lead.
SHAPES = {
    "known names": ("Ingredients: ", "chicken, rice, peas, salt, "),
    "one name without commas": ("Ingredients: ", "chicken and "),
    "words that nobody knows": ("Ingredients: ", "foo bar "),
    "names that nobody knows": ("Ingredients: ", "foo#, bar#, "),
    "names one slip from known ones": ("Ingredients: ", "chickem # meal, "),
    "pairs without commas": ("Ingredients: ", "duck rice meal, oats # peas, "),
    "names in two languages": ("Ingredients: ", "foo# / bar#, "),
    "names at line ends": ("Ingredients: chicken, ", "foo#-\n"),
    "hazards": ("Ingredients: chicken, ", "onion, garlic, grape, raisin, "),
    "quantities": ("", "Net wt 12 oz (340 g) foo#\n"),
    "cells of a page": ("", '<td class="foo#">bar#</td>'),
    "tables": ("", "Ingredients\tGuaranteed analysis\nfoo#, rice\tCrude fat 8%\n"),
    "foods": ("", "Duck Stew foo#\nIngredients: duck, water, rice\nCrude protein (min) 8%\n\n"),
    "words of bounds": ("Guaranteed analysis\n", "foo# (min) 12.5%\n"),
    "open brackets": ("Ingredients: ", "("),
    "nested groups": ("Ingredients: ", "chicken ("),
    "percentages": ("Ingredients: ", "chicken 0.1 %, "),
    "figures": ("Ingredients: ", "1 "),
    "digits": ("", "1"),
    "marks": ("Ingredients: ", "chicken*, "),
    "commas": ("Ingredients: chicken", ","),
    "full stops": ("Ingredients: chicken", ". "),
    "leaders": ("Ingredients: chicken", "."),
    "blanks": ("Ingredients: chicken", " "),
    "line ends": ("Ingredients: chicken", "\r\n"),
    "letters": ("", "a"),
    "one word in prose": ("Ingredients: chicken\n\n", "chicken"),
    "hexadecimal digits in prose": ("Ingredients: chicken\n\n", "3f9ac0de"),
    "base64 in prose": ("Ingredients: chicken\n\n", "TWFuIGlz+G5vdA/"),
    "base64 in a list": ("Ingredients: chicken, ", "TWFuIGlz+G5vdA/"),
    "labels": ("", "Species: dog\nIngredients: chicken, rice\n"),
    "headings": ("", "Guaranteed Analysis: "),
    "a product name": ("Ingredients: chicken\nProduct name: ", "chicken and "),
    "guarantees": ("Ingredients: chicken\nGuaranteed analysis: ", "Crude protein (min) 30%, "),
    "calories": ("Ingredients: chicken\nCalorie content: ", "3500 kcal/kg "),
    "additives": ("Composition: chicken\nAdditives per kg: ", "3a672a vitamin A 15000 IU, "),
    "statements": ("Ingredients: chicken\n", "Complete food for dogs. "),
    "prose": ("", "We love dogs and cats of all ages. "),
    "claims in sentences": ("", "No by-products. Grain free. Helps reduce arthritis pain. "),
    "promises": ("Ingredients: chicken\nProduct name: ", "Duck and Millet with Rice "),
    "parts of groups": ("Composition: ", "meat (of which chicken 4 %), "),
    "figures in brackets": ("Ingredients: ", "rice (1.5%), "),
    "members of a tail": ("Ingredients: duck, contains 2% or less of: ", "salt, "),
    "wide characters": ("Ingredients: ", "\N{DUCK} duck\u200b, "),
    "notes": ("Ingredients: " + "duck*, " * 3000 + "\n", "*organic "),
    "claims": ("Ingredients: chicken\nClaims: ", "grain free, no corn; "),
    "semicolons in guarantees": ("Ingredients: chicken\nGuaranteed analysis: fat 8 % ", ";"),
    "a question before prose": ("Ingredients: chicken\nClaims: Is it good? Yes.\n", "word "),
    "varieties": ("Stews\n", "With salmon foo#: salmon, rice, salt, peas\n"),
    "a variety with a colon": ("Stews\n\nWith salmon: ", "salmon, rice: "),
    "a sheet of products": (
        "product name\tingredients\tguaranteed analysis\tnet weight\n",
        "Duck foo#\tduck, rice\tcrude protein (min) 20 %\t9 g\n",
    ),
    "paragraphs above the name": ("", "We made this.\n\n"),
    "types of feed": ("Duck Dinner\n", "Complete food for dogs\n"),
    "waivers": ("Ingredients: chicken\n", "waive x until 2026-01-01: y\n"),
}


def seconds(text: str) -> float:
    """Processor time of outlining a text and linting it quickly, the best of two runs."""
    found = []
    for _ in range(2):
        start = time.process_time()
        api.outline(text, "long.panel")
        lint(Source(text, "long.panel"), Settings(), quick=True)
        found.append(time.process_time() - start)
    return min(found)


def numbered(text: str) -> str:
    """Each `#` of a text as letters of its own, so that no two names are the same."""
    digits = str.maketrans("0123456789", "abcdefghij")
    pieces = text.split("#")
    return "".join(
        piece + (str(place).translate(digits) if place < len(pieces) - 1 else "")
        for place, piece in enumerate(pieces)
    )


def growth(made: Callable[[int], str]) -> float:
    """Time for a text of LENGTH against a quarter of it."""
    seconds(made(100))
    return seconds(made(LENGTH)) / seconds(made(LENGTH // 4))


if __name__ == "__main__":
    for name, (lead, piece) in SHAPES.items():
        if sys.argv[2:] and name not in sys.argv[2:]:
            continue
        ratio = growth(
            lambda length, lead=lead, piece=piece: numbered(lead + piece * (length // len(piece)))
        )
        print(f"{name:26} 4x the text: {ratio:5.1f}x the time  (aim 6)")
