"""XLSX and ODS files as grids of cells. The one place that knows openpyxl and odfpy, and only when
asked."""

import re
import warnings
import zipfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, redirect_stdout
from datetime import date, datetime, time
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

from panellint.core.errors import Fault, InputError, PanellintError
from panellint.core.files import read_bytes
from panellint.core.text import one_line
from panellint.maker.model import Remark, SheetCell
from panellint.maker.sheet.cells import Grid, most, too_many, trimmed
from panellint.maker.sheet.headers import column_number

_OLD = b"\xd0\xcf\x11\xe0"
_CHUNK = 1 << 16
_COLUMN = re.compile(rb'<(?:\w+:)?c\s[^>]*?r="([A-Z]{1,3})\d')
_CELL = re.compile(rb"<(?:\w+:)?c[\s>/]")


def read_workbook(path: str | Path) -> list[Grid]:
    """Every visible worksheet that holds anything, in the order of the workbook.

    Macros are never run, hidden worksheets are not read: a remark says so. A formula counts with
    the value that the spreadsheet kept of it. Raises InputError where the file is no XLSX, is
    locked with a password, or is larger than a batch sheet can be; that is seen before it is read.
    """
    with refusing_damage(str(path), "XLSX"):
        return _grids(str(path))


def _grids(name: str) -> list[Grid]:
    macros, formulas = _looked_at(name)
    books = [_book(name, values) for values in ((True, False) if formulas else (True,))]
    grids, about = [], []
    for sheet, written in zip(books[0].worksheets, books[-1].worksheets, strict=True):
        if sheet.sheet_state != "visible":
            about.append(f"the hidden worksheet {sheet.title} is not read")
        elif (grid := _grid(name, sheet, written)).rows:
            grids.append(grid)
    if not grids:
        raise InputError(Fault(name, None, None, "holds no cells with anything in them"))
    if macros:
        about.append("the workbook has macros; none of them is run")
    return [grid.with_remarks(about) for grid in grids]


def _book(name: str, values: bool) -> Any:
    """The workbook with its values, or with its formulas."""
    try:
        import openpyxl  # type: ignore[import-untyped,unused-ignore]
    except ImportError:
        raise PanellintError(
            "XLSX sheets need the extra `sheets`: pip install panellint[sheets]; CSV needs nothing"
        ) from None
    return openpyxl.load_workbook(name, data_only=values, keep_links=False)


@contextmanager
def refusing_damage(name: str, kind: str) -> Iterator[None]:
    """Raises InputError for whatever a library makes of a damaged file: an error, or a part that
    it prints and goes on without. Its warnings are kept back."""
    words = ""
    try:
        with warnings.catch_warnings(), redirect_stdout(StringIO()) as printed:
            warnings.simplefilter("ignore")
            yield
        if printed.getvalue():
            words = "a part of it is damaged"
    except PanellintError:
        raise
    except Exception as error:
        words = one_line(str(error)) or type(error).__name__
    if words:
        raise InputError(Fault(name, None, None, f"is no {kind} workbook: {words}"))


# Before it is read ----------------------------------------------------------------------------


def unpacked(name: str, expected: str = "an XLSX workbook or a CSV file") -> zipfile.ZipFile:
    """Returns the archive of a workbook. Raises InputError where the file is none, or holds more
    than a batch sheet can."""
    what = expected.split()[1]
    content = read_bytes(name)
    if content.startswith(_OLD):
        words = "is an old XLS workbook or locked with a password"
        raise InputError(Fault(name, None, None, words, expected))
    try:
        archive = zipfile.ZipFile(BytesIO(content))
    except zipfile.BadZipFile:
        raise InputError(Fault(name, None, None, f"is no {what} workbook", expected)) from None
    if sum(entry.file_size for entry in archive.infolist()) > most("unpacked_bytes"):
        archive.close()
        raise InputError(Fault(name, None, None, "unpacks to more than a batch sheet can hold"))
    return archive


def _looked_at(name: str) -> tuple[bool, bool]:
    """Whether a workbook has macros, and formulas. Raises InputError where it is none, or larger
    than a batch sheet can be."""
    formulas, cells = False, 0
    with unpacked(name) as archive:
        parts = archive.namelist()
        for part in (path for path in parts if re.fullmatch(r"xl/worksheets/[^/]+\.xml", path)):
            tail = b""
            with archive.open(part) as stream:
                while chunk := stream.read(_CHUNK):
                    text = tail + chunk
                    # A tag may be cut at the end of a chunk: what is behind the last `>` waits.
                    cut = text.rfind(b">") + 1
                    text, tail = text[:cut], text[cut:]
                    cells += len(_CELL.findall(text))
                    formulas = formulas or b"<f" in text
                    _check_bounds(name, text, cells, len(tail))
    return any(path.lower().endswith("vbaproject.bin") for path in parts), formulas


def _check_bounds(name: str, text: bytes, cells: int, waiting: int) -> None:
    if b"<!DOCTYPE" in text or b"<!ENTITY" in text:
        raise InputError(Fault(name, None, None, "holds a document type; no worksheet has one"))
    if cells > most("cells") or waiting > _CHUNK:
        raise too_many(name, "", "cells")
    widest = max((match[1] for match in _COLUMN.finditer(text)), key=len, default=b"A")
    if len(widest) > 2 or column_number(widest.decode()) > most("columns"):
        raise too_many(name, "", "columns")


# Cells ----------------------------------------------------------------------------------------


