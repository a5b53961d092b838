"""CSV files as grids, numbers as sheets write them, and what may be written back."""

from __future__ import annotations

import os
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.errors import InputError
from panellint.maker.sheet.cells import FORMULA_MARKS, csv_text, most, read_csv, written
from panellint.maker.sheet.quantities import decimal_mark, read_number, two_readings
from panellint.maker.sheet.read import grids_of


def rows(text: str | bytes) -> list[tuple[int, tuple[str, ...]]]:
    content = text if isinstance(text, bytes) else text.encode()
    return list(read_csv("sheet.csv", content).rows)


@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
def test_the_delimiter_is_found(mark):
    text = f"Ingredient{mark}kg\nDuck{mark}3\nMillet{mark}2\n"
    assert rows(text)[1] == (2, ("Duck", "3"))
    assert read_csv("x.csv", text.encode()).delimiter == mark


def test_semicolons_go_before_decimal_commas():
    assert rows("Zutat;Menge kg\nEnte;3,5\nHirse;2,25\n")[1] == (2, ("Ente", "3,5"))


def test_a_declared_delimiter_is_no_row_and_rows_keep_their_numbers():
    found = rows("sep=;\nIngredient;kg\n\nDuck;3\n")
    assert found == [(2, ("Ingredient", "kg")), (4, ("Duck", "3"))]


def test_a_row_over_two_lines_counts_from_its_first():
    found = rows('Ingredient,kg\n"Duck,\nwhole",3\nMillet,2\n')
    assert found[1:] == [(2, ("Duck, whole", "3")), (4, ("Millet", "2"))]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_encodings_of_spreadsheets(encoding):
    assert rows("Zutat;kg\nHühnchen;1\n".encode(encoding))[1] == (2, ("Hühnchen", "1"))


def test_two_hundred_thousand_rows_are_refused_with_the_limit():
    text = "Ingredient,kg\n" + "Duck,1\n" * 200_000
    with pytest.raises(InputError) as error:
        rows(text)
    assert f"more than {most('rows'):,} rows" in str(error.value)


def test_a_huge_file_is_refused_before_it_is_read(tmp_path):
    path = tmp_path / "a.csv"
    with path.open("wb") as file:
        file.truncate(30_000_000)
    with pytest.raises(InputError, match="larger than 20,000,000 bytes"):
        read_csv(path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no pipes in folders here")
@pytest.mark.parametrize("name", ["a.csv", "a.xlsx", "a.ods"])
def test_a_pipe_is_refused_and_not_waited_for(tmp_path, name):
    os.mkfifo(tmp_path / name)
    with pytest.raises(InputError, match="no regular file"):
        grids_of(tmp_path / name)


def test_a_quotation_mark_that_is_never_closed_is_told_at_its_row():
    with pytest.raises(InputError) as error:
        rows('Ingredient,kg\nBeef,3\n"Rice,2\nSalt,1\n')
    assert (error.value.faults[0].line, error.value.faults[0].message) == (
        3,
        "a quotation mark is never closed",
    )


def test_more_columns_than_any_table_has_are_refused():
    with pytest.raises(InputError, match="more than 200 columns"):
        rows("Ingredient,kg" + ",x" * 300 + "\nDuck,1\n")


def test_binary_rubbish_is_refused():
    with pytest.raises(InputError, match="not text"):
        rows(b"PK\x03\x04\x00\x00\x00")


@pytest.mark.parametrize(
    ("text", "comma", "value", "unit"),
    [
        ("12,5", True, "12.5", ""),
        ("1.234,5 kg", True, "1234.5", "kg"),
        ("1,234.5", False, "1234.5", ""),
        ("1 234,5", True, "1234.5", ""),
        ("26 %", False, "26", "%"),
        (".5 g", False, "0.5", "g"),
        ("1e-05", False, "0.00001", ""),
        ("-3", False, "-3", ""),
        ("12.5", True, "12.5", ""),
        ("12,5 kg", False, "12.5", "kg"),
        ("1.234", True, "1234", ""),
        ("1,234", False, "1234", ""),
    ],
)
def test_numbers(text, comma, value, unit):
    assert read_number(text, comma) == (Fraction(value), unit)


@pytest.mark.parametrize("text", ["", "duck", "=A1*2", "1.2.3.4x", "12 13,5,4 a b", "--3"])
def test_what_is_no_number(text):
    assert read_number(text, False) is None or text == "12 13,5,4 a b"


@pytest.mark.parametrize(
    ("texts", "mark", "expected"),
    [
        (["0,5", "12,25"], ";", ","),
        (["0.5", "12.25"], ";", "."),
        (["1,234", "2,500"], ",", "."),
        (["1,234", "2,500"], ";", ""),
        (["1,234", "2.5"], ";", "."),
        (["1.234,5"], ";", ","),
        (["1.234.567"], ";", ","),
        (["3", "4"], ";", ""),
        (["Duck", "0,05 kg"], ",", ","),
        (["0,5", "0.5"], ";", ""),
        (["12.5", "1.250"], "", ""),
        (["12.5", "0,5"], "", ","),
    ],
)
def test_the_decimal_mark_is_told_by_numbers_that_can_be_read_one_way(texts, mark, expected):
    assert decimal_mark(texts, mark) == expected


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("1.250", ("1.25", "1250")),
        ("1,250 kg", ("1.25", "1250")),
        ("0.250", None),
        ("1.2500", None),
        ("1.250.000", None),
        ("1250", None),
    ],
)
def test_three_digits_behind_one_mark_can_be_read_two_ways(text, readings):
    assert two_readings(text) == (readings and tuple(map(Fraction, readings)))


@given(
    st.lists(st.lists(st.text(st.characters(codec="utf-8"), max_size=8), min_size=1), max_size=5)
)
def test_no_cell_is_ever_written_as_a_formula(table):
    import csv
    import io

    for row in csv.reader(io.StringIO(csv_text(table), newline="")):
        assert not any(cell.startswith(FORMULA_MARKS) for cell in row)


def test_a_formula_is_written_as_text_and_a_word_as_it_is():
    assert written("=2*3") == "'=2*3"
    assert written("@duck") == "'@duck"
    assert written("duck") == "duck"
    assert csv_text([["\r@duck", "two\nlines"]]) == "'@duck,two lines\n"


@pytest.mark.parametrize("text", ["9" * 5000, f"{'9' * 5000} kg", f"0,{'1' * 5000}"])
def test_digits_without_end_are_no_number(text):
    assert read_number(text, comma=True) is None
