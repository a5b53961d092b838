"""ODS files as grids of cells. The one place that knows odfpy, and only when asked."""

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from panellint.core.errors import Fault, InputError, PanellintError
from panellint.maker.sheet.cells import Grid, most, too_many, trimmed
from panellint.maker.sheet.workbook import number_text, refusing_damage, unpacked


def read_document(path: str | Path) -> list[Grid]:
    """Every visible worksheet of an OpenDocument spreadsheet that holds anything, in its order.

    Raises InputError where the file is none, is locked with a password, or is larger than a
    batch sheet can be.
    """
    with refusing_damage(str(path), "ODS"):
        return _grids(str(path))


def _grids(name: str) -> list[Grid]:
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
        elif rows := tuple(_rows(name, title, sheet.getElementsByType(table.TableRow))):
            grids.append(Grid(name, title, rows))
    if not grids:
        raise InputError(Fault(name, None, None, "holds no cells with anything in them"))
    return [grid.with_remarks(remarks) for grid in grids]


def _rows(path: str, title: str, rows: Iterable[Any]) -> Iterator[tuple[int, tuple[str, ...]]]:
    number = 0
    for row in rows:
        times = int(row.getAttribute("numberrowsrepeated") or 1)
        cells = trimmed(_cells(row))
        if len(cells) > most("columns"):
            raise too_many(path, title, "columns")
        for at in range(number + 1, number + times + 1 if cells else 0):
            if at > most("rows"):
                raise too_many(path, title)
            yield at, cells
        number += times


def _cells(row: Any) -> Iterator[str]:
    waiting = 0
    for cell in row.childNodes:
        if getattr(cell, "tagName", "") not in ("table:table-cell", "table:covered-table-cell"):
            continue
        times = min(int(cell.getAttribute("numbercolumnsrepeated") or 1), most("columns") + 1)
        if text := _text(cell):
            yield from [""] * waiting + [text] * times
            waiting = 0
        else:
            # The empty end of a row is repeated to the edge of the sheet.
            waiting += times


def _text(cell: Any) -> str:
    from odf import teletype

    kind = cell.getAttribute("valuetype")
    if kind in ("float", "percentage", "currency"):
        value = float(cell.getAttribute("value"))
        return f"{number_text(100 * value)} %" if kind == "percentage" else number_text(value)
    if kind == "date":
        return str(cell.getAttribute("datevalue"))
    paragraphs = (node for node in cell.childNodes if getattr(node, "tagName", "") == "text:p")
    return " ".join(map(teletype.extractText, paragraphs))
