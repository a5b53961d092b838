"""XLSX files as grids of cells. The one place that knows openpyxl, and only when asked."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator
from datetime import date, datetime, time
from html import unescape
from pathlib import Path
from typing import Any, NamedTuple

from panellint.core.errors import Fault, InputError, PanellintError
from panellint.core.text import one_line
from panellint.maker.model import Remark, SheetCell
from panellint.maker.sheet.cells import Grid, most, too_many, trimmed
from panellint.maker.sheet.headers import column_number

SUFFIXES = (".xlsx", ".xlsm", ".xltx", ".xltm")
_OLD = b"\xd0\xcf\x11\xe0"
_CHUNK = 1 << 16
_COLUMN = re.compile(rb'<(?:\w+:)?c\s[^>]*?r="([A-Z]{1,3})\d')


def read_workbook(path: str | Path) -> list[Grid]:
    """Every visible worksheet that holds anything, in the order of the workbook.

    Macros are never run, hidden worksheets are not read: a remark says so. A formula counts with
    the value that the spreadsheet kept of it. Raises InputError where the file is no XLSX, is
    locked with a password, or is larger than a batch sheet can be; that is seen before it is read.
    """
    name = str(path)
    looked = _looked_at(name)
    openpyxl = _openpyxl()
    books = []
    try:
        books = [
            openpyxl.load_workbook(name, read_only=True, data_only=kept, keep_links=False)
            for kept in ((True, False) if looked.formulas else (True,))
        ]
    except Exception as error:
        words = one_line(str(error)) or type(error).__name__
        raise InputError(Fault(name, None, None, f"is no XLSX workbook: {words}")) from None
    try:
        grids, hidden = [], []
        for at, sheet in enumerate(books[0].worksheets):
            if sheet.sheet_state != "visible":
                hidden.append(f"the hidden worksheet {sheet.title} is not read")
                continue
            merged = looked.merged.get(sheet.title, [])
            grid = _grid(name, sheet, books[-1].worksheets[at], merged)
            if grid.rows:
                grids.append(grid)
        if not grids:
            raise InputError(Fault(name, None, None, "holds no cells with anything in them"))
        if looked.macros:
            hidden.append("the workbook has macros; none of them is run")
        return [_with_remarks(grid, hidden) for grid in grids]
    finally:
        for book in books:
            book.close()


def _with_remarks(grid: Grid, words: list[str]) -> Grid:
    from dataclasses import replace

    about = tuple(Remark(grid.place(1, 1), one) for one in words)
    return replace(grid, remarks=(*about, *grid.remarks))


def _openpyxl() -> Any:
    try:
        import openpyxl  # type: ignore[import-untyped,unused-ignore]
    except ImportError:
        raise PanellintError(
            "XLSX sheets need the extra `sheets`: pip install panellint[sheets]; CSV needs nothing"
        ) from None
    return openpyxl


# Before it is read ----------------------------------------------------------------------------


class _Looked(NamedTuple):
    """What is known of a workbook before it is read."""

    macros: bool
    formulas: bool
    merged: dict[str, list[tuple[int, int, int, int]]]


def unpacked(name: str, expected: str = "an XLSX workbook or a CSV file") -> zipfile.ZipFile:
    """Returns the archive of a workbook. Raises InputError where the file is none, or holds more
    than a batch sheet can."""
    what = expected.split()[1]
    try:
        with open(name, "rb") as file:
            head = file.read(8)
        if head.startswith(_OLD):
            words = "is an old XLS workbook or locked with a password"
            raise InputError(Fault(name, None, None, words, expected))
        archive = zipfile.ZipFile(name)
    except zipfile.BadZipFile:
        raise InputError(Fault(name, None, None, f"is no {what} workbook", expected)) from None
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise InputError(Fault(name, None, None, f"cannot be read: {reason}")) from None
    if sum(entry.file_size for entry in archive.infolist()) > most("unpacked_bytes"):
        archive.close()
        raise InputError(Fault(name, None, None, "unpacks to more than a batch sheet can hold"))
    return archive


def _looked_at(name: str) -> _Looked:
    """Looks at a workbook's archive. Raises InputError where it is none, or too large."""
    formulas = False
    merged: dict[str, list[tuple[int, int, int, int]]] = {}
    with unpacked(name) as archive:
        macros = any(one.lower().endswith("vbaproject.bin") for one in archive.namelist())
        cells = 0
        for title, part in _parts(archive):
            tail = b""
            with archive.open(part) as stream:
                while chunk := stream.read(_CHUNK):
                    text = tail + chunk
                    # A tag may be cut at the end of a chunk: what is behind the last `>` waits.
                    cut = text.rfind(b">") + 1
                    text, tail = text[:cut], text[cut:]
                    cells += text.count(b"<c ") + text.count(b":c ") + text.count(b"<c>")
                    formulas = formulas or b"<f" in text
                    _check_bounds(name, title, text, cells, len(tail))
                    for match in re.finditer(rb'<mergeCell\s[^>]*ref="([^"]*)"', text):
                        if area := re.fullmatch(rb"([A-Z]+)(\d+):([A-Z]+)(\d+)", match[1]):
                            left, top, right, bottom = (one.decode() for one in area.groups())
                            merged.setdefault(title, []).append(
                                (int(top), column_number(left), int(bottom), column_number(right))
                            )
    return _Looked(macros, formulas, merged)


