"""Tolerances: Annex IV in its bands, the US tables, and what stands behind them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.errors import ImpossibleFigure
from panellint.nutrition.bounds import tolerance, tolerance_source, undeclared_at_most

#: Derived from Regulation (EC) 767/2009, Annex IV, Part A (consolidated 2018-12-26).
ANNEX_IV = [
    ("protein", 8.5, 6.5, 10.5),
    ("protein", 20, 17.5, 22.5),
    ("protein", 26, 23, 29),
    ("fat", 5.5, 3.5, 9.5),
    ("fat", 15, 13, 19),
    ("fat", 18, 15.75, 22.5),
    ("ash", 7, 5, 8),
    ("ash", 8.5, 6.375, 9.5625),
    ("fibre", 2.5, 0.75, 4.25),
    ("fibre", 12, 9.9, 14.1),
    ("moisture", 8, 0, 9),
    ("moisture", 78, 0, 84.24),
    ("calcium", 1.2, 0.84, 1.92),
    ("phosphorus", 0.9, 0.6, 1.2),
    ("sodium", 0.3, 0, 0.9),
    ("energy", 380, 361, 418),
]


def accepted(market, nutrient, declared):
    """The contents that a declared value accepts, each way within the tolerance."""
    below, above = tolerance(market, nutrient, declared)
    low = 0.0 if below is None else max(0.0, declared - below)
    return low, float("inf") if above is None else declared + above


@pytest.mark.parametrize("market", ["eu", "uk"])
@pytest.mark.parametrize(("nutrient", "declared", "low", "high"), ANNEX_IV)
def test_annex_iv(market, nutrient, declared, low, high):
    assert accepted(market, nutrient, declared) == pytest.approx((low, high))


@pytest.mark.parametrize(
    "nutrient", ["protein", "fat", "ash", "fibre", "sugars", "starch", "calcium", "phosphorus"]
)
@pytest.mark.parametrize("edge", [1, 2, 5, 8, 10, 12.5, 16, 20, 24, 32])
def test_bands_of_annex_iv_join_without_a_step(nutrient, edge):
    before, after = tolerance("eu", nutrient, edge - 1e-9), tolerance("eu", nutrient, edge + 1e-9)
    assert before == pytest.approx(after, abs=1e-6)


def test_moisture_has_no_limit_below():
    assert tolerance("eu", "moisture", 10) == (None, pytest.approx(1))
    # 2 % x 20 % = 0.4; 5 x 20 % = 1; 12.5 x 8 % = 1.
    assert tolerance("eu", "moisture", 2).above == pytest.approx(0.4)
    assert tolerance("eu", "moisture", 12.5).above == pytest.approx(1)


def test_us_takes_the_wider_of_its_tables():
    """Nevada 587.620: 0.8 at 21 % protein; the variations (from memory): 20/X + 2 % = 0.62."""
    assert tolerance("us", "protein", 21).below == pytest.approx(0.8)
    # 30/X + 6 % of 4 % fibre is 0.54, against 0.5.
    assert tolerance("us", "fibre", 4).above == pytest.approx(0.54)
    # 10 % of 14 % fat against 0.5.
    assert tolerance("us", "fat", 14).below == pytest.approx(1.4)


def test_a_market_without_tables_takes_the_widest_of_all():
    for market in ("ca", "elsewhere"):
        wide = tolerance(market, "protein", 26)
        for other in ("us", "eu"):
            assert wide.below >= tolerance(other, "protein", 26).below


def test_what_no_table_holds_is_unlimited_both_ways():
    assert tolerance("eu", "zinc", 120) == (None, None)
    assert tolerance_source("eu", "zinc") == ""


def test_the_source_says_what_is_from_memory():
    assert "767/2009" in tolerance_source("eu", "protein")
    assert "from memory" not in tolerance_source("eu", "protein")
    assert "from memory" in tolerance_source("us", "protein")


def test_moisture_may_go_unsaid_up_to_fourteen_percent_in_the_eu():
    """Regulation (EC) 767/2009, Annex I, point 6."""
    assert undeclared_at_most("eu", "moisture") == 14
    assert undeclared_at_most("us", "moisture") is None


@given(
    st.sampled_from(["us", "eu", "uk", "ca"]),
    st.sampled_from(["protein", "fat", "fibre", "moisture", "ash"]),
    st.floats(0, 100),
)
def test_a_tolerance_never_excludes_the_printed_figure(market, nutrient, declared):
    low, high = accepted(market, nutrient, declared)
    assert 0 <= low <= declared <= high


@pytest.mark.parametrize("wrong", [-1, float("nan")])
def test_a_figure_below_nothing_is_refused(wrong):
    with pytest.raises(ImpossibleFigure):
        tolerance("eu", "protein", wrong)
