"""Units of contents, against pint."""

import re
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.errors import ImpossibleFigure
from panellint.core.units import (
    ENERGY,
    MASS,
    UNITS,
    VOLUME,
    content_unit,
    convert,
    part_of_whole,
    per_energy,
    spellings_of,
    unit_of,
)
from panellint.nutrition.energy import kcal_per_kg

PINT_UNITS = pint.UnitRegistry()
#: The same units in pint's words.
PINT = {
    "%": "g / (100 g)",
    "g/kg": "g / kg",
    "mg/kg": "mg / kg",
    "ppm": "mg / kg",
    "mg/100 g": "mg / (100 g)",
    "µg/100 g": "microgram / (100 g)",
    "mcg/g": "microgram / g",
    "mg/lb": "mg / lb",
    "g/100 g": "g / (100 g)",
}


#: The table's names where pint has others.
NAMES = {
    "fl oz": "fluid_ounce",
    "l": "liter",
    "µg": "microgram",
    "kJ": "kilojoule",
    "MJ": "megajoule",
}
OWN = {MASS: "gram", VOLUME: "milliliter", ENERGY: "kilocalorie"}


@pytest.mark.parametrize("unit", [unit for unit in UNITS if unit.measure in OWN], ids=str)
def test_sizes_are_those_of_pint(unit):
    # pint's "kilocalorie" is the thermochemical one, 4.184 kJ.
    wanted = PINT_UNITS.Quantity(1, NAMES.get(unit.name, unit.name).replace("kcal", "kilocalorie"))
    assert float(unit.size) == pytest.approx(wanted.to(OWN[unit.measure]).magnitude)


def test_every_spelling_names_one_unit():
    spellings = [spelling for unit in UNITS for spelling in unit.spellings]
    assert len(spellings) == len(set(spellings))
    for unit in UNITS:
        for spelling in unit.spellings:
            assert unit_of(spelling.upper()) in (unit, None)
            assert unit_of(f" {spelling} ") == unit
            assert re.fullmatch(spellings_of(unit.name), spelling)


@pytest.mark.parametrize(
    ("printed", "unit"),
    [
        ("per cent", "%"),
        ("ppm", "mg/kg"),
        ("mcg/kg", "µg/kg"),
        ("μg per kg", "µg/kg"),
        ("I.U. / kg", "IU/kg"),
        ("UI/lb", "IU/lb"),
        ("mg/100 g", "mg/100g"),
        ("Calories per cup", "kcal/cup"),
        ("Million CFU/lb", "million CFU/lb"),
        ("MG", "mg"),
    ],
)
def test_contents_have_one_spelling(printed, unit):
    assert content_unit(printed) == unit


def test_parts_of_the_whole():
    """1 µg/kg is a part in 10^9; what is counted is no part of the weight."""
    assert part_of_whole("mcg/kg") == part_of_whole("µg/kg") == Fraction(1, 10**9)
    assert part_of_whole("%") == part_of_whole("g/100 g") == Fraction(1, 100)
    assert part_of_whole("mg/lb") == Fraction(1, 10**3) / Fraction("453.59237")
    for other in ("IU/kg", "CFU/kg", "kcal/kg", "mg/1000 kcal", "ratio", ""):
        assert part_of_whole(other) is None


@given(st.floats(0, 1e4), st.sampled_from(sorted(PINT)), st.sampled_from(sorted(PINT)))
def test_masses_agree_with_pint(value, unit, to):
    wanted = (value * PINT_UNITS.parse_expression(PINT[unit])).to(
        PINT_UNITS.parse_expression(PINT[to]).units
    ) / PINT_UNITS.parse_expression(PINT[to])
    assert convert(value, unit, to) == pytest.approx(wanted.to("").magnitude)


