"""Several foods side by side: one table on each basis, and their differences in words.

No food is ranked above another: the foods stand in the order of their names, and the words say
what differs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from panellint.core.phrases import capital, counted, listed
from panellint.output.document import Heading, Items, Paragraph, Printed, Ranges
from panellint.report.blocks import Block, Board, BoardFigure, Boards, Legend, Piles, Points
from panellint.report.content import HEADINGS, firsts
from panellint.report.figures import PARTS
from panellint.report.findings import HEAVY
from panellint.report.promises import NOT_KEPT
from panellint.report.reading import Reading, read, single, sources
from panellint.report.saying import figure
from panellint.rulepacks.data import data
from panellint.tasks.animal import need_of
from panellint.tasks.compare import compare

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.nutrition.requirements import DailyNeed
    from panellint.results.foods import ComparedFood, Comparison
    from panellint.tasks.food import Food

#: Bases of the tables: id, title, unit of the parts.
BASES = (
    ("as-fed", "as fed", "% as fed"),
    ("dry-matter", "dry matter", "% of dry matter"),
    ("per-1000-kcal", "per 1000 kcal", "g per 1000 kcal"),
)
_MOST_NAMED = 4


def document(
    contexts: Iterable[LabelContext],
    day: date,
    kilograms: float | None = None,
    species: str | None = None,
    life: str = "adult",
) -> Iterator[Block]:
    """Yields the report of one food, or of several side by side, read on `day`.

    With `kilograms`, an animal's body weight, portions and costs of a day are added; see
    `panellint.tasks.animal.need_of` for `species`, `life` and what is raised.
    """
    readings = [read(context, day) for context in contexts]
    need = need_of(kilograms, species, life, [reading.species for reading in readings])
    words = f"{day.day} {day:%B %Y}"
    if len(readings) == 1 and need is None:
        return single(readings[0], words)
    return several(readings, words, need)


def several(
    readings: Sequence[Reading], day: str, need: DailyNeed | None = None
) -> Iterator[Block]:
    """Yields the foods side by side, by name; `need` is an animal's daily energy (kcal), for a
    day's cost, `day` the day on which they were read, in words."""
    foods = sorted(readings, key=lambda one: (one.name.casefold(), one.file))
    shared, names = _without_shared([food.name for food in foods])
    rows = [replace(one.food, name=name) for one, name in zip(foods, names, strict=True)]
    tables = [compare(rows, basis=basis, sort_by="name", need=need) for _, basis, _ in BASES]
    yield Heading(1, f"{len(foods)} foods side by side")
    yield Paragraph(f"Read on {day}. The foods stand in the order of their names.")
    yield Heading(2, "One table on one basis", "table")
    if shared:
        yield Paragraph(f"All these names begin with “{shared}”, which is left out below.")
    usual = (
        "Water makes every other figure smaller. Compare foods of unlike moisture on dry matter "
        "or per 1000 kcal."
    )
    yield from (Paragraph(words, "usual") for words in tables[0]["words"] or [usual])
    yield Boards(
        tuple(
            _board(base, _in_order(table, rows), foods, need)
            for base, table in zip(BASES, tables, strict=True)
        )
    )
    yield Paragraph(
        "* not printed: a usual figure for such a food. A dash: the label does not tell. kcal/kg "
        "is the label's own as fed, or else worked out."
    )
    if need is not None:
        yield Paragraph(
            f"A day means {figure(need.kcal, 0)} kcal ({need.title}: {need.formula}; animals "
            f"differ, between {figure(need.range.low, 0)} and {figure(need.range.high, 0)} kcal)."
        )
    yield from (Paragraph(capital(words)) for words in tables[0]["notes"])
    yield Heading(2, "The same bars for each", "bars")
    yield Piles(tuple((one.name, one.piles) for one in foods))
    yield Heading(2, "What differs", "differ")
    differences = tuple(_differences(names, foods, _in_order(tables[0], rows)))
    if differences:
        yield Items(differences)
    else:
        yield Paragraph("On what the labels tell, these foods are alike.", "usual")
    yield Heading(2, "Each food", "each")
    yield Legend()
    for one in foods:
        yield from _short(one)
    documents = {source for one in foods for source in one.sources}
    documents |= {need.source} if need is not None else set()
    yield from sources(tuple(sorted(documents, key=str.casefold)))


def _short(reading: Reading) -> Iterator[Block]:
    yield Heading(3, reading.name)
    yield Paragraph(f"From {reading.file}.")
    yield Items(reading.short)
    for promise in reading.promises:
        yield Paragraph(("“", promise.text, f"”: {promise.verdict}. {promise.words}"), "usual")
    if rows := firsts(reading.rows, data("data/reading")["first"]):
        yield Ranges(HEADINGS, rows, "The first entries of the list")
    for points, noun, plural in (
        (reading.hazards, "hazard", "hazards"),
        (reading.doubtful, "doubtful word", "doubtful words"),
        (reading.findings, "other point", "other points"),
        (reading.waived, "point accepted by the maker", "points accepted by the maker"),
    ):
        if points:
            yield Points(points, summary=counted(len(points), noun, plural))


