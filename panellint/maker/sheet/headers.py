"""What the columns and facts of a sheet are: headings matched loosely, by words kept as data."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any, NamedTuple

from panellint.core.text import fold_name
from panellint.core.units import unit_of
from panellint.maker.model import GRAMS, PERCENT, Heading
from panellint.nutrition.nutrients import nutrient_named
from panellint.rulepacks.data import data

#: Kinds of columns, and what each is called when it is shown.
INGREDIENT, WEIGHT, PERCENTAGE, NUTRIENT = "ingredient", "weight", "percent", "nutrient"
_UNIT_IN_BRACKETS = re.compile(r"[(\[]\s*([^()\[\]]+?)\s*[)\]]")
_NEAR = 0.8


class Column(NamedTuple):
    """A column: its place from 0, its kind, for a nutrient its id, the unit it states."""

    at: int
    kind: str
    nutrient: str
    unit: str


class Headings(NamedTuple):
    """The row of headings: its index among the rows, its columns, and all headings as shown."""

    row: int
    columns: tuple[Column, ...]
    shown: tuple[Heading, ...]

    def of(self, kind: str) -> Column | None:
        """The first column of a kind."""
        return next((column for column in self.columns if column.kind == kind), None)


def weight_unit(text: str) -> str:
    """g, kg, lb, oz or % for what a sheet calls it; "" where it is none of them."""
    word = text.strip().rstrip(".")
    if word.lower() in (PERCENT, "percent", "pct"):
        return PERCENT
    unit = unit_of(word)
    return unit.name if unit and unit.name in GRAMS else ""


@cache
def _words() -> dict[str, str]:
    """Folded heading to the kind of column."""
    found: dict[str, str] = {}
    known = data("data/batch")
    for kind, words in known["columns"].items():
        for word in words:
            found.setdefault(_key(word), kind)
    for word in known["passed_over"]:
        found.setdefault(_key(word), "")
    return found


def _key(text: str) -> str:
    return text.strip() if text.strip() in ("%", "#") else fold_name(text)


def unit_in(
    headings: Headings, column: Column, cells: Sequence[str], behind: str
) -> tuple[str, str]:
    """The unit of a weight or percentage, "" where it is none, and the words that say it: those
    behind the figure, those of a column of their own, or those of its heading."""
    apart = headings.of("unit")
    own = cells[apart.at] if apart is not None and apart.at < len(cells) else ""
    stated = behind or own or column.unit
    return (PERCENT if column.kind == PERCENTAGE and not behind else weight_unit(stated)), stated


def find_headings(rows: Sequence[tuple[int, tuple[str, ...]]]) -> Headings | None:
    """The first row that names an ingredient column and a weight or percent column.

    Only the first 60 rows are looked at; a title and facts may stand above the table.
    """
    for index, (_, cells) in enumerate(rows[:60]):
        if len(cells) < 2:
            continue
        found = _headings(index, cells)
        if found.of(INGREDIENT) and (found.of(WEIGHT) or found.of(PERCENTAGE)):
            return found
    return None


def _headings(row: int, cells: Sequence[str]) -> Headings:
    columns: list[Column] = []
    shown: list[Heading] = []
    for index, printed in enumerate(cells):
        column = _column(index, printed) if printed else None
        taken = "" if column is None else column.nutrient or column.kind
        if column is not None and not _taken(columns, column):
            columns.append(column)
        elif column is not None:
            taken = ""
        if printed:
            unit = column.unit if column and column.kind in (WEIGHT, NUTRIENT) else ""
            shown.append(Heading(printed, taken.replace("_", " "), unit))
    return Headings(row, tuple(columns), tuple(shown))


def _taken(columns: Sequence[Column], column: Column) -> bool:
    return any((c.kind, c.nutrient) == (column.kind, column.nutrient) for c in columns)


def _column(index: int, printed: str) -> Column | None:
    """What a heading says; a unit in brackets or at its end belongs to the figures."""
    unit = ""
    bare = printed
    for match in _UNIT_IN_BRACKETS.finditer(printed):
        if _is_unit(match[1]):
            unit = match[1]
            bare = bare.replace(match[0], " ")
    words = bare.split()
    if not unit and len(words) > 1 and _is_unit(words[-1]):
        unit, bare = words[-1], " ".join(words[:-1])
    kind = _kind(_key(bare)) if bare.strip() else WEIGHT
    if kind is None:
        nutrient = nutrient_named(bare)
        return Column(index, NUTRIENT, nutrient.id, unit) if nutrient else None
    if kind == "":
        return None
    stated = weight_unit(unit) or weight_unit(bare)
    if kind == WEIGHT and stated == PERCENT:
        kind = PERCENTAGE
    return Column(index, kind, "", unit or (stated if kind == WEIGHT else ""))


def _is_unit(text: str) -> bool:
    if weight_unit(text):
        return True
    from panellint.core.errors import ImpossibleFigure
    from panellint.core.units import convert

    try:
        convert(1.0, text, text)
    except ImpossibleFigure:
        return "/" in text and any(weight_unit(part) for part in text.split("/"))
    return True


def _kind(key: str) -> str | None:
    """The kind of a column by its heading; None where no kind is near."""
    words = _words()
    if key in words:
        return words[key]
    if nutrient_named(key):
        return None
    if not key:
        return None
    # A longer heading that holds a known one as whole words: "ingredient as purchased".
    within = [word for word in words if len(word) > 2 and f" {word} " in f" {key} "]
    if within:
        return words[max(within, key=len)]
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    near = process.extractOne(
        key, sorted(words), scorer=OSA.normalized_similarity, score_cutoff=_NEAR
    )
    return words[near[0]] if near else None


@cache
def _fact_words() -> Mapping[str, str]:
    facts: dict[str, Any] = data("data/batch")["facts"]
    return {_key(word): kind for kind, words in facts.items() for word in words}


def fact_of(cells: Sequence[str]) -> tuple[str, str, int] | None:
    """A fact above or below the table: its kind, its text and the column (from 1) of that.

    Either "Species: dog" in one cell, or "Species" and "dog" in two.
    """
    filled = [(index, cell) for index, cell in enumerate(cells) if cell]
    if not filled:
        return None
    index, first = filled[0]
    head, colon, rest = first.partition(":")
    if kind := _fact_words().get(_key(head)):
        if colon and rest.strip():
            return kind, rest.strip(), index + 1
        if len(filled) > 1:
            return kind, " ".join(cell for _, cell in filled[1:]), filled[1][0] + 1
    return None


def is_total(name: str) -> bool:
    """Whether a row's name says that it is the sum of the others."""
    return _key(name.rstrip(":")) in {_key(word) for word in data("data/batch")["totals"]}
