"""Printed numbers, and numbers that are none."""

from decimal import Decimal
from fractions import Fraction
from math import inf, nan

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from panellint.cli import cli
from panellint.core.errors import ImpossibleFigure, MissingFigure
from panellint.core.numbers import (
    check_amount,
    check_percent,
    decimal,
    first_decimal,
    need,
    number,
    read_fraction,
    read_number,
)
from panellint.core.source import Source
from panellint.label.reader import read_label

NINES = "9" * 5000


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("3,500", "3500"),
        ("15 000", "15000"),
        ("15\u00a0000", "15000"),
        ("1.250", "1250"),
        ("0,5", "0.5"),
        ("26.0", "26.0"),
        ("3,5", "3.5"),
        (" 12 ", "12"),
    ],
)
def test_numbers_as_countries_print_them(text, value):
    assert read_number(text) == Decimal(value)


@pytest.mark.parametrize("text", ["", "duck", "1,2,3", "-4", "1e5", "1/2", NINES, "9,999" * 9])
def test_what_is_no_number(text):
    assert read_number(text) is None


@pytest.mark.parametrize(
    ("text", "value"),
    [("1 1/2", 1.5), ("½", 0.5), ("2½", 2.5), ("3/4", 0.75), ("1,5", 1.5), ("10", 10)],
)
def test_fractions(text, value):
    assert read_fraction(text) == value


@pytest.mark.parametrize("text", ["1/0", "cup", NINES, f"{NINES}/3", f"{NINES}½"])
def test_what_is_no_fraction(text):
    assert read_fraction(text) is None


@given(st.text(alphabet="0123456789.,/½¼ \u00a0'-e", max_size=60))
def test_reading_never_raises(text):
    for found in (read_number(text), first_decimal(text), read_fraction(text)):
        assert found is None or 0 <= found < 10**19


def test_the_first_number_of_a_range():
    assert first_decimal("4,5-6 %") == Decimal("4.5")
    assert first_decimal("none") is None


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (25.0, "25"),
        (33.33333, "33.3"),
        (1234.56, "1235"),
        (Decimal("26.00"), "26"),
        (Fraction(1, 3), "0.333"),
        (-0.0, "0"),
        (inf, "unlimited"),
        (-inf, "-unlimited"),
        (nan, "unknown"),
        (Fraction(10) ** 5000, "unlimited"),
    ],
)
def test_numbers_for_reading(value, text):
    assert number(value) == text


def test_a_whole_number_is_printed_whole():
    assert number(10**5000) == "1" + "0" * 5000


def test_steps_of_arithmetic_keep_four_places():
    assert decimal(Fraction(100, 11)) == "9.0909"
    assert decimal(-0.00001) == "0"
    assert decimal(Fraction(10) ** 5000) == "unlimited"
    assert decimal(nan) == "unknown"


@pytest.mark.parametrize("value", [inf, -inf, nan, -0.1, 100.1])
def test_what_is_no_percentage_is_refused(value):
    with pytest.raises(ImpossibleFigure, match="protein"):
        check_percent("protein", value)


@pytest.mark.parametrize("value", [inf, nan, 0.0, -1.0])
def test_what_is_no_amount_is_refused(value):
    with pytest.raises(ImpossibleFigure, match="price"):
        check_amount("price", value)


def test_all_that_is_missing_is_named():
    with pytest.raises(MissingFigure, match="protein and crude fibre not given"):
        need(protein=None, fat=1.0, crude_fibre=None)


#: Labels with a figure that no food has.
LABELS = {
    "percent": f"a 1{'0' * 5000}%, b",
    "decimals": f"a 0.{'1' * 5000}%, b",
    "tail": f"Ingredients: duck, rice, less than {NINES} % of: salt, peas",
    "preparation": f"Ingredients: duck, rice\nPreparation: {NINES} parts water",
    "price": f"Ingredients: duck, rice\nPrice: {NINES} EUR for {NINES} x {NINES} kg",
    "guarantee": f"Ingredients: duck, rice\nGuaranteed analysis: Crude protein (min) {NINES} %",
    "calories": f"Ingredients: duck, rice\nCalorie content: {NINES} kcal/kg",
    "additive": f"Composition: duck, rice\nAdditives: vitamin A {NINES} IU",
    "ash": f"Ingredients: duck, rice\nAsh: {NINES} %",
    "name": f"Product name: {NINES} % Duck Dinner\nIngredients: duck, rice",
}
COMMANDS = ("lint", "outline", "shares", "nutrition", "report")


@pytest.mark.parametrize("name", LABELS)
def test_a_figure_without_end_is_a_fault_of_the_text(name):
    label = read_label(Source(LABELS[name]))
    assert "unreadable-figure" in {fault.kind for fault in label.faults}


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("name", LABELS)
def test_no_command_fails_over_a_figure_without_end(name, command, tmp_path):
    path = tmp_path / "long.panel"
    path.write_text(LABELS[name])
    result = CliRunner().invoke(cli, [command, str(path)])
    assert result.exit_code in (0, 1), result.output
    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert result.stdout
