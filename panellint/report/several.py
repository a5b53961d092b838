"""Several foods side by side: one table on each basis, and their differences in words.

No food is ranked above another: the foods stand in the order of their names, and the words say
what differs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from panellint.core.phrases import listed
from panellint.report.judged import HEAVY, NOT_KEPT
from panellint.report.model import Reading
from panellint.report.saying import counted, figure
from panellint.tasks.compare import compare

if TYPE_CHECKING:
    from panellint.nutrition.requirements import DailyNeed
    from panellint.report.reading import Read
    from panellint.results.foods import ComparedFood
    from panellint.tasks.compare import Food

#: Bases of the tables: id, title, unit of the parts.
BASES = (
    ("as-fed", "as fed", "% as fed"),
    ("dry-matter", "dry matter", "% of dry matter"),
    ("per-1000-kcal", "per 1000 kcal", "g per 1000 kcal"),
)
PARTS = ("protein", "fat", "carbohydrate", "fibre", "ash", "moisture")
_MOST_NAMED = 4


class Cell(NamedTuple):
    """A figure as it is told, and its value for sorting (None: not known)."""

    words: str
    value: float | None


class Line(NamedTuple):
    """One food in a table."""

    name: str
    file: str
    language: str
    cells: tuple[Cell, ...]


class Board(NamedTuple):
    """The foods on one basis; `headings` are those of the cells."""

    id: str
    title: str
    caption: str
    headings: tuple[str, ...]
    lines: tuple[Line, ...]


class Several(NamedTuple):
    """Several foods: their tables, what differs, and the reading of each."""

    foods: tuple[str, ...]
    boards: tuple[Board, ...]
    wet_and_dry: tuple[str, ...]
    differences: tuple[str, ...]
    shared: str
    animal: str
    notes: tuple[str, ...]
    readings: tuple[Reading, ...]
    sources: tuple[str, ...]


def several(reads: Sequence[Read], need: DailyNeed | None = None) -> Several:
    """The foods side by side, by name; `need` is an animal's daily energy, for a day's cost."""
    ordered = sorted(reads, key=lambda one: (one.reading.name.casefold(), one.reading.file))
    readings = tuple(one.reading for one in ordered)
    shared, names = _without_shared([one.name for one in readings])
    foods = [replace(one.food, name=name) for one, name in zip(ordered, names, strict=True)]
    tables = {id: compare(foods, basis=basis, sort_by="name", need=need) for id, basis, _ in BASES}
    first = tables["as-fed"]
    sources = {source for one in readings for source in one.sources}
    if need is not None:
        sources.add(need.source)
    return Several(
        tuple(one.name for one in readings),
        tuple(
            _board(id, basis, unit, _in_order(tables[id]["foods"], foods), readings, need)
            for id, basis, unit in BASES
        ),
        tuple(first["words"]),
        tuple(_differences(names, readings, _in_order(first["foods"], foods))),
        f"All these names begin with “{shared}”, which is left out below." if shared else "",
        "" if need is None else _animal(need),
        tuple(first["notes"]),
        readings,
        tuple(sorted(sources, key=str.casefold)),
    )


def _animal(need: DailyNeed) -> str:
    return (
        f"A day means {figure(need.kcal, 0)} kcal ({need.title}: {need.formula}; animals differ, "
        f"between {figure(need.range.low, 0)} and {figure(need.range.high, 0)} kcal)."
    )


def _without_shared(names: Sequence[str]) -> tuple[str, list[str]]:
    """The words that all names begin with, such as a brand, and the names without them."""
    words = [name.split() for name in names]
    count = 0
    while all(len(one) > count + 1 for one in words) and len({one[count] for one in words}) == 1:
        count += 1
    if len(names) < 2 or not count:
        return "", list(names)
    return " ".join(words[0][:count]), [" ".join(one[count:]) for one in words]


def _in_order(rows: Sequence[ComparedFood], foods: Sequence[Food]) -> list[ComparedFood]:
    """The rows of a comparison, which sorts them by itself, in the order of the foods."""
    left = list(rows)
    found = []
    for one in foods:
        row = next(r for r in left if (r["name"], r["path"]) == (one.name, one.path))
        left.remove(row)
        found.append(row)
    return found


def _board(
    id: str,
    basis: str,
    unit: str,
    rows: Sequence[ComparedFood],
    readings: Sequence[Reading],
    need: DailyNeed | None,
) -> Board:
    parts = [part for part in PARTS if part != "moisture" or id == "as-fed"]
    more: list[tuple[str, Callable[[ComparedFood], Cell]]] = [
        ("kcal/kg", lambda row: _cell(row["kcal_per_kg"], 0))
    ]
    if any(row["cost_per_1000_kcal"] is not None for row in rows):
        more.append(("cost of 1000 kcal", lambda row: _money(row, row["cost_per_1000_kcal"])))
    if need is not None:
        more.append(("g a day", lambda row: _cell(row["grams_per_day"], 0)))
        if any(row["cost_per_day"] is not None for row in rows):
            more.append(("cost of a day", lambda row: _money(row, row["cost_per_day"])))
    lines = tuple(
        Line(
            row["name"],
            reading.file,
            reading.language,
            (
                *(_part(row, part) for part in parts),
                *(cell(row) for _, cell in more),
            ),
        )
        for reading, row in zip(readings, rows, strict=True)
    )
    caption = f"Parts in {unit}; figures from printed guarantees, which are limits"
    return Board(id, basis, caption, (*parts, *(title for title, _ in more)), lines)


def _part(row: ComparedFood, part: str) -> Cell:
    value = row["values"][part]
    mark = "*" if part in row["assumed"] and value is not None else ""
    return Cell(figure(value) + mark, value)


def _cell(value: float | None, places: int) -> Cell:
    return Cell(figure(value, places), value)


def _money(row: ComparedFood, value: float | None) -> Cell:
    return Cell("–" if value is None else f"{value:,.2f} {row['currency']}".strip(), value)


# Differences in words ------------------------------------------------------------------------


def _differences(
    names: Sequence[str], readings: Sequence[Reading], rows: Sequence[ComparedFood]
) -> Iterator[str]:
    for what in ("Made for", "Form", "Complete or not", "Life stage"):
        yield from _facts_differ(names, readings, what)
    for part in ("protein", "fat", "carbohydrate"):
        known = [
            (row["energy_shares"][part], name)
            for row, name in zip(rows, names, strict=True)
            if row["energy_shares"] and row["energy_shares"][part] is not None
        ]
        if len(known) > 1:
            low, high = min(known), max(known)
            if figure(low[0]) != figure(high[0]):
                yield (
                    f"The part of the energy that comes from {part} runs from {figure(low[0])} % "
                    f"in {low[1]} to {figure(high[0])} % in {high[1]}."
                )
    for name, one in zip(names, readings, strict=True):
        for promise in one.promises:
            if promise.verdict == NOT_KEPT:
                yield (
                    f"{name}: no recipe that fits the label keeps the promise of the name in "
                    f"“{promise.text}”."
                )
        heavy = [point for point in one.hazards if point.severity in HEAVY]
        if heavy:
            points = counted(len(heavy), "point about a hazard", "points about hazards")
            yield f"{name}: {points}; see below."
        if one.content.clash:
            yield f"{name}: no recipe fits all that the label says."


def _facts_differ(names: Sequence[str], readings: Sequence[Reading], what: str) -> Iterator[str]:
    """One sentence where foods differ in a fact: which has which."""
    found: dict[str, list[str]] = {}
    for name, one in zip(names, readings, strict=True):
        words = listed(fact.words for fact in one.facts if fact.what == what)
        found.setdefault(words, []).append(name)
    if len(found) > 1:
        told = "; ".join(f"{words} ({_named(of)})" for words, of in found.items())
        yield f"{what}: {told}."


def _named(names: Sequence[str]) -> str:
    if len(names) <= _MOST_NAMED:
        return listed(names)
    return f"{counted(len(names), 'food')}, {listed(names[:2])} among them"