def _without_shared(names: Sequence[str]) -> tuple[str, list[str]]:
    """Returns the words that all names begin with, such as a brand, and the names without."""
    words = [name.split() for name in names]
    count = 0
    while all(len(one) > count + 1 for one in words) and len({one[count] for one in words}) == 1:
        count += 1
    if len(names) < 2 or not count:
        return "", list(names)
    return " ".join(words[0][:count]), [" ".join(one[count:]) for one in words]


def _in_order(table: Comparison, foods: Sequence[Food]) -> list[ComparedFood]:
    """Returns the rows of a comparison, which sorts them by itself, in the order of the foods."""
    left = list(table["foods"])
    ordered = []
    for food in foods:
        row = next(r for r in left if (r["name"], r["path"]) == (food.name, food.path))
        left.remove(row)
        ordered.append(row)
    return ordered


def _board(
    base: tuple[str, str, str],
    rows: Sequence[ComparedFood],
    readings: Sequence[Reading],
    need: DailyNeed | None,
) -> Board:
    id, title, unit = base
    parts = [part for part in PARTS if part != "moisture" or id == "as-fed"]
    more: list[tuple[str, Callable[[ComparedFood], BoardFigure]]] = [
        ("kcal/kg", lambda row: _figure(row["kcal_per_kg"], 0))
    ]
    if any(row["cost_per_1000_kcal"] is not None for row in rows):
        more.append(("cost of 1000 kcal", lambda row: _money(row, row["cost_per_1000_kcal"])))
    if need is not None:
        more.append(("g a day", lambda row: _figure(row["grams_per_day"], 0)))
        if any(row["cost_per_day"] is not None for row in rows):
            more.append(("cost of a day", lambda row: _money(row, row["cost_per_day"])))
    lines = tuple(
        (
            Printed(row["name"], reading.name.language),
            (*(_part(row, part) for part in parts), *(shown(row) for _, shown in more)),
        )
        for reading, row in zip(readings, rows, strict=True)
    )
    caption = f"Parts in {unit}; figures from printed guarantees, which are limits"
    return Board(id, title, caption, (*parts, *(heading for heading, _ in more)), lines)


def _part(row: ComparedFood, part: str) -> BoardFigure:
    value = row["values"][part]
    mark = "*" if part in row["assumed"] and value is not None else ""
    return BoardFigure(figure(value) + mark, value)


def _figure(value: float | None, places: int) -> BoardFigure:
    return BoardFigure(figure(value, places), value)


def _money(row: ComparedFood, value: float | None) -> BoardFigure:
    return BoardFigure("–" if value is None else f"{value:,.2f} {row['currency']}".strip(), value)


# Differences in words ------------------------------------------------------------------------


def _differences(
    names: Sequence[str], readings: Sequence[Reading], rows: Sequence[ComparedFood]
) -> Iterator[str]:
    for what in ("Made for", "Form", "Complete or not", "Life stage"):
        yield from _facts_differ(names, readings, what)
    for part in ("protein", "fat", "carbohydrate"):
        known = [
            (share, name)
            for row, name in zip(rows, names, strict=True)
            if row["energy_shares"] and (share := row["energy_shares"][part]) is not None
        ]
        if len(known) > 1:
            low, high = min(known), max(known)
            if figure(low[0]) != figure(high[0]):
                yield (
                    f"The part of the energy that comes from {part} runs from {figure(low[0])} % "
                    f"in {low[1]} to {figure(high[0])} % in {high[1]}."
                )
    for name, reading in zip(names, readings, strict=True):
        for promise in reading.promises:
            if promise.verdict == NOT_KEPT:
                yield (
                    f"{name}: no recipe that fits the label keeps the promise of the name in "
                    f"“{promise.text}”."
                )
        heavy = [point for point in reading.hazards if point.severity in HEAVY]
        if heavy:
            points = counted(len(heavy), "point about a hazard", "points about hazards")
            yield f"{name}: {points}; see below."
        if reading.clash:
            yield f"{name}: no recipe fits all that the label says."


def _facts_differ(names: Sequence[str], readings: Sequence[Reading], what: str) -> Iterator[str]:
    """Yields one sentence where foods differ in a fact: which has which."""
    by_words: dict[str, list[str]] = {}
    for name, reading in zip(names, readings, strict=True):
        words = listed(fact.words for fact in reading.facts if fact.what == what)
        by_words.setdefault(words, []).append(name)
    if len(by_words) > 1:
        groups = "; ".join(f"{words} ({_named(of)})" for words, of in by_words.items())
        yield f"{what}: {groups}."


def _named(names: Sequence[str]) -> str:
    if len(names) <= _MOST_NAMED:
        return listed(names)
    return f"{counted(len(names), 'food')}, {listed(names[:2])} among them"
