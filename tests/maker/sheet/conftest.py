"""Workbooks of several worksheets, in both forms."""

from __future__ import annotations

import pytest
from openpyxl import Workbook


def xlsx(path, sheets, hidden=()):
    made = Workbook()
    made.remove(made.active)
    for title, rows in sheets.items():
        sheet = made.create_sheet(title)
        for row in rows:
            sheet.append(row)
        if title in hidden:
            sheet.sheet_state = "hidden"
    made.save(path)
    return path


def ods(path, sheets, hidden=()):
    odf = pytest.importorskip("odf.opendocument")
    from odf.style import Style, TableProperties
    from odf.table import Table, TableCell, TableRow
    from odf.text import P

    made = odf.OpenDocumentSpreadsheet()
    unseen = Style(name="unseen", family="table")
    unseen.addElement(TableProperties(display="false"))
    made.automaticstyles.addElement(unseen)
    for title, rows in sheets.items():
        table = Table(name=title, **({"stylename": "unseen"} if title in hidden else {}))
        for row in rows:
            line = TableRow()
            for value in row:
                if isinstance(value, str):
                    cell = TableCell(valuetype="string")
                    cell.addElement(P(text=value))
                else:
                    cell = TableCell(valuetype="float", value=str(value))
                line.addElement(cell)
            table.addElement(line)
        made.spreadsheet.addElement(table)
    made.save(path)
    return path


@pytest.fixture(params=[xlsx, ods], ids=["xlsx", "ods"])
def book(request, tmp_path):
    def write(sheets, hidden=()):
        return request.param(tmp_path / f"book.{request.param.__name__}", sheets, hidden)

    return write


@pytest.fixture
def xlsx_book():
    """Writes an XLSX workbook of several worksheets."""
    return xlsx
