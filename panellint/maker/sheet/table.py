"""One table of a sheet: its rows as lines of a batch, sums and sections told apart from them; and
the same table with other weights, facts, analyses, limits and all else kept."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from panellint.core.errors import Fault, InputError
from panellint.core.numbers import number
from panellint.core.text import fold_name
from panellint.maker.model import PERCENT, Batch, BatchLine, Headings, Remark, SheetCell, Table
from panellint.maker.sheet import headers
from panellint.maker.sheet.cells import Grid
from panellint.maker.sheet.figures import Figures, Measured, cell_of
from panellint.maker.sheet.headers import PERCENTAGE, unit_of_cell
from panellint.maker.sheet.quantities import (
    decimal_marks,
    is_whole,
    pounds_and_ounces,
    read_number,
    weight_in,
)
from panellint.rulepacks.data import data

#: What a table is where it is no whole formula.
PREMIX, STEP = "premix", "step"


def read_table(grid: Grid, columns: Mapping[str, str], decimal: str = "", part: str = "") -> Batch:
    """Returns the batch of a table, without the members of its premixes.

    `columns` are those that the user points at, `decimal` the decimal mark. `part` says
    that the table is a premix, whose lines in percent make the whole of it, or one step of a
    recipe. Raises InputError with every fault at once.
    """
    headings = headers.find_headings(grid.rows, columns)
    if headings is None:
        raise InputError(_no_table(grid, columns))
    return _Reader(grid, headings, decimal, part).batch()


def read_facts(grid: Grid, strict: bool) -> tuple[dict[str, str], dict[str, SheetCell]]:
    """Returns the facts of a worksheet without a table, those of a step among them, and their
    places. Where `strict`, a row with a figure that is no fact raises InputError."""
    reader = _Reader(grid, Headings(0, ()), "", STEP)
    faults = [
        grid.place(row, 1).fault(f"`{' '.join(filter(None, cells))}` is not understood")
        for row, cells in grid.rows
        if not reader.fact(row, cells) and strict and any(read_number(c, False) for c in cells)
    ]
    if faults:
        raise InputError(*faults)
    return reader.facts, reader.fact_places


def read_material_rows(grid: Grid) -> tuple[BatchLine, ...]:
    """Returns the rows of a list of materials as lines that weigh nothing. Raises InputError with
    every fault at once."""
    headings = headers.find_headings(grid.rows, weighed=False)
    if headings is None:
        raise InputError(_no_table(grid, {"ingredient": "a material and its figures"}))
    reader = _Reader(grid, headings)
    for row, cells in grid.rows[headings.below :]:
        if name := reader.text(cells, headers.INGREDIENT):
            place = grid.place(row, 1)
            reader.add(row, cells, name, place, Measured(Fraction(0), "g", place))
    if reader.faults:
        raise InputError(*reader.faults)
    return tuple(line for line, _ in reader.lines)


def _no_table(grid: Grid, columns: Mapping[str, str]) -> Fault:
    words = data("data/batch")["columns"]
    rows = grid.rows
    seen = next((cells for _, cells in rows if len(cells) > 1), rows[0][1] if rows else ())
    shown = ", ".join(cell for cell in seen[:6] if cell)
    tail = f"; the first row of several cells is: {shown}" if shown else ""
    wanted = ", ".join(columns.values()) or "an ingredient and a weight or a percentage"
    return grid.place(rows[0][0] if rows else 1, 1).fault(
        f"no row of headings with {wanted}{tail}",
        f"headings such as {words['ingredient'][0]} and {words['weight'][0]} (kg), or --columns",
    )


class _Reader(Figures):
    """The rows of a table, one after the other."""

    def __init__(self, grid: Grid, headings: Headings, decimal: str = "", part: str = "") -> None:
        super().__init__(grid, headings, decimal)
        self.part = part
        self.remarks: list[Remark] = []
        self.facts: dict[str, str] = {}
        self.fact_places: dict[str, SheetCell] = {}
        self.total: tuple[Fraction, str, SheetCell] | None = None
        self.lost = {"water": Fraction(0), "fat": Fraction(0)}
        self.lines: list[tuple[BatchLine, str]] = []
        self.since = Fraction(0)
        self.sums: list[Fraction] = []
        self.headings = self._on_the_scale(headings)

    def batch(self) -> Batch:
        """The whole table; raises InputError with all faults at once."""
        for row, cells in self.grid.rows[: self.headings.row]:
            self.fact(row, cells)
        head = self.grid.rows[self.headings.row][1]
        for row, cells in self.grid.rows[self.headings.below :]:
            if cells != head:
                self._row(row, cells)
        place = self.grid.place(self.grid.rows[self.headings.row][0], 1)
        if not self.lines and not self.faults:
            self.faults.append(place.fault("no ingredient stands below this row"))
        units = {unit for _, unit in self.lines}
        if PERCENT in units and len(units) > 1:
            line = next(line for line, unit in self.lines if unit == PERCENT)
            words = "percentages and weights stand in one sheet"
            self.faults.append(line.place.fault(words, "one or the other"))
        if self.faults:
            raise InputError(*self.faults)
        lines = tuple(line for line, _ in self.lines)
        if not any(line.weight for line in lines):
            raise InputError(lines[0].place.fault("every weight is nothing"))
        self._duplicates(lines)
        self._mixed_marks(place)
        unit = PERCENT if units == {PERCENT} else "g"
        stated = self._sum(sum((line.weight for line in lines), Fraction(0)), unit, lines[0].place)
        decimal = "," if self.mark == "," else "."
        table = Table(self.grid.rows, self.grid.delimiter, decimal, self.headings)
        return Batch(
            self.grid.path,
            lines,
            unit,
            dict(self.facts),
            dict(self.fact_places),
            stated,
            self.lost["water"],
            self.lost["fat"],
            remarks=tuple(self.remarks),
            table=table,
            worksheet=self.grid.name,
        )

    def _on_the_scale(self, headings: Headings) -> Headings:
        """The headings with one column of weights where those aimed at stand beside those on the
        scale: what was weighed, if every row has it."""
        by_role = {
            c.role: c
            for c in reversed(headings.columns)
            if c.role in (headers.ACTUAL, headers.TARGET)
        }
        if len(by_role) < 2:
            return headings
        gaps = [
            row
            for row, cells in self.grid.rows[headings.below :]
            if cells[0]
            and cell_of(cells, by_role[headers.TARGET])
            and not cell_of(cells, by_role[headers.ACTUAL])
        ]
        role, other = (headers.TARGET, headers.ACTUAL) if gaps else (headers.ACTUAL, headers.TARGET)
        why = f", since row {gaps[0]} has no actual one" if gaps else ""
        words = f"{role} weights are read, the {other} ones beside them are not{why}"
        place = self.grid.place(self.grid.rows[headings.row][0], by_role[role].at + 1)
        self.remarks.append(Remark(place, words))
        return headings.without(lambda column: column.role == other)

    def fact(self, row: int, cells: tuple[str, ...]) -> bool:
        """Takes a row that states a fact; whether it does."""
        fact = headers.fact_of(cells, self.part == STEP)
        if fact is None:
            return False
        kind, text, column = fact
        weights = self.headings.of(headers.WEIGHT)
        if weights and column == weights.at + 1 and weights.unit and text[-1:].isdigit():
            text = f"{text} {weights.unit}"
        place = self.grid.place(row, column)
        if kind in self.facts and self.facts[kind] != text:
            self.remarks.append(Remark(place, f"stated twice; `{self.facts[kind]}` is taken"))
        self.facts.setdefault(kind, text)
        self.fact_places.setdefault(kind, place)
        return True

    # ---- one row ----

    def _row(self, row: int, cells: tuple[str, ...]) -> None:
        name = self.text(cells, headers.INGREDIENT)
        own = self.headings.of(headers.INGREDIENT)
        place = self.grid.place(row, own.at + 1 if own else 1)
        last = row == self.grid.rows[-1][0]
        figures = [cell for at, cell in enumerate(cells) if cell and (own is None or at != own.at)]
        if not name and not last and figures and headers.is_total(figures[0]):
            name = figures[0]
        if headers.is_total(name) or (last and not name and len(figures) == 1):
            self._sum_row(row, cells, name, place)
        elif self.fact(row, cells):
            return
        elif not name:
            if figures or any(r == row for r, _ in self.grid.no_value):
                self.faults.append(place.fault("a row with figures and no ingredient"))
        elif set(figures) <= {name} and (by := headers.section_of(name)):
            self._begin_part()
            if by == "words":
                words = f"{name} has no weight and is taken for the head of a section"
                self.remarks.append(Remark(place, words))
        else:
            self._line(row, cells, name, place)

    def _line(self, row: int, cells: tuple[str, ...], name: str, place: SheetCell) -> None:
        measured = self.weight(row, cells, name)
        if measured is None:
            return
        if measured.amount < 0 and (what := headers.what_leaves(name)):
            self.lost[what] -= measured.amount
            return
        if measured.amount < 0:
            expected = "`Water loss` as the name of water that leaves"
            self.faults.append(measured.place.fault(f"{name} weighs less than nothing", expected))
            return
        if measured.amount == 0:
            self.remarks.append(Remark(measured.place, f"{name} weighs nothing"))
        self.add(row, cells, name, place, measured)

    def add(
        self, row: int, cells: tuple[str, ...], name: str, place: SheetCell, measured: Measured
    ) -> None:
        """Adds a row as a line of the batch."""
        line = self.line(row, cells, name, place, measured)
        column = self.headings.of("sheet")
        if column and (named := self.text(cells, "sheet")):
            line = replace(line, file=(named, self.grid.place(row, column.at + 1)))
        self.since += measured.amount
        self.lines.append((line, measured.unit))

    # ---- sums ----

    def _sum_row(self, row: int, cells: tuple[str, ...], name: str, place: SheetCell) -> None:
        """A row that says the sum of those above it: of all, or of one part of them."""
        if not any(self.text(cells, kind) for kind in (headers.WEIGHT, headers.PERCENTAGE)):
            return
        measured = self.weight(row, cells, name or "the total")
        if measured is None:
            return
        whole = sum((line.weight for line, _ in self.lines), Fraction(0))
        left = whole - sum(self.lost.values())
        if _near(measured.amount, whole) or _near(measured.amount, left):
            self._take_total(measured, name)
        elif any(_near(measured.amount, total) for total in (self.since, *self.sums)):
            pass
        elif not name or headers.is_plain_total(name):
            self._take_total(measured, name)
        else:
            words = f"{name} is no sum of the rows above it ({_amount(self.since, measured.unit)})"
            self.faults.append(place.fault(words, "that sum, or an ingredient by another name"))
        self._begin_part()

    def _begin_part(self) -> None:
        self.sums.append(self.since)
        self.since = Fraction(0)

    def _take_total(self, measured: Measured, name: str) -> None:
        if name:
            self.total = (measured.amount, measured.unit, measured.place)

    # ---- the whole ----

    def _mixed_marks(self, place: SheetCell) -> None:
        kinds = (headers.WEIGHT, headers.PERCENTAGE, headers.NUTRIENT)
        figures = [c for c in self.headings.columns if c.kind in kinds]
        texts = (cell_of(cells, column) for _, cells in self.grid.rows for column in figures)
        if len(decimal_marks(texts)) > 1:
            self.remarks.append(Remark(place, "decimal commas and points stand in one sheet"))

    def _duplicates(self, lines: tuple[BatchLine, ...]) -> None:
        seen: dict[str, BatchLine] = {}
        for line in lines:
            first = seen.setdefault(fold_name(line.name), line)
            if first is not line:
                words = f"{line.name} stands in row {first.place.row} too; the two are added up"
                self.remarks.append(Remark(line.place, words))

    def _sum(self, total: Fraction, unit: str, place: SheetCell) -> Fraction | None:
        """The batch size as stated; a sum away from it is remarked on, and refused where it is that
        of a premix, or no sum of percentages."""
        stated: Fraction | None = None
        if text := self.facts.get("batch_size"):
            place = self.fact_places["batch_size"]
            weight = weight_in(self.number(text, place))
            if weight is None:
                raise InputError(place.fault(f"`{text}` is no batch size", "a weight: 500 kg"))
            stated = weight if unit == "g" else None
        if stated is None and self.total and (self.total[1] == PERCENT) == (unit == PERCENT):
            stated, place = self.total[0], self.total[2]
        premix = self.part == PREMIX
        if unit == PERCENT and (stated is None or premix) and self.part != STEP:
            stated = Fraction(100)
        left = total - sum(self.lost.values())
        if stated is None or _near(total, stated) or _near(left, stated):
            return stated
        words = f"the lines add up to {_amount(total, unit)} and {_amount(stated, unit)} is stated"
        if premix and unit == PERCENT:
            words = f"the lines of this premix add up to {_amount(total, unit)}"
            raise InputError(place.fault(words, "100 %, the carrier among the lines"))
        if unit == PERCENT and not is_whole(total):
            raise InputError(place.fault(words, "percentages of one whole"))
        self.remarks.append(Remark(place, words))
        return stated


def _near(amount: Fraction, other: Fraction) -> bool:
    """Whether two sums are the same but for rounding."""
    most = Fraction(str(data("data/batch")["sum_misses_by"]["percent_of_total"])) / 100
    return other > 0 and abs(amount - other) <= most * other


def _amount(value: Fraction, unit: str) -> str:
    if unit == PERCENT:
        return f"{number(round(float(value), 3), 6)} %"
    if value >= 1000:
        return f"{number(round(float(value) / 1000, 3), 6)} kg"
    return f"{number(round(float(value), 3), 6)} g"


#: Digits behind the point, of kilograms or percent: what is left out weighs nothing on any scale.
_DIGITS = 9


def rewritten(batch: Batch, shares: Sequence[Fraction]) -> list[list[str]]:
    """The cells of a sheet with a new share, in percent of the mix, for each of its lines, each
    written in the unit and with the decimal mark that the sheet has. The batch stays as heavy.

    Raises ValueError for a batch that was not read from a sheet.
    """
    table = batch.table
    if table is None:
        raise ValueError("no sheet with headings")
    beside = table.headings.of(PERCENTAGE)
    rows = {row: list(cells) for row, cells in table.rows}
    width = len(table.rows[table.headings.row][1])
    for cells in list(rows.values())[table.headings.row :]:
        cells.extend([""] * (width - len(cells)))
    for line, share in zip(batch.lines, shares, strict=True):
        if share == 100 * batch.share(line):
            continue  # as it is printed, to the last nought
        cells = rows[line.place.row]
        if beside is not None and cells[beside.at]:
            cells[beside.at] = _written(share, table.decimal)
        weight = share * batch.total / 100
        cells[line.place.column - 1] = _written_weight(cells, table, line, weight)
    return list(rows.values())


def _written_weight(cells: Sequence[str], table: Table, line: BatchLine, weight: Fraction) -> str:
    """A weight in grams or percent as its cell has it: in its unit, which may stand behind."""
    column = next(c for c in table.headings.columns if c.at == line.place.column - 1)
    text = cells[column.at]
    ounces = pounds_and_ounces(text) is not None
    read = (weight, "oz") if ounces else read_number(text, table.decimal == ",")
    behind = read[1] if read else ""
    unit, _ = unit_of_cell(table.headings, column, cells, behind)
    printed = _written(weight / (unit.size if unit else 1), table.decimal)
    return f"{printed} {behind}" if behind else printed


def _written(value: Fraction, decimal: str) -> str:
    digits = f"{float(value):.{_DIGITS}f}".rstrip("0").rstrip(".")
    return digits.replace(".", decimal)
