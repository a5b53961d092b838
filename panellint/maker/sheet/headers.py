"""What the columns and facts of a sheet are: headings matched loosely, by words kept as data."""

import re
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from panellint.core.errors import ImpossibleFigure
from panellint.core.text import fold_name
from panellint.core.units import convert
from panellint.maker.model import Column, Headings
from panellint.maker.sheet.quantities import PERCENT, SheetUnit, read_number, sheet_unit
from panellint.nutrition.bases import nutrient_named
from panellint.rulepacks.data import data
from panellint.rulepacks.settings import markets

#: Kinds of columns, and what each is called when it is shown.
INGREDIENT, WEIGHT, PERCENTAGE, NUTRIENT = "ingredient", "weight", "percent", "nutrient"
COST, DECLARED, SPREAD = "cost", "declared_as", "spread"
TARGET, ACTUAL = "target", "actual"
_IN_BRACKETS = re.compile(r"[(\[]\s*([^()\[\]]+?)\s*[)\]]")
_PRICE_PER = re.compile(r"(?:/|\bper\b)\s*(?P<unit>[^\W\d_]+)\s*[)\]]?\s*$")
_NEAR = 0.8
#: Rows among which the headings are looked for; a title and facts may stand above them.
_FIRST_ROWS = 60

Row = tuple[int, tuple[str, ...]]


@cache
def _words() -> dict[str, str]:
    """Folded heading to the kind of column."""
    kinds: dict[str, str] = {}
    known = data("data/batch")
    for kind, words in known["columns"].items():
        for word in words:
            kinds.setdefault(_key(word), kind)
    for word in known["passed_over"]:
        kinds.setdefault(_key(word), "")
    return kinds


@cache
def _roles() -> dict[str, str]:
    """Folded word to the role of a weight: aimed at, or on the scale."""
    return {_key(w): role for role, words in data("data/batch")["roles"].items() for w in words}


def _key(text: str) -> str:
    return text.strip() if text.strip() in ("%", "#") else fold_name(text)


@cache
def _keys(*names: str) -> frozenset[str]:
    """The folded words of a list of the data."""
    words = data("data/batch")
    for name in names:
        words = words[name]
    return frozenset(map(_key, words))


def kinds() -> tuple[str, ...]:
    """Returns the kinds of columns that a user can point at."""
    return tuple(data("data/batch")["columns"])


def unit_of_cell(
    headings: Headings, column: Column, cells: Sequence[str], behind: str
) -> tuple[SheetUnit | None, str]:
    """The unit of a weight or percentage, None where it is none, and the words that say it: those
    behind the figure, those of a column of their own, or those of its heading."""
    apart = headings.of("unit")
    own = cells[apart.at] if apart is not None and apart.at < len(cells) else ""
    stated = behind or own or column.unit
    if not stated and column.kind == PERCENTAGE:
        return PERCENT, ""
    return sheet_unit(stated), stated


def find_headings(
    rows: Sequence[Row], chosen: Mapping[str, str] | None = None, weighed: bool = True
) -> Headings | None:
    """The first row, or two rows, that name an ingredient column and a weight or percent column, or
    where nothing is `weighed` any other.

    `chosen` maps kinds of columns to a heading or a column's letter, and goes before what the
    headings are taken for.
    """
    for index, (_, cells) in enumerate(rows[:_FIRST_ROWS]):
        if len(cells) < 2:
            continue
        below = rows[index + 1][1] if index + 1 < len(rows) else ()
        for headings in (_of_two_rows(index, cells, below), _headings(index, cells)):
            if headings is None:
                continue
            if chosen:
                headings = _as_chosen(headings, chosen)
            used = [column for column in headings.columns if column.kind] if headings else ()
            if headings is None or not headings.of(INGREDIENT) or len(used) < 2:
                continue
            if not weighed or headings.of(WEIGHT) or headings.of(PERCENTAGE):
                return headings
    return None