@given(st.floats(0, 100), st.floats(200, 7000))
def test_amounts_per_1000_kcal_agree_with_pint(value, energy):
    food = value / 100 * PINT_UNITS.kilogram / (energy * PINT_UNITS.kilocalorie)
    wanted = food.to("mg / kilocalorie").magnitude * 1000
    assert per_energy(value, "%", energy, "mg/1000 kcal") == pytest.approx(wanted)


@pytest.mark.parametrize(
    ("value", "unit", "per", "grams", "pint_unit"),
    [
        (3500, "kcal", "kg", None, "kilocalorie / kg"),
        (15.2, "MJ", "kg", None, "megajoule / kg"),
        (1523, "kJ", "100 g", None, "kilojoule / (100 g)"),
        (1600, "kcal", "lb", None, "kilocalorie / lb"),
        (105, "kcal", "oz", None, "kilocalorie / oz"),
        (390, "kcal", "cup", 110, "kilocalorie / (110 g)"),
    ],
)
def test_calorie_figures_agree_with_pint(value, unit, per, grams, pint_unit):
    wanted = (value * PINT_UNITS.parse_expression(pint_unit)).to("kilocalorie / kg").magnitude
    assert kcal_per_kg(value, unit, per, grams) == pytest.approx(wanted)


def test_international_units_stay_what_they_are():
    assert convert(1000, "IU/kg", "IU/100 g") == pytest.approx(100)
    with pytest.raises(ImpossibleFigure, match="cannot be told in"):
        convert(1, "IU/kg", "mg/kg")


@pytest.mark.parametrize("unit", ["", "kg", "spoons/kg", "mg/cup", "/kg", "mg/0.5.1 g"])
def test_an_unknown_unit_is_refused(unit):
    with pytest.raises(ImpossibleFigure, match="unknown unit"):
        convert(1, unit, "%")


def test_an_unknown_unit_of_energy_is_refused_and_no_weight_is_guessed():
    with pytest.raises(ImpossibleFigure, match="unknown unit of energy 'points'"):
        kcal_per_kg(3500, "points", "kg")
    with pytest.raises(ImpossibleFigure, match="no weight is given for one cup"):
        kcal_per_kg(390, "kcal", "cup")


@pytest.mark.parametrize(
    ("per_100_g", "unit", "per_1000", "per_mj"),
    [
        (25.00, "g/100 g", 62.50, 14.94),
        (1.00, "g/100 g", 2.50, 0.60),
        # The last column is rounded from the rounded 3.83, hence a whole unit of the last place.
        (1.53, "g/100 g", 3.83, 0.92),
        (0.34, "g/100 g", 0.85, 0.20),
    ],
)
def test_the_guidelines_own_pairs(per_100_g, unit, per_1000, per_mj):
    """FEDIAF, adult cat at 400 kcal/100 g DM: per 100 g, per 1000 kcal and per MJ, as printed."""
    found = per_energy(per_100_g, unit, 4000, "g/1000 kcal")
    assert found == pytest.approx(per_1000, abs=0.0051)
    assert found / 4.184 == pytest.approx(per_mj, abs=0.01)


def test_the_kitten_tryptophan_maximum_at_another_density():
    """FEDIAF: 20 g/kg at 470 kcal/100 g is 1.7 g/100 g of dry matter at 400 (print)."""
    assert per_energy(20, "g/kg", 4700, "g/1000 kcal") * 0.4 == pytest.approx(1.7, abs=0.005)


@pytest.mark.parametrize(
    ("per_kg", "per_lb"),
    # Limits of light foods in kcal/lb as a veterinary page prints them; it divides by 2.2 lb/kg,
    # hence the 0.3 % that are allowed.
    [(3100, 1409), (2500, 1136), (900, 409), (3250, 1477), (2650, 1205), (950, 432)],
)
def test_energy_limits_per_pound_as_printed(per_kg, per_lb):
    assert kcal_per_kg(per_lb, "kcal", "lb") == pytest.approx(per_kg, rel=0.003)
