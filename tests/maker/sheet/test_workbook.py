"""XLSX workbooks: worksheets of premixes, formulas, merged cells, and files that are none."""

from __future__ import annotations

import sys
import zipfile

import pytest
from openpyxl import Workbook

from panellint.core.errors import InputError, PanellintError
from panellint.maker.batch import read_batch
from panellint.maker.sheet.workbook import read_workbook


def book(path, *sheets, change=None):
    made = Workbook()
    made.remove(made.active)
    for title, rows in sheets:
        sheet = made.create_sheet(title)
        for row in rows:
            sheet.append(row)
        if change:
            change(sheet)
    made.save(path)
    return path


PLAIN = ("Batch", [["Ingredient", "kg"], ["Duck", 58], ["Millet", 42.5]])


def test_a_workbook_is_read_by_its_first_table(tmp_path):
    path = book(tmp_path / "a.xlsx", ("Notes", [["Nothing here"]]), PLAIN)
    batch = read_batch(path)
    assert [line.name for line in batch.lines] == ["Duck", "Millet"]
    assert batch.total == 100_500
    assert batch.lines[1].place.sheet == "Batch"


def test_a_worksheet_of_a_premix_is_looked_into(tmp_path):
    rows = [["Ingredient", "kg"], ["Duck", 99], ["Vitamin premix", 1]]
    inner = ("vitamin premix", [["Ingredient", "g"], ["niacin", 3], ["biotin", 1]])
    batch = read_batch(book(tmp_path / "a.xlsx", ("Batch", rows), inner))
    assert [member.name for member in batch.lines[1].members] == ["niacin", "biotin"]


def test_a_formula_counts_with_its_kept_value_and_is_a_fault_without(tmp_path):
    path = book(tmp_path / "a.xlsx", ("Batch", [["Ingredient", "kg"], ["Duck", "=2*29"]]))
    with pytest.raises(InputError) as error:
        read_batch(path)
    fault = error.value.faults[0]
    assert (fault.line, fault.column) == (2, 2)
    assert fault.path.endswith("a.xlsx[Batch]")
    assert "no value kept" in fault.message


def test_floating_noise_of_a_spreadsheet_is_gone(tmp_path):
    rows = [["Ingredient", "%"], ["Duck", 0.1 + 0.2], ["Millet", 99.7]]
    assert read_batch(book(tmp_path / "a.xlsx", ("Batch", rows))).total == 100


def test_merged_names_reach_over_their_rows_and_numbers_do_not(tmp_path):
    rows = [["Ingredient", "kg", "Lot"], ["Duck", 3, "a"], [None, 2, "b"], ["Millet", 5, "c"]]
    path = book(tmp_path / "a.xlsx", ("Batch", rows), change=lambda s: s.merge_cells("A2:A3"))
    batch = read_batch(path)
    assert [(line.name, line.lot) for line in batch.lines] == [
        ("Duck", "a"),
        ("Duck", "b"),
        ("Millet", "c"),
    ]
    assert any("merged" in str(remark) for remark in batch.remarks)


def test_macros_are_passed_over_with_a_remark(tmp_path):
    path = book(tmp_path / "a.xlsm", PLAIN)
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr("xl/vbaProject.bin", b"not run")
    remarks = read_batch(path).remarks
    assert any(
        "macros" in str(remark) and "none of them is run" in str(remark) for remark in remarks
    )


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"Ingredient,kg\nDuck,3\n", "is no XLSX workbook"),
        (b"", "is no XLSX workbook"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1rest", "old XLS workbook or locked"),
    ],
)
def test_what_is_no_workbook(tmp_path, content, says):
    path = tmp_path / "a.xlsx"
    path.write_bytes(content)
    with pytest.raises(InputError, match=says):
        read_workbook(path)


def test_an_archive_of_something_else_is_no_workbook(tmp_path):
    path = tmp_path / "a.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("hello.txt", "hello")
    with pytest.raises(InputError, match="is no XLSX workbook"):
        read_workbook(path)


def test_too_many_rows_are_refused(tmp_path):
    made = Workbook(write_only=True)
    sheet = made.create_sheet("Batch")
    for _ in range(10_001):
        sheet.append(["Duck"])
    made.save(tmp_path / "a.xlsx")
    with pytest.raises(InputError, match=r"more than 10,000 rows"):
        read_workbook(tmp_path / "a.xlsx")


def test_nothing_but_empty_cells(tmp_path):
    with pytest.raises(InputError, match="holds no cells"):
        read_workbook(book(tmp_path / "a.xlsx", ("Batch", [[None]])))


def test_without_the_extra_a_user_is_told_which_one_is_missing(tmp_path, monkeypatch):
    path = book(tmp_path / "a.xlsx", PLAIN)
    monkeypatch.setitem(sys.modules, "openpyxl", None)
    with pytest.raises(PanellintError, match=r"pip install panellint\[sheets\]"):
        read_workbook(path)


def test_a_number_is_itself_among_texts_with_decimal_commas(tmp_path):
    rows = [
        ["Zutat", "kg", "Hinweis"],
        ["Ente", 1.234, ""],
        ["Hirse", "2,5", ""],
        ["Salz", "0,75", ""],
    ]
    batch = read_batch(book(tmp_path / "a.xlsx", ("Batch", rows)))
    assert [line.weight for line in batch.lines] == [1234, 2500, 750]