def _of_two_rows(index: int, first: tuple[str, ...], second: tuple[str, ...]) -> Headings | None:
    """Headings of which the second row says the units, or of which the first gathers several."""
    if not second or any(read_number(cell, False) for cell in second) or fact_of(first):
        return None
    if not all(_is_heading(cell) for cell in (*first, *second) if cell):
        return None
    joined, above = [], ""
    for at in range(max(len(first), len(second))):
        own = first[at] if at < len(first) else ""
        under = second[at] if at < len(second) else ""
        # A heading merged over several columns stands in the first of them.
        above = own or (above if under else "")
        joined.append(" ".join(filter(None, (above, under))))
    return _headings(index, tuple(joined), height=2)


def _is_heading(text: str) -> bool:
    column = _column(0, text)
    known = {*_words(), *_roles(), *_keys("captions")}
    return column is not None or _is_unit(text) or _key(text) in known


def _as_chosen(headings: Headings, chosen: Mapping[str, str]) -> Headings | None:
    """The headings with the columns that the user points at; None where one is not there."""
    for kind, wanted in sorted(chosen.items(), key=lambda pair: pair[0] == "unit"):
        measured = (WEIGHT, PERCENTAGE)
        own = next((c for c in headings.columns if _key(c.printed) == _key(wanted)), None)
        if own is None and kind == "unit" and sheet_unit(wanted):
            columns = [
                c._replace(unit=wanted) if c.kind in measured else c for c in headings.columns
            ]
            headings = headings._replace(columns=tuple(columns))
            continue
        if own is None and re.fullmatch("[A-Za-z]{1,2}", wanted):
            at = column_number(wanted) - 1
            own = next((c for c in headings.columns if c.at == at), Column(at, ""))
        if own is None:
            return None
        gone = measured if kind in measured else (kind,)
        unit, _ = _apart(own.printed)
        rest = (c for c in headings.columns if c.at != own.at)
        columns = [Column(c.at, "", printed=c.printed) if c.kind in gone else c for c in rest]
        columns.append(Column(own.at, kind, "", unit, "", own.printed))
        headings = headings._replace(columns=tuple(columns))
    return headings


def column_number(letters: str) -> int:
    """Returns the number, from 1, of a column called as spreadsheets call it: "AB" is 28."""
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - ord("A") + 1
    return number


def _headings(row: int, cells: Sequence[str], height: int = 1) -> Headings:
    columns: list[Column] = []
    for index, printed in enumerate(cells):
        column = _column(index, printed) if printed else None
        taken = {(before.kind, before.nutrient, before.role) for before in columns}
        if column is None or (column.kind, column.nutrient, column.role) in taken:
            column = Column(index, "")
        if printed:
            columns.append(column._replace(printed=printed))
    return Headings(row, tuple(columns), height)


def _column(index: int, printed: str) -> Column | None:
    """What a heading says; a unit in brackets or at its end belongs to the figures."""
    unit, bare = _apart(printed)
    words = bare.split()
    role = next((role for word in words if (role := _roles().get(_key(word)))), "")
    if role:
        bare = " ".join(word for word in words if _key(word) not in _roles())
    kind = _kind(_key(bare)) if bare.strip() else WEIGHT
    if kind is None and sheet_unit(unit) and (role or _key(bare) in _keys("captions")):
        kind = WEIGHT
    if kind is None:
        own = " ".join(word for word in words if _key(word) not in _keys("captions"))
        nutrient = nutrient_named(bare) or nutrient_named(own)
        if (
            nutrient is None
            and (spread := " ".join(w for w in own.split() if _key(w) not in _keys("spread")))
            != own
        ):
            nutrient = nutrient_named(spread)
            return Column(index, SPREAD, nutrient.id, unit) if nutrient else None
        return Column(index, NUTRIENT, nutrient.id, unit) if nutrient else None
    if kind == "" or (not bare.strip() and not unit):
        return None
    if kind == COST:
        per = _PRICE_PER.search(printed)
        return Column(index, kind, "", per["unit"] if per else "")
    if kind == DECLARED:
        last = _key(printed).rsplit(" ", 1)[-1]
        return Column(index, kind, "", "", last if last in markets() else "")
    stated = unit or (bare if sheet_unit(bare) else "")
    if kind in (WEIGHT, PERCENTAGE) and (measure := sheet_unit(stated)):
        kind = PERCENTAGE if measure.part else WEIGHT
    return Column(index, kind, "", stated, role if kind in (WEIGHT, PERCENTAGE) else "")


