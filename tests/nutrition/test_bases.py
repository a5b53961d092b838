"""Bases: published conversions, and laws that hold for every food."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.errors import (
    ContradictoryFigures,
    ImpossibleFigure,
    MissingFigure,
    NotComputable,
)
from panellint.nutrition.bases import (
    Analysis,
    as_fed,
    carbohydrate_by_difference,
    dry_matter,
    on_dry_matter,
    on_energy,
    per_1000_kcal,
)

UNITS = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("parts", "printed", "source"),
    [
        # AAFCO methods text, example B1, canned cat food: ME of 1120 kcal/kg needs 6 %.
        ((9, 7, 1, 75, 2), 6, "AAFCO methods, 2014 text, example B1 (NFE recomputed)"),
        ((22, 9, 3, 10, 5), 51, "Small Animal Clinical Nutrition, 5th ed., box 1-6 table 3"),
        ((27, 14, 2, 10, 6), 41, "veterinary teaching handout, modified Atwater formula"),
    ],
)
def test_carbohydrate_by_difference_as_printed(parts, printed, source):
    assert carbohydrate_by_difference(*parts) == pytest.approx(printed, abs=1e-9), source


@pytest.mark.parametrize(
    ("value", "moisture", "printed", "tolerance", "source"),
    [
        (9, 75, 36, 1e-9, "AAFCO methods, 2014 text, example B1: protein"),
        (7, 75, 28, 1e-9, "AAFCO methods, 2014 text, example B1: fat"),
        (0.25, 75, 1.0, 1e-9, "AAFCO methods, 2014 text, example B1: calcium"),
        (0.2, 75, 0.8, 1e-9, "AAFCO methods, 2014 text, example B1: phosphorus"),
        (1120, 75, 4480, 1e-9, "AAFCO methods, 2014 text, example B1: kcal/kg"),
        (8, 75, 32, 1e-9, "FDA, Pet Food Labels - General (second-hand quotation): canned"),
        (27, 10, 30, 1e-9, "FDA, Pet Food Labels - General (second-hand quotation): dry"),
        # The table truncates some figures and rounds others, hence a whole point.
        (26, 12, 29, 1, "Zoo Animal Learning and Training, table 7.2: dry, protein"),
        (16, 12, 18, 1, "Zoo Animal Learning and Training, table 7.2: dry, fat"),
        (3, 12, 3, 1, "Zoo Animal Learning and Training, table 7.2: dry, fibre"),
        (8, 78, 36, 1, "Zoo Animal Learning and Training, table 7.2: canned, protein"),
        (7, 78, 31, 1, "Zoo Animal Learning and Training, table 7.2: canned, fat"),
        (1.5, 78, 7, 1, "Zoo Animal Learning and Training, table 7.2: canned, fibre"),
    ],
)
def test_dry_matter_as_printed(value, moisture, printed, tolerance, source):
    assert dry_matter(value, moisture) == pytest.approx(printed, abs=tolerance), source


def test_the_shortcut_factors_of_the_handouts():
    """Multiply by 4 at 75 % moisture and by 1.1 at 10 % (FDA, extension handouts)."""
    assert dry_matter(1, 75) == pytest.approx(4)
    assert dry_matter(1, 10) == pytest.approx(1.1, abs=0.02)


def test_moist_foods_at_two_moistures():
    """22 % more nutrients at 78 % than at 82 % moisture (SACN, 5th ed., ch. 8, p. 159)."""
    gained = as_fed(dry_matter(10, 82), 78) / 10 - 1
    assert round(gained * 100) == 22


def test_per_1000_kcal_of_the_canned_cat_food():
    """Derived from AAFCO example B1: 9, 7, 0.25 and 0.2 % at 1120 kcal/kg."""
    found = [per_1000_kcal(value, 1120) for value in (9, 7, 0.25, 0.2)]
    assert found == pytest.approx([80.36, 62.5, 2.23, 1.79], abs=0.005)


@given(st.floats(0.01, 60), st.floats(0, 95), st.floats(300, 7000))
def test_conversions_agree_with_pint(value, moisture, kcal_per_kg):
    kilogram, gram = UNITS.kilogram, UNITS.gram
    food = 1 * kilogram
    held = value / 100 * food
    dry = food * (1 - moisture / 100)
    energy = kcal_per_kg * UNITS.kilocalorie
    assert dry_matter(value, moisture) == pytest.approx((held / dry).to("percent").magnitude)
    wanted = (held / energy).to(gram / UNITS.kilocalorie).magnitude * 1000
    assert per_1000_kcal(value, kcal_per_kg) == pytest.approx(wanted)


@given(st.floats(0, 100), st.floats(0, 99.9))
def test_dry_matter_and_as_fed_undo_each_other(value, moisture):
    assert as_fed(dry_matter(value, moisture), moisture) == pytest.approx(value)


@given(st.lists(st.floats(0, 100), min_size=5, max_size=5))
def test_six_parts_make_the_whole_or_none_is_made_up(parts):
    if sum(parts) <= 100:
        assert sum(parts) + carbohydrate_by_difference(*parts) == pytest.approx(100)
    elif sum(parts) > 100.001:
        with pytest.raises(ContradictoryFigures) as caught:
            carbohydrate_by_difference(*parts)
        assert caught.value.excess == pytest.approx(sum(parts) - 100)


def test_a_missing_part_is_named():
    with pytest.raises(MissingFigure, match="fibre and moisture not given") as caught:
        carbohydrate_by_difference(26, 14, None, None, 7)
    assert caught.value.names == ("fibre", "moisture")


@pytest.mark.parametrize("wrong", [-0.1, 100.1, float("nan"), float("inf")])
def test_what_is_no_percentage_is_refused(wrong):
    with pytest.raises(ImpossibleFigure, match="moisture"):
        dry_matter(10, wrong)
    with pytest.raises(ImpossibleFigure, match="protein"):
        Analysis(protein=wrong)


def test_a_food_that_is_all_water_has_no_dry_matter():
    with pytest.raises(ImpossibleFigure, match="no dry matter"):
        dry_matter(10, 100)


@pytest.mark.parametrize("kcal", [0, -5, float("nan")])
def test_a_food_without_energy_has_no_amount_per_1000_kcal(kcal):
    with pytest.raises(NotComputable):
        per_1000_kcal(10, kcal)


def test_unknown_parts_stay_unknown_on_every_basis():
    food = Analysis(protein=26, moisture=8)
    assert on_dry_matter(food)["fat"] is None
    assert on_energy(food, 3500)["ash"] is None
    assert on_energy(food, 3500)["protein"] == pytest.approx(74.29, abs=0.005)
    with pytest.raises(MissingFigure):
        on_dry_matter(Analysis(protein=26))
