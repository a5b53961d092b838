"""A batch sheet once it is read: the maker's own formula, line by line, with its places."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from panellint.core.errors import Fault
from panellint.core.units import UNITS

#: Grams in one of the units that sheets weigh in.
GRAMS: Mapping[str, Fraction] = {
    unit.name: unit.size for unit in UNITS if unit.name in ("g", "kg", "lb", "oz")
}
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


class Heading(NamedTuple):
    """A column's heading as printed, and what it was taken for ("" where it is not used)."""

    printed: str
    taken_for: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class BatchLine:
    """One ingredient of a batch.

    `weight` is in grams, or in percent where the whole sheet is in percent. `analysis` maps
    nutrient ids to the maker's own figures, each in the nutrient's own unit per weight as
    added. `code` is the supplier's or the maker's own for the material, `date` as printed (of
    delivery or use). `cost` is per kg, in whatever currency the sheet keeps. `least` and `most` are
    limits for reformulation, in percent of the mix. `members` are the lines of a premix's own
    sheet; their weights stand in proportion to one another only.
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
    members: tuple[BatchLine, ...] = ()

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
    sheet states, in its unit. `headings` say what each column was taken for. `rows` are the
    sheet's cells, by row from 1, and `delimiter` what parts them ("" in a worksheet).
    """

    path: str
    lines: tuple[BatchLine, ...]
    unit: str = PERCENT
    facts: Mapping[str, str] = field(default_factory=dict)
    fact_places: Mapping[str, SheetCell] = field(default_factory=dict)
    stated: Fraction | None = None
    headings: tuple[Heading, ...] = ()
    remarks: tuple[Remark, ...] = ()
    rows: tuple[tuple[int, tuple[str, ...]], ...] = field(default=(), repr=False)
    delimiter: str = ""

    @property
    def total(self) -> Fraction:
        """The sum of all lines, in the sheet's unit."""
        return sum((line.weight for line in self.lines), Fraction(0))

    def share(self, line: BatchLine) -> Fraction:
        """A top line's part of the mix, 0 to 1."""
        return line.weight / self.total

    def walk(self) -> Iterator[tuple[BatchLine, tuple[str, ...]]]:
        """Every line, premixes before their members, with the premixes around it."""
        for line in self.lines:
            yield from line.walk()
