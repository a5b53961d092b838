"""XLSX files as grids of cells. The one place that knows openpyxl, and only when asked."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from panellint.core.errors import Fault, InputError, PanellintError
from panellint.core.text import one_line
from panellint.maker.model import Remark, SheetCell
from panellint.maker.sheet.cells import Grid, most_rows, too_many, trimmed
from panellint.rulepacks.data import data

SUFFIXES = (".xlsx", ".xlsm", ".xltx", ".xltm")
_OLD = b"\xd0\xcf\x11\xe0"


def is_workbook(path: str | Path) -> bool:
    """Whether a file is to be read as a workbook, by its name."""
    return Path(path).suffix.lower() in SUFFIXES


def read_workbook(path: str | Path) -> list[Grid]:
    """Every worksheet that holds anything, in the order of the workbook.

    Macros are never run: they are passed over with a remark. A formula counts with the value
    that the spreadsheet kept of it. Raises InputError where the file is no XLSX, is locked
    with a password, or has too many rows.
    """
    name = str(path)
    macros = _looked_at(name)
    openpyxl = _openpyxl()
    try:
        values = openpyxl.load_workbook(name, read_only=True, data_only=True, keep_links=False)
        formulas = openpyxl.load_workbook(name, read_only=True, data_only=False, keep_links=False)
    except Exception as error:
        words = one_line(str(error)) or type(error).__name__
        raise InputError(Fault(name, None, None, f"is no XLSX workbook: {words}")) from None
    try:
        grids = []
        merged = _merged(name)
        for sheet, other in zip(values.worksheets, formulas.worksheets, strict=True):
            grid = _grid(name, sheet, other, macros, merged.get(sheet.title, []))
            if grid.rows:
                grids.append(grid)
        if not grids:
            raise InputError(Fault(name, None, None, "holds no cells with anything in them"))
        return grids
    finally:
        values.close()
        formulas.close()


def _openpyxl() -> Any:
    try:
        import openpyxl  # type: ignore[import-untyped,unused-ignore]
    except ImportError:
        raise PanellintError(
            "XLSX sheets need the extra `sheets`: pip install panellint[sheets]; CSV needs nothing"
        ) from None
    return openpyxl


def _looked_at(name: str) -> bool:
    """Whether a file that is a workbook has macros; raises InputError where it is none."""
    expected = "an XLSX workbook or a CSV file"
    try:
        with open(name, "rb") as file:
            head = file.read(8)
        if head.startswith(_OLD):
            raise InputError(
                Fault(
                    name, None, None, "is an old XLS workbook or locked with a password", expected
                )
            )
        with zipfile.ZipFile(name) as archive:
            inside = archive.infolist()
    except zipfile.BadZipFile:
        raise InputError(Fault(name, None, None, "is no XLSX workbook", expected)) from None
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise InputError(Fault(name, None, None, f"cannot be read: {reason}")) from None
    if sum(entry.file_size for entry in inside) > int(data("data/batch")["most_unpacked_bytes"]):
        raise InputError(Fault(name, None, None, "unpacks to more than a batch sheet can hold"))
    return any(entry.filename.lower().endswith("vbaproject.bin") for entry in inside)


def _grid(
    path: str, sheet: Any, formulas: Any, macros: bool, merged: list[tuple[int, int, int, int]]
) -> Grid:
    rows: list[tuple[int, tuple[str, ...]]] = []
    no_value: set[tuple[int, int]] = set()
    limit = most_rows()
    # A sheet may claim a million rows and hold ten: its own dimensions are not believed.
    for one in (sheet, formulas):
        one.reset_dimensions()
    pairs = zip(
        sheet.iter_rows(values_only=True), formulas.iter_rows(values_only=True), strict=False
    )
    for number, (cells, raw) in enumerate(pairs, start=1):
        if number > limit:
            raise too_many(path, sheet.title)
        for column, (value, formula) in enumerate(zip(cells, raw, strict=False), start=1):
            if value is None and isinstance(formula, str) and formula.startswith("="):
                no_value.add((number, column))
        kept = trimmed(_text(cell) for cell in cells)
        if kept or any(row == number for row, _ in no_value):
            rows.append((number, kept))
    filled, remarks = _filled(path, sheet.title, rows, merged)
    if macros:
        remarks.insert(
            0,
            Remark(
                SheetCell(path, sheet.title, 1, 1), "the workbook has macros; none of them is run"
            ),
        )
    return Grid(path, sheet.title, tuple(filled), "", frozenset(no_value), tuple(remarks))


def _filled(
    path: str,
    sheet: str,
    rows: list[tuple[int, tuple[str, ...]]],
    merged: list[tuple[int, int, int, int]],
) -> tuple[list[tuple[int, tuple[str, ...]]], list[Remark]]:
    """Names of merged cells stand for every row they reach over; a number is never spread."""
    remarks: list[Remark] = []
    by_row = {number: list(cells) for number, cells in rows}
    for top, left, bottom, right in merged:
        first = by_row.get(top, [])
        text = first[left - 1] if left <= len(first) else ""
        words = f"cells are merged here, down to row {bottom}, column {right}"
        if text and bottom > top and not any(char.isdigit() for char in text):
            words += f"; `{text}` is taken for each row"
            for row in range(top + 1, bottom + 1):
                if row in by_row:
                    cells = by_row[row]
                    cells.extend([""] * (left - len(cells)))
                    cells[left - 1] = cells[left - 1] or text
        remarks.append(Remark(SheetCell(path, sheet, top, left), words))
    return [(number, tuple(cells)) for number, cells in by_row.items()], remarks


def _merged(path: str) -> dict[str, list[tuple[int, int, int, int]]]:
    """Merged ranges by worksheet title, read from the archive: the read-only mode of the
    library does not tell them."""
    found: dict[str, list[tuple[int, int, int, int]]] = {}
    with zipfile.ZipFile(path) as archive:
        for title, part in _parts(archive):
            content = archive.read(part).decode("utf-8", "replace")
            for match in re.finditer(r'<mergeCell\s+ref="([A-Z]+)(\d+):([A-Z]+)(\d+)"', content):
                left, top, right, bottom = match.groups()
                found.setdefault(title, []).append(
                    (int(top), _column(left), int(bottom), _column(right))
                )
    return found


def _parts(archive: zipfile.ZipFile) -> Iterator[tuple[str, str]]:
    """Worksheet titles with the parts of the archive that hold them."""
    from html import unescape

    names = set(archive.namelist())
    if not {"xl/workbook.xml", "xl/_rels/workbook.xml.rels"} <= names:
        return
    book = archive.read("xl/workbook.xml").decode("utf-8", "replace")
    links = archive.read("xl/_rels/workbook.xml.rels").decode("utf-8", "replace")
    targets = {}
    for link in re.findall(r"<Relationship\s[^>]*>", links):
        ident, target = re.search(r'\bId="([^"]*)"', link), re.search(r'\bTarget="([^"]*)"', link)
        if ident and target:
            place = target[1].lstrip("/")
            targets[ident[1]] = place if place.startswith("xl/") else f"xl/{place}"
    for sheet in re.findall(r"<sheet\s[^>]*>", book):
        title, ident = re.search(r'\bname="([^"]*)"', sheet), re.search(r'\br:id="([^"]*)"', sheet)
        if title and ident and targets.get(ident[1]) in names:
            yield unescape(title[1]), targets[ident[1]]


def _column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number


def _text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        # 15 digits are what spreadsheets keep: 0.1 + 0.2 is 0.3 again.
        text = format(value, ".15g")
        # A number of the workbook is no thousand, however its texts write decimals.
        return f"{text}0" if re.fullmatch(r"-?\d{1,3}\.\d{3}", text) else text
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    return str(value)
