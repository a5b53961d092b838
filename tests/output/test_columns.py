"""Plain tables: columns, and paragraphs where the terminal is too narrow for them."""

from hypothesis import given
from hypothesis import strategies as st

from panellint.output.cells import width
from panellint.output.columns import Table, lines, text

TABLE = Table(
    "Guarantees of a label with a title that is longer than the narrowest terminal",
    ("nutrient", "label", "by the tables", ""),
    (
        ("protein", "min 28.5 %", "26.98 to 33.62", "holds"),
        ("fat", "min 9 %", "", "estimate fails"),
    ),
    frozenset({1, 2}),
    ("A note of some length that stands below the table.",),
)


def test_a_table_that_fits_has_columns():
    told = text([TABLE], 80)
    assert "protein   min 28.5 %  26.98 to 33.62  holds" in told
    assert "--------  ----------  --------------  --------------" in told


def test_a_row_is_a_paragraph_where_columns_do_not_fit():
    told = list(lines(TABLE, 40))
    assert "protein; label min 28.5 %; by the tables" in told
    assert "  26.98 to 33.62; holds" in told
    assert "fat; label min 9 %; estimate fails" in told


@given(st.integers(20, 100))
def test_no_line_is_longer_than_the_terminal_and_no_figure_is_lost(columns):
    told = list(lines(TABLE, columns))
    assert all(width(line) <= columns for line in told)
    words = " ".join(told).split()
    for word in ("28.5", "26.98", "33.62", "9", "holds", "fails"):
        assert any(word in one for one in words)
