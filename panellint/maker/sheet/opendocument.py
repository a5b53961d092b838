"""ODS files as grids of cells. The one place that knows odfpy, and only when asked."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from panellint.core.errors import Fault, InputError, PanellintError
from panellint.core.text import one_line
from panellint.maker.sheet.cells import Grid, most, too_many, trimmed
from panellint.maker.sheet.workbook import number_text, unpacked

SUFFIXES = (".ods", ".ots")


def read_document(path: str | Path) -> list[Grid]:
    """Every visible worksheet of an OpenDocument spreadsheet that holds anything, in its order.

    Raises InputError where the file is none, is locked with a password, or is larger than a
    batch sheet can be.
    """
    name = str(path)
    with unpacked(name, "an ODS workbook") as archive:
        if "content.xml" not in archive.namelist():
            raise InputError(Fault(name, None, None, "is no ODS workbook"))
        content = archive.read("content.xml")
        if b"<!DOCTYPE" in content:
            raise InputError(Fault(name, None, None, "holds a document type; no worksheet has one"))
        if content.count(b"<table:table-cell") > most("cells"):
            raise too_many(name, "", "cells")
    try:
        from odf.opendocument import load  # type: ignore[import-untyped,unused-ignore]
    except ImportError:
        raise PanellintError(
            "ODS sheets need the extra `sheets`: pip install panellint[sheets]; CSV needs nothing"
        ) from None
    try:
        document = load(name)
    except Exception as error:
        words = one_line(str(error)) or type(error).__name__
        raise InputError(Fault(name, None, None, f"is no ODS workbook: {words}")) from None
    grids, remarks = [], []
    hidden = _hidden_styles(document)
    for table in _children(document.spreadsheet, "table:table"):
        title = table.getAttribute("name") or ""
        if table.getAttribute("stylename") in hidden:
            remarks.append(f"the hidden worksheet {title} is not read")
        elif rows := tuple(_rows(name, title, table)):
            grids.append(Grid(name, title, rows))
    if not grids:
        raise InputError(Fault(name, None, None, "holds no cells with anything in them"))
    return [grid.with_remarks(remarks) for grid in grids]


def _hidden_styles(document: Any) -> frozenset[str]:
    """The styles of worksheets that are not shown."""
    return frozenset(
        style.getAttribute("name")
        for style in document.automaticstyles.childNodes
        for own in _children(style, "style:table-properties")
        if own.getAttribute("display") == "false"
    )


def _children(node: Any, kind: str) -> Iterator[Any]:
    return (one for one in node.childNodes if getattr(one, "tagName", "") == kind)


def _rows(path: str, title: str, table: Any) -> Iterator[tuple[int, tuple[str, ...]]]:
    number = 0
    for row in _within(table):
        times = int(row.getAttribute("numberrowsrepeated") or 1)
        cells = trimmed(_cells(row))
        if len(cells) > most("columns"):
            raise too_many(path, title, "columns")
        for _ in range(times if cells else 0):
            number += 1
            if number > most("rows"):
                raise too_many(path, title)
            yield number, cells
        number += 0 if cells else times


def _within(node: Any) -> Iterator[Any]:
    """The rows of a table, those of its groups among them."""
    for one in node.childNodes:
        kind = getattr(one, "tagName", "")
        if kind == "table:table-row":
            yield one
        elif kind in ("table:table-row-group", "table:table-header-rows", "table:table-rows"):
            yield from _within(one)


def _cells(row: Any) -> Iterator[str]:
    waiting = 0
    for cell in row.childNodes:
        if getattr(cell, "tagName", "") not in ("table:table-cell", "table:covered-table-cell"):
            continue
        times = int(cell.getAttribute("numbercolumnsrepeated") or 1)
        text = _text(cell)
        if not text:
            # The empty end of a row is repeated to the edge of the sheet.
            waiting += times
            continue
        for _ in range(min(waiting, most("columns") + 1)):
            yield ""
        waiting = 0
        for _ in range(min(times, most("columns") + 1)):
            yield text


def _text(cell: Any) -> str:
    kind = cell.getAttribute("valuetype")
    if kind in ("float", "percentage", "currency"):
        value = float(cell.getAttribute("value"))
        return f"{number_text(100 * value)} %" if kind == "percentage" else number_text(value)
    if kind == "date":
        return str(cell.getAttribute("datevalue"))
    return " ".join(map(_words, _children(cell, "text:p")))


def _words(node: Any) -> str:
    if node.nodeType == node.TEXT_NODE:
        return str(node.data)
    if getattr(node, "tagName", "") in ("text:s", "text:tab", "text:line-break"):
        return " "
    return "".join(map(_words, node.childNodes))
