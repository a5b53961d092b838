"""CSV files as grids, numbers as sheets write them, and what may be written back."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.errors import InputError
from panellint.maker.sheet.cells import FORMULA_MARKS, csv_text, most_rows, read_csv, written
from panellint.maker.sheet.numbers import decimal_comma, read_number


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
    assert f"more than {most_rows():,} rows" in str(error.value)


def test_a_huge_file_is_refused_before_it_is_read(tmp_path):
    path = tmp_path / "a.csv"
    with path.open("wb") as file:
        file.truncate(30_000_000)
    with pytest.raises(InputError, match="is larger than 20,000,000 bytes"):
        read_csv(path)


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
        (["0,5", "12,25"], ";", True),
        (["0.5", "12.25"], ";", False),
        (["1,234", "2,500"], ",", False),
        (["1,234", "2,500"], ";", True),
        (["1.234,5"], ";", True),
        (["3", "4"], ";", False),
        (["Duck", "0,05 kg"], ",", True),
    ],
)
def test_decimal_commas_are_told_from_thousands(texts, mark, expected):
    assert decimal_comma(texts, mark) is expected


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
