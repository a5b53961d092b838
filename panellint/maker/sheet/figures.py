"""The figures of one row: its weight, its analysis, cost and limits, each fault at its cell."""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from panellint.core.errors import Fault, ImpossibleFigure
from panellint.core.numbers import number
from panellint.core.units import convert
from panellint.maker.model import BatchLine, Column, Headings, SheetCell
from panellint.maker.sheet import headers
from panellint.maker.sheet.cells import Grid
from panellint.maker.sheet.quantities import (
    PERCENT,
    decimal_mark,
    pounds_and_ounces,
    read_number,
    sheet_unit,
    two_readings,
)
from panellint.nutrition.bases import PARTS, unit_of


class Measured(NamedTuple):
    """A weight in grams, or a part in percent ("%"), and where it stands."""

    amount: Fraction
    unit: str
    place: SheetCell


def cell_of(cells: tuple[str, ...], column: Column | None) -> str:
    """The cell of a column, "" where the row ends before it or there is none."""
    return cells[column.at] if column is not None and column.at < len(cells) else ""


class Figures:
    """The figures of a table's rows, by the decimal mark that is given or that the sheet tells."""

    def __init__(self, grid: Grid, headings: Headings, decimal: str) -> None:
        self.grid = grid
        self.headings = headings
        cells = (cell for _, row in grid.rows for cell in row)
        self.mark = decimal or decimal_mark(cells, grid.delimiter)
        self.faults: list[Fault] = []

    def text(self, cells: tuple[str, ...], kind: str) -> str:
        """The cell of the first column of a kind, "" where there is none."""
        return cell_of(cells, self.headings.of(kind))

    def number(
        self, text: str, place: SheetCell, most: Fraction | None = None
    ) -> tuple[Fraction, str] | None:
        """A number and what stands behind it; None where it is none. One that can be read two ways
        is a fault, but where only one of them is `most` or less."""
        both = two_readings(text) if not self.mark else None
        figure = read_number(text, self.mark == ",")
        if both is None or figure is None:
            return figure
        if most is not None and both[1] > most:
            return both[0], figure[1]
        small, large = (number(float(value), 6) for value in both)
        self.faults.append(
            place.fault(
                f"`{text}` may be {small} or {large}",
                f"{small} or {large} written so, or --columns decimal=comma or decimal=point",
            )
        )
        return both[0], figure[1]

    def weight(self, row: int, cells: tuple[str, ...], name: str) -> Measured | None:
        """A weight column goes before a percentage beside it; None with a fault where neither can
        be read."""
        column, percent = self.headings.of(headers.WEIGHT), self.headings.of(headers.PERCENTAGE)
        if column is None or (not cell_of(cells, column) and cell_of(cells, percent)):
            column = percent
        assert column is not None
        place = self.grid.place(row, column.at + 1)
        text = cell_of(cells, column)
        if not text:
            if (row, column.at + 1) in self.grid.no_value:
                words = f"{name}: a formula that has no value kept"
                expected = "a sheet saved by the spreadsheet program"
            else:
                words, expected = f"{name} has no weight", "one, or a colon behind a section's name"
            self.faults.append(place.fault(words, expected))
            return None
        ounces = pounds_and_ounces(text)
        share = headers.unit_of_cell(self.headings, column, cells, "")[0]
        most = Fraction(100) if share == PERCENT else None
        figure = (ounces, "oz") if ounces is not None else self.number(text, place, most)
        if figure is None:
            what = "a formula as text" if text.startswith("=") else f"`{text[:40]}`"
            self.faults.append(place.fault(f"{name}: {what} is no weight", "a number"))
            return None
        unit, stated = headers.unit_of_cell(self.headings, column, cells, figure[1])
        if unit is None:
            words = f"`{stated}` is no unit of weight" if stated else "no unit is stated"
            self.faults.append(place.fault(f"{name}: {words}", "g, kg, t, lb, oz, %, g/kg or ppm"))
            return None
        return Measured(figure[0] * unit.size, unit.of_batch, place)

    def line(
        self, row: int, cells: tuple[str, ...], name: str, place: SheetCell, measured: Measured
    ) -> BatchLine:
        """The whole row as a line of the batch."""
        analysis = dict(self._analysis(row, cells, headers.NUTRIENT))
        declared = {
            column.role: cell_of(cells, column)
            for column in self.headings.columns
            if column.kind == headers.DECLARED
        }
        least, most = (
            self._figure(row, cells, self.headings.of(kind), Fraction(100))
            for kind in ("least", "most")
        )
        if least is not None and most is not None and least > most:
            self.faults.append(place.fault(f"{name}: the least is above the most"))
        line = BatchLine(
            name=name,
            weight=measured.amount,
            place=measured.place,
            analysis=analysis,
            supplier=self.text(cells, "supplier"),
            lot=self.text(cells, "lot"),
            code=self.text(cells, "code"),
            date=self.text(cells, "date"),
            cost=self._cost(row, cells),
            least=least,
            most=most,
            declared_as=declared.get("", ""),
            declared_in={m: text for m, text in declared.items() if m and text},
            spread=dict(self._analysis(row, cells, headers.SPREAD)),
            allergens=tuple(filter(None, map(str.strip, self.text(cells, "allergens").split(",")))),
            origin=self.text(cells, "origin"),
        )
        if line.over_the_whole:
            column = next(c for c in self.headings.columns if c.nutrient in PARTS)
            self.faults.append(self.grid.place(row, column.at + 1).fault(line.over_the_whole))
        return line

    def _cost(self, row: int, cells: tuple[str, ...]) -> Fraction | None:
        column = self.headings.of(headers.COST)
        price = self._figure(row, cells, column)
        if column is None or price is None:
            return None
        unit = sheet_unit(column.unit or "kg")
        if unit is None or unit.part:
            words = f"`{column.unit}` is no unit of weight"
            self.faults.append(self.grid.place(row, column.at + 1).fault(words, "a price per kg"))
            return None
        return price * 1000 / unit.size

    def _figure(
        self, row: int, cells: tuple[str, ...], column: Column | None, most: Fraction | None = None
    ) -> Fraction | None:
        """A figure beside the weight; None where there is none. A currency sign is passed over."""
        text = cell_of(cells, column).strip("$€£ ")
        if column is None or not text:
            return None
        place = self.grid.place(row, column.at + 1)
        figure = self.number(text, place, most)
        if figure is None:
            self.faults.append(place.fault(f"`{text}` is no number"))
            return None
        if figure[0] < 0 or (most is not None and figure[0] > most):
            self.faults.append(place.fault(f"{text} cannot be: it is below nothing or too much"))
            return None
        return figure[0]

    def _analysis(
        self, row: int, cells: tuple[str, ...], kind: str
    ) -> Iterator[tuple[str, Fraction]]:
        """The figures of the columns of a kind, each in its nutrient's own unit."""
        for column in self.headings.columns:
            if column.kind != kind:
                continue
            own = unit_of(column.nutrient)
            most = Fraction(100) if (column.unit or own) == "%" else None
            value = self._figure(row, cells, column, most)
            if value is None:
                continue
            try:
                yield column.nutrient, value * Fraction(str(convert(1.0, column.unit or own, own)))
            except ImpossibleFigure as error:
                self.faults.append(self.grid.place(row, column.at + 1).fault(str(error)))
