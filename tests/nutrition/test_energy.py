"""Energy: published examples, and the four-step equation derived twice."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.errors import ImpossibleFigure, MissingFigure
from panellint.core.units import kilocalories
from panellint.nutrition.bases import Analysis
from panellint.nutrition.energy import (
    by_factors,
    energy_of,
    energy_shares,
    factors,
    fibre_beyond_equation,
    four_steps,
    modified_atwater,
)

#: Derived from the equations as printed (FEDIAF, annex 7.2); no published example of the
#: four steps is known. protein, fat, fibre, ash, moisture, carbohydrate, then kcal per 100 g:
#: four steps, modified Atwater, natural products.
DERIVED = {
    "dog dry": ("dog", 26, 15, 2.5, 7, 8, 41.5, 382.9872, 363.75, 405.0),
    "dog wet": ("dog", 8.5, 5.5, 0.5, 2, 78, 5.5, 100.8776, 95.75, 105.5),
    "cat dry": ("cat", 32, 14, 3, 7.5, 7, 36.5, 380.2092, 358.75, 393.0),
    "cat wet": ("cat", 10, 5, 0.4, 2, 81, 1.6, 88.8451, 83.1, 88.9),
    "dog high fibre": ("dog", 22, 8, 8, 6.5, 9, 46.5, 310.5445, 307.75, 346.0),
}


def food(protein=None, fat=None, carbohydrate=None, fibre=None, moisture=None):
    """A food of the parts that energy is worked out from, percent as fed."""
    return Analysis(protein, fat, fibre, moisture, carbohydrate=carbohydrate)


@pytest.mark.parametrize(
    ("parts", "printed", "tolerance", "source"),
    [
        ((9, 7, 6), 1120, 1e-9, "AAFCO methods, 2014 text, example B1"),
        # The print sums rounded parts (3.33) in its note and 3.32 in the table.
        ((22, 9, 51), 3320, 10, "Small Animal Clinical Nutrition, 5th ed., box 1-6 table 3"),
        ((27, 14, 41), 3570, 1e-9, "veterinary teaching handout, modified Atwater formula"),
    ],
)
def test_modified_atwater_as_printed(parts, printed, tolerance, source):
    assert modified_atwater(food(*parts)) == pytest.approx(printed, abs=tolerance), source


def test_modified_atwater_in_kilojoules_as_printed():
    """13.89 kJ/g (SACN, 5th ed., box 1-6 table 3, with 14.64 and 35.56 kJ/g)."""
    assert modified_atwater(food(22, 9, 51)) / kilocalories(1, "kJ") / 1000 == pytest.approx(
        13.89, abs=0.005
    )
    assert 3.5 / kilocalories(1, "kJ") == pytest.approx(14.64, abs=0.005)
    assert 8.5 / kilocalories(1, "kJ") == pytest.approx(35.56, abs=0.005)


def test_where_the_factors_come_from():
    """Digestibility 80, 90, 85 % (Kallfelz 1989) of gross energies (from memory)."""
    protein, fat, rest = (5.65 - 1.25) * 0.80, 9.4 * 0.90, 4.15 * 0.85
    assert (round(protein, 1), round(fat, 1), round(rest, 1)) == (3.5, 8.5, 3.5)


@pytest.mark.parametrize("name", DERIVED)
def test_the_derived_foods(name):
    species, protein, fat, fibre, ash, moisture, rest, four, atwater, natural = DERIVED[name]
    assert protein + fat + fibre + ash + moisture + rest == pytest.approx(100)
    assert energy_of(
        food(protein, fat, rest, fibre, moisture), "nrc-2006", species
    ) == pytest.approx(10 * four, abs=0.001)
    assert modified_atwater(food(protein, fat, rest)) == pytest.approx(10 * atwater)
    found = by_factors(factors("natural-products", species), food(protein, fat, rest))
    assert found == pytest.approx(10 * natural)


def test_four_steps_of_the_dry_dog_food():
    """Derived: the food of SACN box 1-6, step by step (kcal/kg)."""
    steps = four_steps("dog", food(22, 9, 51, 3, 10))
    assert steps == pytest.approx((4314, 86.43, 3728.7, 3500), abs=0.5)
    cat = four_steps("cat", food(9, 7, 6, 1, 75))
    assert cat == pytest.approx((1458, 84.38, 1230.3, 1161), abs=0.5)


#: A second derivation: the guidelines print every coefficient in kilojoules too.
KILOJOULES = {"dog": (91.2, 1.43, 4.35), "cat": (87.9, 0.88, 3.22)}


@given(
    st.sampled_from(["dog", "cat"]),
    st.floats(5, 45),
    st.floats(2, 25),
    st.floats(0, 9),
    st.floats(0, 15),
    st.floats(4, 85),
)
def test_four_steps_agree_with_the_kilojoule_form(species, protein, fat, fibre, rest, moisture):
    """Printed side by side in FEDIAF, annex 7.2: the two forms agree within their rounding."""
    at_no_fibre, per_fibre, urine = KILOJOULES[species]
    gross = 23.85 * protein + 39.33 * fat + 17.15 * (rest + fibre)
    digestible = gross * (at_no_fibre - per_fibre * fibre / (1 - moisture / 100)) / 100
    wanted = 10 * (digestible - urine * protein)
    if wanted <= 50:
        return
    found = energy_of(
        food(protein, fat, rest, fibre, moisture), "nrc-2006", species
    ) / kilocalories(1, "kJ")
    assert found == pytest.approx(wanted, rel=0.002, abs=1)


def test_energy_shares_add_up():
    """Derived from the food of SACN box 1-2 table 4: 23.2, 23.0 and 53.8 %."""
    shares = energy_shares(food(22, 9, 51))
    assert shares == pytest.approx((23.2, 23.0, 53.8), abs=0.05)
    assert sum(shares) == pytest.approx(100)


@given(st.floats(0.1, 40), st.floats(0, 40), st.floats(0, 20))
def test_shares_never_depend_on_the_water(protein, fat, rest):
    dry = energy_shares(food(protein, fat, rest))
    wet = energy_shares(food(protein / 4, fat / 4, rest / 4))
    assert dry == pytest.approx(wet)


def test_energy_of_picks_the_method():
    whole = Analysis(26, 15, 2.5, 8, 7, 41.5)
    assert energy_of(whole, "modified-atwater") == pytest.approx(3637.5)
    assert energy_of(whole, "nrc-2006", "dog") == pytest.approx(3829.872, abs=0.01)
    assert energy_of(whole, "natural-products", "cat") == pytest.approx(3975)


def test_no_energy_is_made_up():
    with pytest.raises(MissingFigure, match="carbohydrate"):
        modified_atwater(food(26, 14))
    with pytest.raises(ImpossibleFigure, match="species"):
        energy_of(food(26, 14, 40, 5, 8), "nrc-2006", "ferret")
    with pytest.raises(ImpossibleFigure, match="no dry matter"):
        energy_of(food(0, 0, 0, 0, 100), "nrc-2006", "dog")
    with pytest.raises(ImpossibleFigure):
        energy_shares(food(0, 0, 0))


def test_fibre_where_the_equation_reads_low():
    assert fibre_beyond_equation(food(fibre=8, moisture=9))
    assert not fibre_beyond_equation(food(fibre=2.5, moisture=8))
