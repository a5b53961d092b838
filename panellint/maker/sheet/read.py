"""Batch sheets from files: which worksheet is the formula, and which are those of its premixes."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from panellint.core.errors import Fault, InputError, PanellintError
from panellint.core.phrases import listed
from panellint.core.text import fold_name
from panellint.maker.model import Batch, BatchLine, Remark, SheetCell
from panellint.maker.sheet.cells import Grid, read_csv
from panellint.maker.sheet.headers import COST, find_headings, is_list_of_materials, kinds
from panellint.maker.sheet.steps import read_steps, step_grids
from panellint.maker.sheet.table import PREMIX, read_material_rows, read_table
from panellint.rulepacks.data import data

_DEEPEST = 8
#: Spreadsheet programs cut the names of worksheets at this length.
_LONGEST_TITLE = 31
STANDARD_INPUT = "-"
_XLSX = (".xlsx", ".xlsm", ".xltx", ".xltm")
_ODS = (".ods", ".ots")
#: The ends of the names of recipes.
RECIPES = (".yaml", ".yml")


@dataclass(frozen=True, slots=True)
class SheetChoice:
    """What a user says of a sheet: the worksheet, the columns by kind ("weight": "Actual kg"), and
    the decimal mark. Empty where the sheet itself is to tell."""

    sheet: str = ""
    columns: dict[str, str] = field(default_factory=dict)
    decimal: str = ""

    @classmethod
    def of(cls, sheet: str = "", columns: str = "") -> SheetChoice:
        """The choice in words such as "name=Item,weight=Actual kg,decimal=comma".

        Raises PanellintError for a word that is no kind of column.
        """
        chosen, decimal = {}, ""
        for choice in filter(None, map(str.strip, columns.split(","))):
            kind, sign, heading = (part.strip() for part in choice.partition("="))
            kind = {"name": "ingredient", "price": COST}.get(kind.replace("-", "_"), kind)
            if kind == "decimal" and heading in ("comma", "point"):
                decimal = {"comma": ",", "point": "."}[heading]
            elif not sign or not heading or kind not in kinds():
                known = listed(("name", *kinds()[1:]), "or")
                raise PanellintError(f"`{choice}` names no column: write weight=Heading; {known}")
            else:
                chosen[kind] = heading
        return cls(sheet, chosen, decimal)


def is_workbook(path: str | Path) -> bool:
    """Whether a file is to be read as a workbook, by its name."""
    return Path(path).suffix.lower() in (*_XLSX, *_ODS)


def is_sheet(path: str | Path) -> bool:
    """Whether a file is a batch sheet or a recipe, by its name."""
    return is_workbook(path) or Path(path).suffix.lower() in (".csv", ".tsv", *RECIPES)


def grids_of(path: str | Path) -> list[Grid]:
    """Returns the worksheets of a CSV, XLSX or ODS file. Raises InputError."""
    suffix = Path(path).suffix.lower()
    if suffix in _ODS:
        from panellint.maker.sheet.workbook import read_document

        return read_document(path)
    if suffix in _XLSX:
        from panellint.maker.sheet.workbook import read_workbook

        return read_workbook(path)
    if suffix in (".xls", ".numbers", ".pdf", ".doc", ".docx"):
        fault = f"{suffix} files are not read"
        raise InputError(Fault(str(path), None, None, fault, "the sheet saved as XLSX or CSV"))
    return [read_csv(path)]


def read_sheet(
    path: str | Path, root: Path | None = None, choice: SheetChoice | None = None
) -> Batch:
    """The batch sheet in a CSV, XLSX or ODS file.

    Of a workbook the visible worksheet with a table of ingredients counts; worksheets called
    like one of its ingredients are the sheets of those premixes. Where several may be meant,
    none is. In a CSV file a column "sheet" names the file of a premix, which must lie below
    `root` (by default the sheet's own folder). `path[Worksheet]` names a worksheet too, and `-`
    reads a CSV sheet from standard input. Raises InputError with every fault.
    """
    name, choice = str(path), choice or SheetChoice()
    if name == STANDARD_INPUT:
        grids = [read_csv(name, sys.stdin.buffer.read())]
        return _Book(grids, (root or Path.cwd()).resolve(), choice).batch()
    name, sheet = with_worksheet(name)
    choice = replace(choice, sheet=choice.sheet or sheet)
    bounds = (root or Path(name).absolute().parent).resolve()
    return _Book(grids_of(name), bounds, choice).batch()


def read_materials(path: Path, root: Path) -> tuple[list[BatchLine], list[str]]:
    """The materials of a sheet, as lines that weigh nothing, and the files that they were read
    from. Raises InputError with every fault."""
    book = _Book(grids_of(path), root, SheetChoice())
    return book.materials(), list(dict.fromkeys(book.files))


def with_worksheet(name: str) -> tuple[str, str]:
    """Parts `book.xlsx[Formula]` into the file and the worksheet, "" where none is named."""
    head, bracket, tail = name.partition("[")
    if bracket and tail.endswith("]") and is_workbook(head):
        return head, tail[:-1]
    return name, ""


class _Book:
    """The worksheets of one file, and the files of premixes that they name."""

    def __init__(self, grids: Sequence[Grid], root: Path, choice: SheetChoice) -> None:
        self.grids = grids
        self.root = root
        self.choice = choice
        self.faults: list[Fault] = []
        self.remarks: list[Remark] = []
        self.used: set[str] = set()
        self.files = [grids[0].path]

    def batch(self) -> Batch:
        """The whole sheet; raises InputError with all faults at once."""
        if not self.choice.sheet and (steps := step_grids(self.grids, self.choice.columns)):
            return self._steps(steps)
        grid = self._formula()
        batch = read_table(grid, self.choice.columns, self.choice.decimal)
        above = (fold_name(grid.name) if grid.name else os.path.realpath(grid.path),)
        self.used.add(grid.name)
        lines = tuple(self._with_members(line, grid, above) for line in batch.lines)
        if self.faults:
            raise InputError(*dict.fromkeys(self.faults))
        batch = replace(batch, lines=lines, remarks=(*grid.remarks, *batch.remarks))
        return self._whole(batch, f"worksheet {grid.name} is read")

    def _steps(self, steps: Sequence[Grid]) -> Batch:
        """The batch of a workbook whose worksheets are the steps of a recipe."""
        self.used = {grid.name for grid in steps}
        beside = [grid for grid in self.grids if grid not in steps]

        def members(line: BatchLine, grid: Grid) -> BatchLine:
            return self._with_members(line, grid, (fold_name(grid.name),))

        batch = read_steps(steps, beside, self.choice.columns, self.choice.decimal, members)
        self.used |= {
            grid.name
            for grid in beside
            if is_list_of_materials(grid.name) or find_headings(grid.rows) is None
        }
        if self.faults:
            raise InputError(*dict.fromkeys(self.faults))
        return self._whole(batch, "the recipe in steps is read")

    def _whole(self, batch: Batch, read: str) -> Batch:
        """The batch with what is to be remarked of the other worksheets."""
        left = [other.name for other in self.grids if other.name not in self.used]
        if left:
            words = f"{read}, and not {listed(left, 'or')} beside it"
            place = SheetCell(batch.path, batch.worksheet, 1, 1)
            self.remarks.append(Remark(place, words))
        read_from = tuple(dict.fromkeys(self.files))
        return replace(batch, remarks=(*batch.remarks, *self.remarks), files=read_from)

    def materials(self) -> list[BatchLine]:
        """The lines of a list of materials; raises InputError with all faults at once."""
        grid = self._formula()
        above = (fold_name(grid.name),)
        lines = [self._with_members(line, grid, above) for line in read_material_rows(grid)]
        if self.faults:
            raise InputError(*dict.fromkeys(self.faults))
        return lines

    def _formula(self) -> Grid:
        """The worksheet that holds the formula; raises InputError where several may."""
        if self.choice.sheet:
            grids = [g for g in self.grids if fold_name(g.name) == fold_name(self.choice.sheet)]
            if not grids:
                path = self.grids[0].path
                names = listed([g.name for g in self.grids if g.name] or ["none"])
                words = f"there is no visible worksheet {self.choice.sheet!r}"
                raise InputError(Fault(path, None, None, words, names))
            return grids[0]
        if len(self.grids) == 1:
            return self.grids[0]
        tables = [g for g in self.grids if find_headings(g.rows, self.choice.columns)]
        roots = [g for g in tables if not any(_names(grid, g) for grid in tables if grid is not g)]
        called = {fold_name(word) for word in data("data/batch")["formula_sheets"]}
        for choice in (roots, [g for g in roots if fold_name(g.name) in called]):
            if len(choice) == 1:
                return choice[0]
        if not tables:
            return self.grids[0]
        names = listed([g.name for g in roots or tables], "or")
        words = f"several worksheets may be the formula: {names}"
        raise InputError(Fault(self.grids[0].path, None, None, words, "--sheet with its name"))

    # ---- premixes ----

    def _with_members(self, line: BatchLine, grid: Grid, above: tuple[str, ...]) -> BatchLine:
        """The line with its premix looked into: the file that the row names, or the worksheet
        that is called like the ingredient."""
        if line.file is not None:
            return replace(line, members=self._file(*line.file, line, grid, above))
        own = next((g for g in self.grids if g.name and _is_called(g, line.name)), None)
        if own is None:
            return line
        self.used.add(own.name)
        return replace(line, members=self._below(own, line, fold_name(own.name), above))

    def _below(
        self, grid: Grid, line: BatchLine, key: str, above: tuple[str, ...]
    ) -> tuple[BatchLine, ...]:
        if key in above:
            self.faults.append(line.place.fault(f"{line.name} holds itself"))
            return ()
        if len(above) >= _DEEPEST:
            self.faults.append(grid.place(1, 1).fault("premixes within premixes, too deep"))
            return ()
        try:
            batch = read_table(grid, {}, self.choice.decimal, PREMIX)
        except InputError as error:
            self.faults += error.faults
            return ()
        self.remarks += batch.remarks
        around = (*above, key)
        return tuple(self._with_members(row, grid, around) for row in batch.lines)

    def _file(
        self, named: str, cell: SheetCell, line: BatchLine, grid: Grid, above: tuple[str, ...]
    ) -> tuple[BatchLine, ...]:
        """The sheet of a premix that stands in a file of its own."""
        named, sheet = with_worksheet(named)
        path = Path(os.path.dirname(grid.path)) / named
        key = os.path.realpath(path)
        if not path.resolve().is_relative_to(self.root):
            self.faults.append(cell.fault(f"`{named}` lies outside {self.root}"))
        elif not os.path.isfile(path):
            self.faults.append(cell.fault(f"there is no file `{named}`"))
        elif key in above:
            self.faults.append(cell.fault(f"`{named}` holds itself"))
        else:
            try:
                book = _Book(grids_of(path), self.root, SheetChoice(sheet))
                self.files.append(os.path.normpath(path))
                return self._below(book._formula(), line, key, above)
            except InputError as error:
                self.faults += error.faults
        return ()


def _is_called(grid: Grid, name: str) -> bool:
    """Whether a worksheet carries an ingredient's name, cut at what a title can hold."""
    return fold_name(grid.name) in (fold_name(name), fold_name(name[:_LONGEST_TITLE]))


def _names(grid: Grid, other: Grid) -> bool:
    """Whether a worksheet has an ingredient that is called like another worksheet."""
    return any(_is_called(other, cell) for _, cells in grid.rows for cell in cells if cell)
