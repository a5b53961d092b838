"""A batch sheet once it is read: the maker's own formula, line by line, with its places."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from panellint.core.errors import Fault
from panellint.core.numbers import number
from panellint.nutrition.bases import PARTS
from panellint.rulepacks.data import data

PERCENT = "%"


class SheetCell(NamedTuple):
    """A cell: file, worksheet ("" for a CSV file), row and column from 1."""

    path: str
    sheet: str
    row: int
    column: int

    def fault(self, message: str, expected: str = "") -> Fault:
        """A fault at this cell."""
        return Fault(self.file, self.row, self.column, message, expected)

    @property
    def file(self) -> str:
        """The file as messages call it, with the worksheet where there is one."""
        return f"{self.path}[{self.sheet}]" if self.sheet else self.path


class Remark(NamedTuple):
    """Something doubtful in a sheet that does not keep it from being used."""

    place: SheetCell
    message: str

    def __str__(self) -> str:
        return str(self.place.fault(self.message))


class Column(NamedTuple):
    """A column: its place from 0, its kind ("" where it is not used), for a nutrient its id, the
    unit it states, whether its weights are those aimed at ("target") or those on the scale
    ("actual"), or for declared names the market, and its heading as printed."""

    at: int
    kind: str
    nutrient: str = ""
    unit: str = ""
    role: str = ""
    printed: str = ""

    @property
    def taken_for(self) -> str:
        """What its heading was taken for, "" where the column is not used."""
        return (self.nutrient or self.kind).replace("_", " ")


class Headings(NamedTuple):
    """The headings of a table: the index of their first row, how many rows they take, the
    columns."""

    row: int
    columns: tuple[Column, ...]
    height: int = 1

    def of(self, kind: str) -> Column | None:
        """The first column of a kind."""
        return next((column for column in self.columns if column.kind == kind), None)

    def without(self, gone: Callable[[Column], bool]) -> Headings:
        """The headings with some of their columns not used."""
        columns = (Column(c.at, "", printed=c.printed) if gone(c) else c for c in self.columns)
        return self._replace(columns=tuple(columns))

    @property
    def below(self) -> int:
        """The index of the first row under the headings."""
        return self.row + self.height


class Table(NamedTuple):
    """The cells that a batch was read from: rows by their number from 1, what parts the cells
    ("" in a worksheet), the decimal mark, and the headings."""

    rows: tuple[tuple[int, tuple[str, ...]], ...]
    delimiter: str
    decimal: str
    headings: Headings


@dataclass(frozen=True, slots=True)
class BatchLine:
    """One ingredient of a batch.

    `weight` is in grams, or in percent where the whole sheet is in percent. `analysis` maps
    nutrient ids to the maker's own figures, each in the nutrient's own unit per weight as
    added. `code` is the supplier's or the maker's own for the material, `date` as printed (of
    delivery or use). `cost` is per kg, in whatever currency the sheet keeps. `least` and `most` are
    limits for reformulation, in percent of the mix. `file` is the file of a premix that its row
    names, with the cell that does. `members` are the lines of a premix's own
    sheet; their weights stand in proportion to one another only. `dried_to` is the moisture, in
    percent, to which a step dries what it is in (None: it stays as added). `spread` maps
    nutrient ids to the standard deviation of the maker's own figures. `declared_in` maps markets
    to the names that labels print there, `declared_as` is that of any other.
    """

    name: str
    weight: Fraction
    place: SheetCell
    analysis: Mapping[str, Fraction] = field(default_factory=dict)
    supplier: str = ""
    lot: str = ""
    code: str = ""
    date: str = ""
    cost: Fraction | None = None
    least: Fraction | None = None
    most: Fraction | None = None
    declared_as: str = ""
    declared_in: Mapping[str, str] = field(default_factory=dict)
    file: tuple[str, SheetCell] | None = None
    members: tuple[BatchLine, ...] = ()
    dried_to: Fraction | None = None
    spread: Mapping[str, Fraction] = field(default_factory=dict)
    allergens: tuple[str, ...] = ()
    origin: str = ""

    @property
    def over_the_whole(self) -> str:
        """What is wrong with an analysis whose parts pass the whole; "" where they do not."""
        total = sum((self.analysis.get(part, Fraction(0)) for part in PARTS), Fraction(0))
        most = data("data/batch")["analysis_at_most"]["percent"]
        words = f"the parts of this analysis add up to {number(float(total))} %"
        return words if total > most else ""

    def walk(self, above: tuple[str, ...] = ()) -> Iterator[tuple[BatchLine, tuple[str, ...]]]:
        """The line and all below it, each with the names of the premixes around it."""
        yield self, above
        for member in self.members:
            yield from member.walk((*above, self.name))


@dataclass(frozen=True, slots=True)
class Batch:
    """A batch sheet.

    `unit` is g (all weights converted) or %. `facts` are what stands above the table
    ("Species: dog"), by the word that they were taken for. `stated` is the batch size that the
    sheet states, in its unit; `lost` and `fat_lost` the water and the fat that it says have
    left, in the same unit. `table` is what it was read from (None for a formula written out),
    `worksheet` its name in a workbook; `files` are all that it was read from, its own first.
    `worked` is True for a recipe in steps: what its steps do not take out, stays; `shown` are then
    the headings of all its worksheets.
    """

    path: str
    lines: tuple[BatchLine, ...]
    unit: str = PERCENT
    facts: Mapping[str, str] = field(default_factory=dict)
    fact_places: Mapping[str, SheetCell] = field(default_factory=dict)
    stated: Fraction | None = None
    lost: Fraction = Fraction(0)
    fat_lost: Fraction = Fraction(0)
    worked: bool = False
    remarks: tuple[Remark, ...] = ()
    table: Table | None = field(default=None, repr=False)
    worksheet: str = ""
    files: tuple[str, ...] = ()
    shown: tuple[Column, ...] = ()

    @property
    def headings(self) -> tuple[Column, ...]:
        """What each column was taken for."""
        return self.table.headings.columns if self.table else self.shown

    @property
    def total(self) -> Fraction:
        """The sum of all lines, in the sheet's unit."""
        return sum((line.weight for line in self.lines), Fraction(0))

    def share(self, line: BatchLine) -> Fraction:
        """A top line's part of the mix, 0 to 1."""
        return line.weight / self.total

    def cost(self, shares: Sequence[Fraction] | None = None) -> Fraction | None:
        """The cost of a kg of the mix, or of one with other `shares` in percent; None where a line
        that counts has none. Water without a cost has none to add."""
        total = Fraction(0)
        for line, share in zip(
            self.lines,
            shares or [100 * self.share(batch_line) for batch_line in self.lines],
            strict=True,
        ):
            if share and line.cost is None and line.name.lower() != "water":
                return None
            total += (line.cost or 0) * share / 100
        return total

    def walk(self) -> Iterator[tuple[BatchLine, tuple[str, ...]]]:
        """Every line, premixes before their members, with the premixes around it."""
        for line in self.lines:
            yield from line.walk()