def _grid(path: str, sheet: Any, formulas: Any) -> Grid:
    for what, size in (("rows", sheet.max_row), ("columns", sheet.max_column)):
        if size > most(what):
            raise too_many(path, sheet.title, what)
    rows = {
        number: list(trimmed(map(_text, cells)))
        for number, cells in enumerate(sheet.iter_rows(min_row=1), start=1)
    }
    no_value = frozenset(
        (cell.row, cell.column)
        for cells in formulas.iter_rows()
        for cell in cells
        if cell.data_type == "f" and sheet.cell(cell.row, cell.column).value is None
    )
    remarks = [
        Remark(SheetCell(path, sheet.title, area.min_row, area.min_col), words)
        for area in sheet.merged_cells.ranges
        if area.max_row > area.min_row and (words := _spread(area, rows))
    ]
    kept = tuple(
        (number, tuple(cells))
        for number, cells in rows.items()
        if cells or any(row == number for row, _ in no_value)
    )
    return Grid(path, sheet.title, kept, "", no_value, tuple(remarks))


def _spread(area: Any, rows: dict[int, list[str]]) -> str:
    """Lets a name in merged cells stand for every row that they reach over, and returns what is to
    be remarked of them; a number is never spread."""
    first, at = rows[area.min_row], area.min_col - 1
    text = first[at] if at < len(first) else ""
    if not text:
        return ""
    words = f"cells are merged here, down to row {area.max_row}, column {area.max_col}"
    if any(char.isdigit() for char in text):
        return words
    for row in range(area.min_row + 1, area.max_row + 1):
        if cells := rows.get(row):
            cells.extend([""] * (at + 1 - len(cells)))
            cells[at] = cells[at] or text
    return f"{words}; `{text}` is taken for each row"


def number_text(value: float) -> str:
    """Returns a number of a spreadsheet: 15 digits are what it keeps, so 0.1 + 0.2 is 0.3 again."""
    text = format(value, ".15g")
    # A number of the workbook is no thousand, however its texts write decimals.
    return f"{text}0" if re.fullmatch(r"-?\d{1,3}\.\d{3}", text) else text


def _text(cell: Any) -> str:
    """A cell's value as text; a number that the spreadsheet shows as a percentage is one."""
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        if "%" in str(cell.number_format):
            return f"{number_text(100 * value)} %"
        return number_text(value) if isinstance(value, float) else str(value)
    return value.isoformat() if isinstance(value, datetime | date | time) else str(value)


def read_document(path: str | Path) -> list[Grid]:
    """Every visible worksheet of an OpenDocument spreadsheet that holds anything, in its order.

    Raises InputError where the file is none, is locked with a password, or is larger than a
    batch sheet can be.
    """
    with refusing_damage(str(path), "ODS"):
        return _ods_grids(str(path))


def _ods_grids(name: str) -> list[Grid]:
    with unpacked(name, "an ODS workbook") as archive:
        if "content.xml" not in archive.namelist():
            raise InputError(Fault(name, None, None, "is no ODS workbook"))
        content = archive.read("content.xml")
        if b"<!DOCTYPE" in content:
            raise InputError(Fault(name, None, None, "holds a document type; no worksheet has one"))
        if content.count(b"<table:table-cell") > most("cells"):
            raise too_many(name, "", "cells")
    try:
        from odf import opendocument, style, table  # type: ignore[import-untyped,unused-ignore]
    except ImportError:
        raise PanellintError(
            "ODS sheets need the extra `sheets`: pip install panellint[sheets]; CSV needs nothing"
        ) from None
    document = opendocument.load(name)
    hidden = {
        properties.parentNode.getAttribute("name")
        for properties in document.getElementsByType(style.TableProperties)
        if properties.getAttribute("display") == "false"
    }
    grids, remarks = [], []
    for sheet in document.spreadsheet.getElementsByType(table.Table):
        title = sheet.getAttribute("name") or ""
        if sheet.getAttribute("stylename") in hidden:
            remarks.append(f"the hidden worksheet {title} is not read")
        elif rows := tuple(_ods_rows(name, title, sheet.getElementsByType(table.TableRow))):
            grids.append(Grid(name, title, rows))
    if not grids:
        raise InputError(Fault(name, None, None, "holds no cells with anything in them"))
    return [grid.with_remarks(remarks) for grid in grids]


def _ods_rows(path: str, title: str, rows: Iterable[Any]) -> Iterator[tuple[int, tuple[str, ...]]]:
    number = 0
    for row in rows:
        times = int(row.getAttribute("numberrowsrepeated") or 1)
        cells = trimmed(_ods_cells(row))
        if len(cells) > most("columns"):
            raise too_many(path, title, "columns")
        for at in range(number + 1, number + times + 1 if cells else 0):
            if at > most("rows"):
                raise too_many(path, title)
            yield at, cells
        number += times


def _ods_cells(row: Any) -> Iterator[str]:
    waiting = 0
    for cell in row.childNodes:
        if getattr(cell, "tagName", "") not in ("table:table-cell", "table:covered-table-cell"):
            continue
        times = min(int(cell.getAttribute("numbercolumnsrepeated") or 1), most("columns") + 1)
        if text := _ods_text(cell):
            yield from [""] * waiting + [text] * times
            waiting = 0
        else:
            # The empty end of a row is repeated to the edge of the sheet.
            waiting += times


def _ods_text(cell: Any) -> str:
    from odf import teletype

    kind = cell.getAttribute("valuetype")
    if kind in ("float", "percentage", "currency"):
        value = float(cell.getAttribute("value"))
        return f"{number_text(100 * value)} %" if kind == "percentage" else number_text(value)
    if kind == "date":
        return str(cell.getAttribute("datevalue"))
    paragraphs = (node for node in cell.childNodes if getattr(node, "tagName", "") == "text:p")
    return " ".join(map(teletype.extractText, paragraphs))
