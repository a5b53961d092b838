"""Guarantees in a table that names their bounds above the columns."""

import pytest

from panellint.label.guarantees import read_guarantees
from panellint.label.model import Bound

_EXPECTED = [
    ("protein", Bound.MIN),
    ("fat", Bound.MIN),
    ("fibre", Bound.MAX),
    ("calcium", Bound.MIN),
    ("calcium", Bound.MAX),
]
_TABS = (
    "Min\tMax\nCrude Protein\t24.0%\t\nCrude Fat\t14.0%\t\n"
    "Crude Fiber\t\t4.5%\nCalcium\t1.2%\t1.6%\n"
)
_BARS = """\
| Nutrient | Min. | Max. |
|---|---|---|
| Crude Protein | 24.0% | |
| Crude Fat | 14.0% | |
| Crude Fiber | | 4.5% |
| Calcium | 1.2% | 1.6% |
"""
_BLANKS = """\
                    Min      Max
Crude Protein       24.0%
Crude Fat           14.0%
Crude Fiber                  4.5%
Calcium              1.2%    1.6%
"""


@pytest.mark.parametrize("table", [_TABS, _BARS, _BLANKS], ids=["tabs", "bars", "blanks"])
def test_the_bound_above_a_column_binds_its_figures(table: str) -> None:
    read = [(guarantee.nutrient, guarantee.bound) for guarantee in read_guarantees(table, 0)]
    assert read == _EXPECTED


def test_bounds_beside_the_names_stay_where_no_line_names_columns() -> None:
    text = "Crude Protein (min) 24 %\nCrude Fiber (max) 4 %\n"
    assert [guarantee.bound for guarantee in read_guarantees(text, 0)] == [Bound.MIN, Bound.MAX]
