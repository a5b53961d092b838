"""Sheets as grids of cells: CSV files by their own delimiter, and the guard of what is written.

A grid is text and places alone; what the columns mean is read later.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from panellint.core.errors import Fault, InputError
from panellint.core.files import read_bytes
from panellint.core.source import decode
from panellint.core.text import one_line
from panellint.maker.model import Remark, SheetCell
from panellint.rulepacks.data import data

DELIMITERS = (";", "\t", "|", ",")
#: What spreadsheets take for the beginning of a formula.
FORMULA_MARKS = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True, slots=True)
class Grid:
    """The cells of one sheet. `rows` holds (row number from 1, texts); trailing empty cells
    are cut and empty rows left out. `delimiter` is "" for a worksheet. `no_value` are the
    cells (row, column from 1) whose formula has no value kept."""

    path: str
    name: str
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    delimiter: str = ""
    no_value: frozenset[tuple[int, int]] = frozenset()
    remarks: tuple[Remark, ...] = field(default=())

    def place(self, row: int, column: int) -> SheetCell:
        """The place of a cell, both counted from 1."""
        return SheetCell(self.path, self.name, row, column)

    def with_remarks(self, words: Iterable[str]) -> Grid:
        """The same sheet with remarks on the whole of it before its own."""
        about = (Remark(self.place(1, 1), word) for word in words)
        return replace(self, remarks=(*about, *self.remarks))


def most(what: str) -> int:
    """The most rows, columns, cells or bytes that a batch sheet has."""
    return int(data("data/batch")["most"][what])


def too_many(path: str, sheet: str, what: str = "rows") -> InputError:
    """The error for a sheet with more rows, columns or cells than any formula needs."""
    limit = most(what)
    row, column = (limit + 1 if what == side else 1 for side in ("rows", "columns"))
    place = SheetCell(path, sheet, row, column)
    return InputError(
        place.fault(f"more than {limit:,} {what}", "a batch sheet: one row for each ingredient")
    )


def read_csv(path: str | Path, content: bytes | None = None) -> Grid:
    """The grid of a CSV file (or of `content`, where it is read already).

    UTF-8, UTF-16 or UTF-32 with a byte-order mark, else UTF-8, else Windows-1252, which
    spreadsheets still write. Raises InputError where it cannot be read, is no text, has too
    many rows or a quotation mark that never ends.
    """
    name = str(path)
    text = _decoded(read_bytes(path, most("bytes")) if content is None else content, name)
    if text.count("\n") + text.count("\r") > 2 * most("rows") + 2:
        raise too_many(name, "")
    declared, text, skipped = _declared_delimiter(text)
    tried = [_rows(text, mark, name, skipped) for mark in ([declared] if declared else DELIMITERS)]
    rows, mark = max(
        zip(tried, [declared] if declared else DELIMITERS, strict=True),
        key=lambda pair: _fits(pair[0]),
    )
    if len(rows) > most("rows"):
        raise too_many(name, "")
    if max((len(cells) for _, cells in rows), default=0) > most("columns"):
        raise too_many(name, "", "columns")
    _rows(text, mark, name, skipped, closed=True)
    return Grid(name, "", tuple(rows), mark)


def _decoded(content: bytes, name: str) -> str:
    try:
        return decode(content, name).text.removeprefix("\ufeff")
    except InputError:
        if b"\0" in content:
            raise
        try:
            return content.decode("cp1252")
        except UnicodeDecodeError:
            pass
        raise


def _declared_delimiter(text: str) -> tuple[str, str, int]:
    """Spreadsheets may write `sep=;` into the first line; it is no row of the table."""
    first, _, rest = text.partition("\n")
    head = first.strip().strip('"')
    if head.lower().startswith("sep=") and len(head) == 5:
        return head[4], rest, 1
    return "", text, 0


def _rows(
    text: str, mark: str, name: str, skipped: int, closed: bool = False
) -> list[tuple[int, tuple[str, ...]]]:
    """The rows of a text by a delimiter; where `closed`, every quotation mark must be."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=closed)
    rows: list[tuple[int, tuple[str, ...]]] = []
    begins = skipped + 1
    try:
        for cells in reader:
            kept = trimmed(cells)
            if kept:
                rows.append((begins, kept))
            begins = skipped + reader.line_num + 1
    except csv.Error as error:
        if not closed:
            raise InputError(Fault(name, begins, None, f"no CSV text: {error}")) from None
        if "unexpected end" in str(error):
            words = "a quotation mark is never closed"
            raise InputError(Fault(name, begins, None, words)) from None
    return rows


def trimmed(cells: Iterable[str]) -> tuple[str, ...]:
    """Cells with white space folded, empty ones at the end cut off."""
    kept = [one_line(cell) for cell in cells]
    while kept and not kept[-1]:
        kept.pop()
    return tuple(kept)


def _fits(rows: Sequence[tuple[int, tuple[str, ...]]]) -> tuple[bool, int, int]:
    """How well a delimiter fits: a row of headings is found under it, then the number of
    rows with as many cells as most have."""
    from panellint.maker.sheet.headers import find_headings

    widths = [len(cells) for _, cells in rows if len(cells) > 1]
    usual = max(set(widths), key=lambda w: (widths.count(w), w)) if widths else 0
    return (find_headings(rows) is not None, widths.count(usual) if usual else 0, usual)


def written(cell: str) -> str:
    """A text as it may be written into a sheet: never taken for a formula."""
    return f"'{cell}" if cell.startswith(FORMULA_MARKS) else cell


def csv_text(rows: Iterable[Sequence[str]], delimiter: str = ",") -> str:
    """Rows as CSV text (with LF), no cell of which a spreadsheet takes for a formula.

    White space in a cell is folded, as it is where sheets are read: a lone carriage return
    would begin a row of its own.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n", delimiter=delimiter)
    for row in rows:
        writer.writerow([written(one_line(cell)) for cell in row])
    return out.getvalue()