def _apart(printed: str) -> tuple[str, str]:
    """A heading's unit, "" where it states none, and its other words."""
    if sheet_unit(printed) and _key(printed) not in _words():
        return printed, ""
    unit, bare = "", printed
    for match in _IN_BRACKETS.finditer(printed):
        if _is_unit(match[1]):
            unit = match[1]
            bare = bare.replace(match[0], " ")
    words = bare.split()
    for count in (3, 2, 1):
        if not unit and len(words) > count and _is_unit(" ".join(words[-count:])):
            return " ".join(words[-count:]), " ".join(words[:-count])
    return unit, bare


def _is_unit(text: str) -> bool:
    if sheet_unit(text):
        return True
    try:
        convert(1.0, text, text)
    except ImpossibleFigure:
        return "/" in text and any(sheet_unit(part) for part in text.split("/"))
    return True


def _kind(key: str) -> str | None:
    """The kind of a column by its heading; None where no kind is near."""
    words = _words()
    if key in words:
        return words[key]
    if not key or nutrient_named(key):
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
def _fact_words(key: str) -> Mapping[str, str]:
    facts: dict[str, Any] = data("data/batch")[key]
    return {_key(word): kind for kind, words in facts.items() for word in words}


def fact_of(cells: Sequence[str], step: bool = False) -> tuple[str, str, int] | None:
    """A fact above or below the table: its kind, its text and the column (from 1) of that.

    Either "Species: dog" in one cell, or "Species" and "dog" in two; of a `step` also "Water out
    (kg)" and its figure.
    """
    filled = [(index, cell) for index, cell in enumerate(cells) if cell]
    if not filled:
        return None
    index, first = filled[0]
    head, colon, rest = first.partition(":")
    unit, bare = _apart(head) if step else ("", head)
    kind = (_fact_words("step_facts").get(_key(bare)) if step else "") or _fact_words("facts").get(
        _key(head)
    )
    if not kind:
        return None
    if colon and rest.strip():
        return kind, rest.strip(), index + 1
    if len(filled) < 2:
        return None
    text = " ".join(cell for _, cell in filled[1:])
    return kind, f"{text} {unit}".strip() if text[-1:].isdigit() else text, filled[1][0] + 1


def is_total(name: str) -> bool:
    """Whether a row's name says that it is the sum of others: its first word does."""
    return any(f"{_key(name.rstrip(':'))} ".startswith(f"{total} ") for total in _keys("totals"))


def is_plain_total(name: str) -> bool:
    """Whether a name says nothing but that the row is a sum."""
    known = {word for total in _keys("totals") for word in total.split()} | _keys("beside_totals")
    return is_total(name) and set(_key(name.rstrip(":")).split()) <= known


def section_of(name: str) -> str:
    """What makes a row that holds a name and no figure the head of a section: its "mark" ("Fats:",
    "Step 1"), or its "words" alone ("MEATS"); "" where it is none."""
    first, _, rest = _key(name.rstrip(":")).partition(" ")
    if name.rstrip().endswith(":") or (rest and first in _keys("sections", "numbered")):
        return "mark"
    return "words" if _key(name) in _keys("sections", "words") else ""


def what_leaves(name: str) -> str:
    """What a negative weight of that name takes out of the mix: "water", "fat", or "" for none."""
    return next((w for w in ("water", "fat") if _key(name) in _keys("leaves", w)), "")


def step_of(title: str) -> str:
    """Which step a worksheet is, by its title ("2 Cook", "Step 3: dry"); "" for none."""
    words = [word for word in _key(title).split() if not word.strip(".)").isdigit()]
    if words and words[0] in _keys("sections", "numbered"):
        words = words[1:]
    steps = data("data/batch")["steps"]
    return next((step for step in steps if " ".join(words) in _keys("steps", step)), "")


def is_list_of_materials(title: str) -> bool:
    """Whether a worksheet lists the raw materials, by its title."""
    return _key(title) in _keys("material_sheets")
