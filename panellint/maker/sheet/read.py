"""Batch sheets from files: rows to lines, every fault told at its cell, premixes looked into."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from panellint.core.errors import Fault, InputError
from panellint.core.numbers import number
from panellint.core.text import fold_name
from panellint.maker.model import GRAMS, PERCENT, Batch, BatchLine, Remark, SheetCell
from panellint.maker.sheet.cells import Grid, read_csv
from panellint.maker.sheet.headers import (
    INGREDIENT,
    NUTRIENT,
    PERCENTAGE,
    WEIGHT,
    Column,
    Headings,
    fact_of,
    find_headings,
    is_total,
    unit_in,
    weight_unit,
)
from panellint.maker.sheet.numbers import both_marks, decimal_comma, read_number
from panellint.maker.sheet.workbook import is_workbook, read_workbook
from panellint.nutrition.nutrients import unit_of
from panellint.rulepacks.data import data

_DEEPEST = 8
STANDARD_INPUT = "-"


def read_batch(path: str | Path, root: Path | None = None) -> Batch:
    """The batch sheet in a CSV or XLSX file.

    Of a workbook the first worksheet with a table of ingredients counts; worksheets called
    like one of its ingredients are the sheets of those premixes. In a CSV file a column
    "sheet" names the file of a premix, which must lie below `root` (by default the sheet's own
    folder). `-` reads a CSV sheet from standard input. Raises InputError with every fault.
    """
    name = str(path)
    if name == STANDARD_INPUT:
        grid = read_csv(name, sys.stdin.buffer.read())
        return _Reader(grid, (root or Path.cwd()).resolve(), {}).batch()
    bounds = (root or Path(name).absolute().parent).resolve()
    if is_workbook(name):
        grids = read_workbook(name)
        grid = next((g for g in grids if find_headings(g.rows)), grids[0])
        others = {fold_name(g.name): g for g in grids if g is not grid and find_headings(g.rows)}
        return _Reader(grid, bounds, others).batch()
    return _Reader(read_csv(name), bounds, {}).batch()


class _Reader:
    """One table, and below it those of its premixes."""

    def __init__(
        self, grid: Grid, root: Path, others: dict[str, Grid], above: tuple[str, ...] = ()
    ) -> None:
        self.grid = grid
        self.root = root
        self.others = others
        self.above = above
        self.faults: list[Fault] = []
        self.remarks: list[Remark] = list(grid.remarks)
        self.facts: dict[str, str] = {}
        self.fact_places: dict[str, SheetCell] = {}
        self.total: tuple[Fraction, str, SheetCell] | None = None
        self.comma = decimal_comma((c for _, cells in grid.rows for c in cells), grid.delimiter)

    def batch(self) -> Batch:
        """The whole sheet; raises InputError with all faults at once."""
        headings = find_headings(self.grid.rows)
        if headings is None:
            raise InputError(self._no_table())
        for row, cells in self.grid.rows[: headings.row]:
            self._fact(row, cells)
        found: list[tuple[BatchLine, str]] = []
        for row, cells in self.grid.rows[headings.row + 1 :]:
            one = self._line(row, cells, headings)
            if one is not None:
                found.append(one)
        if not found and not self.faults:
            row = self.grid.rows[headings.row][0]
            self.faults.append(self.grid.place(row, 1).fault("no ingredient stands below this row"))
        units = {unit for _, unit in found}
        if PERCENT in units and len(units) > 1:
            line = next(line for line, unit in found if unit == PERCENT)
            self.faults.append(
                line.place.fault("percentages and weights stand in one sheet", "one or the other")
            )
        if self.faults:
            raise InputError(*self.faults)
        unit = PERCENT if units == {PERCENT} else "g"
        lines = tuple(self._with_members(line) for line, _ in found)
        if self.faults:
            raise InputError(*self.faults)
        if not any(line.weight for line in lines):
            raise InputError(lines[0].place.fault("every weight is nothing"))
        batch = Batch(
            self.grid.path,
            lines,
            unit,
            dict(self.facts),
            dict(self.fact_places),
            headings=headings.shown,
            rows=self.grid.rows,
            delimiter=self.grid.delimiter,
        )
        self._duplicates(lines)
        figures = [c for c in headings.columns if c.kind in (WEIGHT, PERCENTAGE, NUTRIENT)]
        if both_marks(self._cell(cells, c) for _, cells in self.grid.rows for c in figures):
            mark = "commas" if self.comma else "points"
            words = f"decimal commas and points in one sheet; what can be either is read as {mark}"
            self.remarks.append(Remark(self.grid.place(self.grid.rows[headings.row][0], 1), words))
        stated = self._sum(batch)
        return replace(batch, stated=stated, remarks=tuple(self.remarks))

    def _no_table(self) -> Fault:
        words = data("data/batch")["columns"]
        rows = self.grid.rows
        seen = next((cells for _, cells in rows if len(cells) > 1), rows[0][1] if rows else ())
        shown = ", ".join(cell for cell in seen[:6] if cell)
        tail = f"; the first row of several cells is: {shown}" if shown else ""
        place = SheetCell(self.grid.path, self.grid.name, rows[0][0] if rows else 1, 1)
        return place.fault(
            f"no row of headings with an ingredient and a weight or a percentage{tail}",
            f"headings such as {words['ingredient'][0]} and {words['weight'][0]} (kg)",
        )

    def _fact(self, row: int, cells: tuple[str, ...]) -> bool:
        found = fact_of(cells)
        if found is None:
            return False
        kind, text, column = found
        place = self.grid.place(row, column)
        if kind in self.facts and self.facts[kind] != text:
            self.remarks.append(Remark(place, f"stated twice; `{self.facts[kind]}` is taken"))
        self.facts.setdefault(kind, text)
        self.fact_places.setdefault(kind, place)
        return True

    # ---- one row ----

    def _line(
        self, row: int, cells: tuple[str, ...], headings: Headings
    ) -> tuple[BatchLine, str] | None:
        def text(kind: str) -> str:
            column = headings.of(kind)
            return cells[column.at] if column and column.at < len(cells) else ""

        name = text(INGREDIENT)
        place = self.grid.place(row, _index(headings.of(INGREDIENT)))
        last = row == self.grid.rows[-1][0]
        if is_total(name) or (last and not name and len([c for c in cells if c]) == 1):
            self._take_total(row, cells, headings, bool(name))
            return None
        if self._fact(row, cells):
            return None
        if not name:
            if any(cells) or any(r == row for r, _ in self.grid.no_value):
                self.faults.append(place.fault("a row with figures and no ingredient"))
            return None
        weight = self._weight(row, cells, headings, name)
        if weight is None:
            return None
        amount, unit, weight_place = weight
        analysis = dict(self._analysis(row, cells, headings))
        self._plausible(row, headings, analysis)
        line = BatchLine(
            name=name,
            weight=amount,
            place=weight_place,
            analysis=analysis,
            supplier=text("supplier"),
            lot=text("lot"),
            code=text("code"),
            date=text("date"),
            cost=self._figure(row, cells, headings.of("cost")),
            least=self._figure(row, cells, headings.of("least"), most=Fraction(100)),
            most=self._figure(row, cells, headings.of("most"), most=Fraction(100)),
            declared_as=text("declared_as"),
        )
        if line.least is not None and line.most is not None and line.least > line.most:
            self.faults.append(place.fault(f"{name}: the least is above the most"))
        if own := text("sheet"):
            line = replace(line, members=self._file(own, row, headings.of("sheet")))
        return line, unit

    def _weight(
        self, row: int, cells: tuple[str, ...], headings: Headings, name: str
    ) -> tuple[Fraction, str, SheetCell] | None:
        """Weight in grams or percent. A weight column goes before a percentage beside it."""
        column = headings.of(WEIGHT)
        percent = headings.of(PERCENTAGE)
        if column is None or (not self._cell(cells, column) and self._cell(cells, percent)):
            column = percent
        assert column is not None
        place = self.grid.place(row, column.at + 1)
        text = self._cell(cells, column)
        if not text:
            if (row, column.at + 1) in self.grid.no_value:
                self.faults.append(
                    place.fault(
                        f"{name}: a formula that has no value kept",
                        "a sheet saved by the spreadsheet program",
                    )
                )
            else:
                self.faults.append(place.fault(f"{name} has no weight"))
            return None
        found = read_number(text, self.comma)
        if found is None:
            what = "a formula as text" if text.startswith("=") else f"`{text}`"
            self.faults.append(place.fault(f"{name}: {what} is no weight", "a number"))
            return None
        amount, behind = found
        unit, stated_unit = unit_in(headings, column, cells, behind)
        if not unit:
            words = f"`{stated_unit}` is no unit of weight" if stated_unit else "no unit is stated"
            self.faults.append(place.fault(f"{name}: {words}", "g, kg, lb, oz or %"))
            return None
        if amount < 0:
            self.faults.append(place.fault(f"{name} weighs less than nothing"))
            return None
        if amount == 0:
            self.remarks.append(Remark(place, f"{name} weighs nothing"))
        return amount * GRAMS.get(unit, Fraction(1)), PERCENT if unit == PERCENT else "g", place

    @staticmethod
    def _cell(cells: tuple[str, ...], column: Column | None) -> str:
        return cells[column.at] if column is not None and column.at < len(cells) else ""

    def _figure(
        self,
        row: int,
        cells: tuple[str, ...],
        column: Column | None,
        most: Fraction | None = None,
    ) -> Fraction | None:
        """A figure beside the weight; None where there is none. A currency sign is passed over."""
        text = self._cell(cells, column).strip("$€£ ")
        if column is None or not text:
            return None
        found = read_number(text, self.comma)
        place = self.grid.place(row, column.at + 1)
        if found is None:
            self.faults.append(place.fault(f"`{text}` is no number"))
            return None
        if found[0] < 0 or (most is not None and found[0] > most):
            self.faults.append(place.fault(f"{text} cannot be: it is below nothing or too much"))
            return None
        return found[0]

    def _analysis(
        self, row: int, cells: tuple[str, ...], headings: Headings
    ) -> Iterator[tuple[str, Fraction]]:
        from panellint.core.errors import ImpossibleFigure
        from panellint.core.units import convert

        for column in headings.columns:
            if column.kind != NUTRIENT:
                continue
            value = self._figure(row, cells, column)
            if value is None:
                continue
            own = unit_of(column.nutrient)
            try:
                factor = Fraction(str(convert(1.0, column.unit or own, own)))
            except ImpossibleFigure as error:
                self.faults.append(self.grid.place(row, column.at + 1).fault(str(error)))
                continue
            yield column.nutrient, value * factor

    def _plausible(self, row: int, headings: Headings, analysis: dict[str, Fraction]) -> None:
        """An analysis whose parts pass the whole is a slip of the pen."""
        parts = ("moisture", "protein", "fat", "fibre", "ash", "carbohydrate")
        total = sum((analysis.get(part, Fraction(0)) for part in parts), Fraction(0))
        if total > 101:
            column = next(c for c in headings.columns if c.nutrient in parts)
            self.faults.append(
                self.grid.place(row, column.at + 1).fault(
                    f"the parts of this analysis add up to {number(float(total))} %"
                )
            )

    # ---- premixes ----

    def _with_members(self, line: BatchLine) -> BatchLine:
        """The line with the worksheet of its own name looked into."""
        grid = self.others.get(fold_name(line.name))
        if line.members or grid is None or line.name in self.above:
            return line
        return replace(line, members=self._below(grid, line.name))

    def _below(self, grid: Grid, name: str) -> tuple[BatchLine, ...]:
        if len(self.above) >= _DEEPEST:
            self.faults.append(grid.place(1, 1).fault("premixes within premixes, too deep"))
            return ()
        try:
            below = _Reader(grid, self.root, self.others, (*self.above, name)).batch()
        except InputError as error:
            self.faults += error.faults
            return ()
        self.remarks += below.remarks
        return below.lines

    def _file(self, named: str, row: int, column: Column | None) -> tuple[BatchLine, ...]:
        """The sheet of a premix that stands in a file of its own."""
        place = self.grid.place(row, _index(column))
        path = Path(os.path.dirname(self.grid.path)) / named
        if not path.resolve().is_relative_to(self.root):
            self.faults.append(place.fault(f"`{named}` lies outside {self.root}"))
            return ()
        if str(path.resolve()) in self.above:
            self.faults.append(place.fault(f"`{named}` holds itself"))
            return ()
        if not path.is_file():
            self.faults.append(place.fault(f"there is no file `{named}`"))
            return ()
        try:
            grid = read_workbook(path)[0] if is_workbook(path) else read_csv(path)
        except InputError as error:
            self.faults += error.faults
            return ()
        return self._below(grid, str(path.resolve()))

    # ---- the whole ----

    def _take_total(
        self, row: int, cells: tuple[str, ...], headings: Headings, named: bool
    ) -> None:
        for kind in (WEIGHT, PERCENTAGE):
            column = headings.of(kind)
            text = self._cell(cells, column)
            found = read_number(text, self.comma) if text else None
            if column is None or found is None:
                continue
            unit = PERCENT if kind == PERCENTAGE else weight_unit(found[1] or column.unit)
            place = self.grid.place(row, column.at + 1)
            if unit and named:
                self.total = (found[0] * GRAMS.get(unit, Fraction(1)), unit, place)
            return

    def _duplicates(self, lines: tuple[BatchLine, ...]) -> None:
        seen: dict[str, BatchLine] = {}
        for line in lines:
            key = fold_name(line.name)
            first = seen.setdefault(key, line)
            if first is not line:
                self.remarks.append(
                    Remark(
                        line.place,
                        f"{line.name} stands in row {first.place.row} too; the two are added up",
                    )
                )

    def _sum(self, batch: Batch) -> Fraction | None:
        """The batch size as stated; a sum away from it is remarked on."""
        stated: Fraction | None = None
        place = batch.lines[0].place
        if text := self.facts.get("batch_size"):
            place = self.fact_places["batch_size"]
            found = read_number(text, self.comma)
            unit = weight_unit(found[1]) if found else ""
            if found is None or unit not in GRAMS:
                raise InputError(place.fault(f"`{text}` is no batch size", "a weight: 500 kg"))
            if batch.unit == "g":
                stated = found[0] * GRAMS[unit]
        if stated is None and self.total and (self.total[1] == PERCENT) == (batch.unit == PERCENT):
            stated, place = self.total[0], self.total[2]
        if stated is None and batch.unit == PERCENT and not self.above:
            stated = Fraction(100)
        if stated is not None:
            most = Fraction(str(data("data/batch")["sum_misses_by"]["percent_of_total"])) / 100
            if abs(batch.total - stated) > most * stated:
                self.remarks.append(
                    Remark(
                        place,
                        f"the lines add up to {_amount(batch.total, batch.unit)} and "
                        f"{_amount(stated, batch.unit)} is stated",
                    )
                )
        return stated


def _amount(value: Fraction, unit: str) -> str:
    if unit == PERCENT:
        return f"{number(round(float(value), 3), 6)} %"
    if value >= 1000:
        return f"{number(round(float(value) / 1000, 3), 6)} kg"
    return f"{number(round(float(value), 3), 6)} g"


def _index(column: Column | None) -> int:
    return column.at + 1 if column else 1
