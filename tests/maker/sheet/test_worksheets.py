"""Workbooks of several worksheets, in both forms: which is the formula, what is left, how large."""

from __future__ import annotations

import zipfile

import pytest
from openpyxl import Workbook

from panellint.core.errors import InputError
from panellint.maker.batch import read_batch
from panellint.maker.sheet.read import SheetChoice
from panellint.tasks.trace import trace_sheet
from panellint.tasks.trace_query import TraceQuery

MAIN = [["Ingredient", "kg"], ["Duck", 99], ["Mineral premix", 1]]
PREMIX = [["Ingredient", "g/kg"], ["zinc oxide", 200], ["wheat middlings", 800]]
PRICES = [["Item", "Pack size (kg)", "Price"], ["Duck", 25, 3.1], ["Millet", 20, 1.2]]


def test_a_premix_worksheet_in_parts_of_a_whole_is_looked_into(book):
    batch = read_batch(book({"Formula": MAIN, "Mineral premix": PREMIX}))
    assert batch.worksheet == "Formula"
    names = [(one.name, one.weight) for one in batch.lines[1].members]
    assert names == [("zinc oxide", 20), ("wheat middlings", 80)]


def test_a_premix_worksheet_that_cannot_be_read_is_no_silence(book):
    rows = [["Ingredient", "IU/kg"], ["vitamin A", 5]]
    with pytest.raises(InputError, match=r"Mineral premix.*no row of headings"):
        read_batch(book({"Formula": MAIN, "Mineral premix": rows}))


def test_hidden_worksheets_are_not_read_and_named(book):
    path = book({"Old": [["Ingredient", "kg"], ["Beef", 1]], "Now": MAIN[:2]}, hidden=["Old"])
    batch = read_batch(path)
    assert [line.name for line in batch.lines] == ["Duck"]
    assert batch.worksheet == "Now"
    assert any("hidden worksheet Old is not read" in str(one) for one in batch.remarks)


def test_the_formula_goes_before_a_price_list_and_the_other_is_named(book):
    batch = read_batch(book({"Prices": PRICES, "Formula": MAIN[:2]}))
    assert [line.name for line in batch.lines] == ["Duck"]
    assert any("not Prices beside it" in str(one) for one in batch.remarks)


def test_where_several_may_be_meant_none_is_taken(book):
    path = book({"Duck dinner": MAIN[:2], "Lamb dinner": [["Ingredient", "kg"], ["Lamb", 1]]})
    with pytest.raises(InputError, match="several worksheets may be the formula: Duck dinner or"):
        read_batch(path)
    assert read_batch(path, choice=SheetChoice("lamb dinner")).lines[0].name == "Lamb"
    assert read_batch(f"{path}[Duck dinner]").lines[0].name == "Duck"
    with pytest.raises(InputError, match="no visible worksheet 'Goat'"):
        read_batch(path, choice=SheetChoice("Goat"))


def test_circles_of_worksheets_are_found(book):
    inner = [["Ingredient", "kg"], ["salt", 1], ["Mineral premix", 1]]
    with pytest.raises(InputError, match="Mineral premix holds itself"):
        read_batch(book({"Formula": MAIN, "Mineral premix": inner}))


def test_a_number_of_a_workbook_says_nothing_of_its_texts(tmp_path, xlsx_book):
    rows = [["Ingredient", "kg"], ["Chicken", "1.250"], ["Rice", 12.5]]
    with pytest.raises(InputError, match=r"`1\.250` may be 1\.25 or 1250"):
        read_batch(xlsx_book(tmp_path / "a.xlsx", {"Formula": rows}))


def test_a_recalled_ingredient_is_found_inside_a_premix_worksheet(book):
    path = book({"Formula": MAIN, "Mineral premix": PREMIX})
    (hit,) = trace_sheet(TraceQuery("wheat"), str(path))
    assert (hit["printed"], hit["inside"]) == ("wheat middlings", ["Mineral premix"])


def test_a_merged_heading_over_two_rows(tmp_path):
    made = Workbook()
    sheet = made.active
    for row in (
        ["Ingredient", "Target", None, "Actual", None],
        [None, "kg", "%", "kg", "%"],
        ["Duck", 70, 70, 71, 71],
        ["Millet", 30, 30, 29, 29],
    ):
        sheet.append(row)
    for area in ("A1:A2", "B1:C1", "D1:E1"):
        sheet.merge_cells(area)
    made.save(tmp_path / "a.xlsx")
    batch = read_batch(tmp_path / "a.xlsx")
    assert [(line.name, line.weight) for line in batch.lines] == [
        ("Duck", 71_000),
        ("Millet", 29_000),
    ]


def test_a_cell_shown_as_a_percentage_is_one(tmp_path):
    made = Workbook()
    sheet = made.active
    for row in (["Ingredient", "Inclusion", "Protein"], ["Duck", 0.7, 0.18], ["Millet", 0.3, 0.11]):
        sheet.append(row)
    for cell in (*sheet["B"][1:], *sheet["C"][1:]):
        cell.number_format = "0.0%"
    made.save(tmp_path / "a.xlsx")
    batch = read_batch(tmp_path / "a.xlsx")
    assert [(line.weight, line.analysis["protein"]) for line in batch.lines] == [(70, 18), (30, 11)]


def _swollen(write, tmp_path, cells: str):
    path = write(tmp_path / "a.xlsx", {"Batch": MAIN[:2]})
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    sheet = parts["xl/worksheets/sheet1.xml"]
    parts["xl/worksheets/sheet1.xml"] = sheet.replace(
        b"</sheetData>", b'<row r="9">' + cells.encode() + b"</row></sheetData>"
    )
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return path


@pytest.mark.parametrize(
    ("cells", "says"),
    [
        ("<c><v>1</v></c>" * 300_000, "more than 50,000 cells"),
        ('<c r="XFD9"><v>1</v></c>', "more than 200 columns"),
        ("<c><v>1</v></c>" * 3_000_000, "unpacks to more"),
    ],
)
def test_a_row_without_end_is_refused_before_it_is_read(tmp_path, xlsx_book, cells, says):
    path = _swollen(xlsx_book, tmp_path, cells)
    assert path.stat().st_size < 400_000
    with pytest.raises(InputError, match=says):
        read_batch(path)


def test_an_old_workbook_says_what_to_do(tmp_path):
    path = tmp_path / "a.xls"
    path.write_bytes(b"\xd0\xcf\x11\xe0")
    with pytest.raises(InputError, match="the sheet saved as XLSX or CSV"):
        read_batch(path)
