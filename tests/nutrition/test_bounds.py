"""Printed bounds and what they leave."""

import pytest

from panellint.catalogue.model import Range
from panellint.core.errors import ContradictoryFigures, ImpossibleFigure
from panellint.nutrition.bounds import ContentBounds, box, left_open


def test_a_bound_knows_what_it_is():
    assert ContentBounds(low=26).bound == "min"
    assert ContentBounds(high=5).bound == "max"
    assert ContentBounds.value(7).bound == "declared"
    assert ContentBounds(1.0, 1.4).bound == "min and max"
    assert ContentBounds(1.0, 1.4).point == pytest.approx(1.2)
    assert ContentBounds().point is None


def test_a_least_above_a_most_is_refused():
    with pytest.raises(ContradictoryFigures, match="minimum of 30 % is above the maximum of 28 %"):
        ContentBounds(30, 28)


@pytest.mark.parametrize("wrong", [-1, 101, float("nan")])
def test_what_is_no_percentage_is_refused(wrong):
    with pytest.raises(ImpossibleFigure):
        ContentBounds(low=wrong)


def test_other_units_may_pass_a_hundred_and_never_go_below_nothing():
    assert ContentBounds(low=5000, unit="IU/kg").point == 5000
    with pytest.raises(ImpossibleFigure, match="-5 mg/kg"):
        ContentBounds(low=-5, unit="mg/kg")


def test_what_a_printed_figure_leaves_open():
    """A guarantee is taken at its word; a declared value has Annex IV's 3 points either way."""
    assert left_open(ContentBounds(low=26), "us", "protein") == (26, 100)
    assert left_open(ContentBounds(high=8), "us", "moisture") == (0, 8)
    assert left_open(ContentBounds(1.0, 1.4), "us", "calcium") == (1.0, 1.4)
    assert left_open(ContentBounds.value(26), "eu", "protein") == pytest.approx((23, 29))
    assert left_open(ContentBounds.value(8), "eu", "moisture") == pytest.approx((0, 9))
    assert left_open(None, "us", "ash") == (0, 100)
    assert left_open(ContentBounds(low=5000, unit="IU/kg"), "us", "vitamin-a") == (
        5000,
        float("inf"),
    )
    # No table holds zinc in the EU, so a declared value proves nothing.
    assert left_open(ContentBounds.value(120, "mg/kg"), "eu", "zinc") == (0, float("inf"))


def test_a_box_takes_what_stands_in_only_where_nothing_is_printed():
    printed = {"protein": ContentBounds(low=26), "ash": ContentBounds(high=8)}
    found = box(printed, "us", Range(0, 14))
    assert found["ash"] == (0, 8)
    assert found["moisture"] == (0, 14)
    assert found["carbohydrate"] == (0, 100)
