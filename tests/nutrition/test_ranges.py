"""Ranges: exact over all foods in a box, against an LP solver and against drawn foods."""

import pytest
import swiglpk as glpk
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from panellint.catalogue.model import Range
from panellint.core.errors import ContradictoryFigures, ImpossibleFigure
from panellint.nutrition.bases import PARTS
from panellint.nutrition.bounds import ContentBounds, box
from panellint.nutrition.mixture import check_box, content_range, energy_range, extremes
from panellint.nutrition.targets import DRY_MATTER, ENERGY_SHARE, PER_1000_KCAL

ATWATER = {"protein": 3.5, "fat": 8.5, "carbohydrate": 3.5}
DRY = dict.fromkeys([part for part in PARTS if part != "moisture"], 1.0)


@st.composite
def foods(draw):
    """Six parts that make the whole, and a box around them."""
    weights = draw(st.lists(st.floats(0.01, 1), min_size=6, max_size=6))
    food = [100 * weight / sum(weights) for weight in weights]
    wide = st.one_of(st.just(0.0), st.floats(0, 60))
    around = [Range(max(0.0, value - draw(wide)), min(100.0, value + draw(wide))) for value in food]
    return dict(zip(PARTS, food, strict=True)), dict(zip(PARTS, around, strict=True))


def lp(bounds, over, under, sense):
    """The extreme of over . x / under . x by GLPK, in the cone x = t y (Charnes-Cooper)."""
    glpk.glp_term_out(glpk.GLP_OFF)
    problem = glpk.glp_create_prob()
    glpk.glp_set_obj_dir(problem, glpk.GLP_MAX if sense == "max" else glpk.GLP_MIN)
    n = len(PARTS)
    glpk.glp_add_cols(problem, n + 1)
    for column, part in enumerate(PARTS, 1):
        glpk.glp_set_col_bnds(problem, column, glpk.GLP_LO, 0.0, 0.0)
        glpk.glp_set_obj_coef(problem, column, over.get(part, 0.0))
    glpk.glp_set_col_bnds(problem, n + 1, glpk.GLP_LO, 0.0, 0.0)
    rows = [
        ({**dict.fromkeys(range(1, n + 1), 1.0), n + 1: -100.0}, glpk.GLP_FX, 0.0),
        ({i: under.get(p, 0.0) for i, p in enumerate(PARTS, 1)}, glpk.GLP_FX, 1.0),
    ]
    for i, part in enumerate(PARTS, 1):
        rows.append(({i: 1.0, n + 1: -bounds[part].low}, glpk.GLP_LO, 0.0))
        rows.append(({i: 1.0, n + 1: -bounds[part].high}, glpk.GLP_UP, 0.0))
    glpk.glp_add_rows(problem, len(rows))
    for number, (coefficients, kind, value) in enumerate(rows, 1):
        index, data = glpk.intArray(n + 2), glpk.doubleArray(n + 2)
        for k, (column, coefficient) in enumerate(coefficients.items(), 1):
            index[k], data[k] = column, coefficient
        glpk.glp_set_mat_row(problem, number, len(coefficients), index, data)
        glpk.glp_set_row_bnds(problem, number, kind, value, value)
    options = glpk.glp_smcp()
    glpk.glp_init_smcp(options)
    assert glpk.glp_simplex(problem, options) == 0
    assert glpk.glp_get_status(problem) == glpk.GLP_OPT
    found = glpk.glp_get_obj_val(problem)
    glpk.glp_delete_prob(problem)
    return found


@settings(max_examples=60)
@given(foods(), st.sampled_from(["protein", "fat", "carbohydrate"]))
def test_ranges_are_those_of_an_lp_solver(drawn, part):
    _, bounds = drawn
    for over, under, found in [
        ({part: 100.0}, DRY, content_range(bounds, part, DRY_MATTER)),
        ({part: 1000.0}, ATWATER, content_range(bounds, part, PER_1000_KCAL)),
        ({part: 100.0 * ATWATER[part]}, ATWATER, content_range(bounds, part, ENERGY_SHARE)),
    ]:
        assert found.low == pytest.approx(lp(bounds, over, under, "min"), rel=1e-6, abs=1e-6)
        assert found.high == pytest.approx(lp(bounds, over, under, "max"), rel=1e-6, abs=1e-6)