def _check_bounds(name: str, title: str, text: bytes, cells: int, waiting: int) -> None:
    if b"<!DOCTYPE" in text or b"<!ENTITY" in text:
        raise InputError(Fault(name, None, None, "holds a document type; no worksheet has one"))
    if cells > most("cells") or waiting > _CHUNK:
        raise too_many(name, title, "cells")
    widest = max((match[1] for match in _COLUMN.finditer(text)), key=len, default=b"A")
    if len(widest) > 2 or column_number(widest.decode()) > most("columns"):
        raise too_many(name, title, "columns")


def _parts(archive: zipfile.ZipFile) -> Iterator[tuple[str, str]]:
    """Worksheet titles with the parts of the archive that hold them; a worksheet that no title
    leads to stands under its own name."""
    names = archive.namelist()
    left = {one for one in names if re.fullmatch(r"xl/worksheets/[^/]+\.xml", one)}
    if {"xl/workbook.xml", "xl/_rels/workbook.xml.rels"} <= set(names):
        book = archive.read("xl/workbook.xml").decode("utf-8", "replace")
        links = archive.read("xl/_rels/workbook.xml.rels").decode("utf-8", "replace")
        targets = {}
        for link in re.findall(r"<(?:\w+:)?Relationship\s[^>]*>", links):
            ident = re.search(r'\bId="([^"]*)"', link)
            target = re.search(r'\bTarget="([^"]*)"', link)
            if ident and target:
                place = target[1].lstrip("/")
                targets[ident[1]] = place if place.startswith("xl/") else f"xl/{place}"
        for sheet in re.findall(r"<(?:\w+:)?sheet\s[^>]*>", book):
            title, ident = re.search(r'\bname="([^"]*)"', sheet), re.search(r':id="([^"]*)"', sheet)
            if title and ident and targets.get(ident[1]) in names:
                left.discard(targets[ident[1]])
                yield unescape(title[1]), targets[ident[1]]
    for one in sorted(left):
        yield one, one


# Cells ----------------------------------------------------------------------------------------


def _grid(path: str, sheet: Any, formulas: Any, merged: list[tuple[int, int, int, int]]) -> Grid:
    rows: list[tuple[int, tuple[str, ...]]] = []
    no_value: set[tuple[int, int]] = set()
    limit = most("rows")
    # A sheet may claim a million rows and hold ten: its own dimensions are not believed.
    for one in {sheet, formulas}:
        one.reset_dimensions()
    both = formulas.iter_rows(values_only=True) if formulas is not sheet else None
    for number, cells in enumerate(sheet.iter_rows(), start=1):
        if number > limit:
            raise too_many(path, sheet.title)
        raw = next(both, ()) if both is not None else ()
        for column, (cell, formula) in enumerate(zip(cells, raw, strict=False), start=1):
            if cell.value is None and isinstance(formula, str) and formula.startswith("="):
                no_value.add((number, column))
        kept = trimmed(map(_text, cells))
        if kept or any(row == number for row, _ in no_value):
            rows.append((number, kept))
    filled, remarks = _filled(path, sheet.title, rows, merged)
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
        if bottom == top or not text:
            continue
        words = f"cells are merged here, down to row {bottom}, column {right}"
        if not any(char.isdigit() for char in text):
            words += f"; `{text}` is taken for each row"
            for row in range(top + 1, min(bottom, max(by_row, default=0)) + 1):
                cells = by_row.get(row)
                if cells:
                    cells.extend([""] * (left - len(cells)))
                    cells[left - 1] = cells[left - 1] or text
        remarks.append(Remark(SheetCell(path, sheet, top, left), words))
    return [(number, tuple(cells)) for number, cells in by_row.items()], remarks


def _text(cell: Any) -> str:
    """A cell's value as text; a number that the spreadsheet shows as a percentage is one."""
    value = cell.value
    if isinstance(value, int | float) and not isinstance(value, bool) and "%" in str(
        cell.number_format
    ):  # fmt: skip
        return f"{number_text(100 * value)} %"
    return value_text(value)


def number_text(value: float) -> str:
    """Returns a number of a spreadsheet: 15 digits are what it keeps, so 0.1 + 0.2 is 0.3 again."""
    text = format(value, ".15g")
    # A number of the workbook is no thousand, however its texts write decimals.
    return f"{text}0" if re.fullmatch(r"-?\d{1,3}\.\d{3}", text) else text


def value_text(value: object) -> str:
    """Returns a value of a spreadsheet as text."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return number_text(value)
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    return str(value)
