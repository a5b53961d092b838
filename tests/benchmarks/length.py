"""How time grows with the length of a text: four times the text against the text, as ratios.

Texts of many shapes, odd ones above all, are outlined and linted quickly, each once in full length
and once at a quarter of it (aim: at most 6, where growth in step with the length gives 4). A length
and the names of shapes may be given: `python tests/benchmarks/length.py 1000000 percentages`.

With `signs` as the name each sign of SIGNS is repeated behind each part of PARTS instead, in texts
of a fiftieth of the length; only what is above the aim is printed.
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

#: The part of a label behind which signs are repeated.
PARTS = {
    "nothing": "",
    "list": "Duck Dinner for dogs\nIngredients: duck, rice",
    "guarantees": "Ingredients: duck\nGuaranteed analysis: ",
    "guarantee": "Ingredients: duck\nGuaranteed analysis: crude protein (min) 20 %",
    "calories": "Ingredients: duck\nCalorie content: 3500 kcal/kg",
    "additives": "Zusammensetzung: Ente\nZusatzstoffe je kg: Vitamin A (3a672a) 10000 IE",
    "net quantity": "Ingredients: duck\nNet weight: 3",
    "feeding": "Ingredients: duck\nFeeding: 10 lb 1 cup",
    "claims": "Ingredients: duck\nClaims: no corn",
    "date": "Ingredients: duck\nBest before: 12",
    "maker": "Ingredients: duck\nMade by: Quillbrook Larder",
    "name": "Product name: Duck Dinner",
    "prose": "We love dogs\n\nDuck Dinner\n",
    "statement": "Ingredients: duck\n\nComplete food for dogs",
}
SIGNS = (
    *" \t\n\u00a0\u2028.,;:-–*•|/()[]{}%\"'&#><=+…°_01aeéß中",
    *("\r\n", " \n", "\n\n", "111 ", "111,", "1 ", "1.", "1,", "1-", "1/", "1:", "1/2 ", "12."),
    *("$1 ", "1% ", "1 % ", "1 g ", "(1 g) ", "(1 %)", "1 kg ", "1 x ", "kcal ", "per kg ", "<a"),
    *("a ", "A ", "Aa ", "a-", "a.", "A. ", "a,", "a, ", "a\n", "A\n", "A:\n", "a: ", "a (", "(a"),
    *("> ", "? ", "! ", ". ", "- ", "- a\n", "* a\n", "| a |\n", "a\tb\n", "a: b\n", "a|", "a;"),
    *(
        "of ",
        "and ",
        "no ",
        "with ",
        "free ",
        "free-",
        "min ",
        "max ",
        "crude ",
        "protein ",
        "dog ",
    ),
    *(
        "chicken ",
        "chicken, ",
        "chicken\n",
        "beef and ",
        "vitamin ",
        "Ingredients ",
        "Ingredients\n",
    ),
)


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


def above_the_aim() -> None:
    """Prints each sign that takes longer than in step with its number behind a part."""
    length, aim = LENGTH // 50, 6
    for part, lead in PARTS.items():
        for sign in SIGNS:
            short, long = (lead + sign * (size // len(sign)) for size in (length // 4, length))
            ratio = seconds(long) / seconds(short)
            if ratio > aim:
                print(f"{sign!r} behind {part}: {ratio:.1f}x the time")


if __name__ == "__main__" and sys.argv[2:] == ["signs"]:
    above_the_aim()
elif __name__ == "__main__":
    for name, (lead, piece) in SHAPES.items():
        if sys.argv[2:] and name not in sys.argv[2:]:
            continue
        ratio = growth(
            lambda length, lead=lead, piece=piece: numbered(lead + piece * (length // len(piece)))
        )
        print(f"{name:26} 4x the text: {ratio:5.1f}x the time  (aim 6)")