@given(foods())
def test_the_food_itself_lies_in_every_range(drawn):
    food, bounds = drawn
    energy = sum(weight * food[part] for part, weight in ATWATER.items())
    slack = 1e-6
    for part in ("protein", "fat", "carbohydrate"):
        for value, (low, high) in [
            (food[part], content_range(bounds, part)),
            (food[part] / (100 - food["moisture"]) * 100, content_range(bounds, part, DRY_MATTER)),
            (food[part] / energy * 1000, content_range(bounds, part, PER_1000_KCAL)),
            (100 * ATWATER[part] * food[part] / energy, content_range(bounds, part, ENERGY_SHARE)),
            (10 * energy, energy_range(bounds)),
        ]:
            assert low * (1 - 1e-9) - slack <= value <= high * (1 + 1e-9) + slack


def test_a_us_guarantee_leaves_carbohydrate_wide():
    """26, 14, 5 and 8 %, ash unsaid: from nothing to 100 - 26 - 14."""
    bounds = box(
        {
            "protein": ContentBounds(low=26),
            "fat": ContentBounds(low=14),
            "fibre": ContentBounds(high=5),
            "moisture": ContentBounds(high=8),
        },
        "us",
    )
    assert content_range(bounds, "carbohydrate") == pytest.approx((0, 60))


def test_declared_values_leave_it_narrower():
    """Derived from Annex IV: 26, 15, 2.5, 7 and 8 %."""
    bounds = box(
        {
            "protein": ContentBounds.value(26),
            "fat": ContentBounds.value(15),
            "fibre": ContentBounds.value(2.5),
            "ash": ContentBounds.value(7),
            "moisture": ContentBounds.value(8),
        },
        "eu",
    )
    low = 100 - 29 - 19 - 4.25 - 8 - 9
    high = 100 - 23 - 13 - 0.75 - 5 - 0
    assert content_range(bounds, "carbohydrate") == pytest.approx((low, high))


def test_bounds_that_no_food_fits_are_refused():
    wide = dict.fromkeys(PARTS, Range(0, 100))
    with pytest.raises(ContradictoryFigures, match="at least 110 % together") as caught:
        check_box({**wide, "protein": Range(60, 100), "fat": Range(50, 100)})
    assert caught.value.excess == pytest.approx(10)
    assert caught.value.names == ("protein", "fat")
    with pytest.raises(ContradictoryFigures, match="at most 60 % together"):
        check_box(dict.fromkeys(PARTS, Range(0, 10)))


def test_a_ratio_without_a_divisor_is_refused_and_an_unbounded_one_is_infinite():
    only_water = {**dict.fromkeys(PARTS, Range(0, 0)), "moisture": Range(100, 100)}
    with pytest.raises(ImpossibleFigure, match="divide"):
        content_range(only_water, "protein", DRY_MATTER)
    ash_or_fat = {**dict.fromkeys(PARTS, Range(0, 0)), "ash": Range(0, 100), "fat": Range(0, 100)}
    assert content_range(ash_or_fat, "ash", PER_1000_KCAL).high == float("inf")


@given(foods(), foods())
def test_a_wider_box_never_narrows_a_range(one, other):
    bounds = one[1]
    wider = {
        part: Range(min(a.low, b.low), max(a.high, b.high))
        for (part, a), b in zip(bounds.items(), other[1].values(), strict=True)
    }
    assume(bounds != wider)
    narrow, wide = (extremes(b, ATWATER, DRY) for b in (bounds, wider))
    assert wide.low <= narrow.low + 1e-9
    assert wide.high >= narrow.high - 1e-9
