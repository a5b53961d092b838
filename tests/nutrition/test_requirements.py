"""Daily energy and cost: the printed examples of textbook and guidelines."""

import pytest

from panellint.core.errors import ImpossibleFigure
from panellint.nutrition.energy import daily_energy, ways_of_life

FEDIAF_VII_12 = "FEDIAF guidelines 2018/2019, table VII-12"


@pytest.mark.parametrize(
    ("species", "kilograms", "life", "factor", "printed", "tolerance"),
    [
        ("cat", 4, "active", 100, 253, 0.5),
        # Printed 189: cut and not rounded.
        ("cat", 4, "adult", 75, 189, 1.0),
        ("dog", 15, "adult", 110, 838, 0.5),
        ("dog", 15, "low-activity", 95, 724, 0.5),
    ],
)
def test_daily_energy_as_printed(species, kilograms, life, factor, printed, tolerance):
    need = daily_energy(species, kilograms, life)
    assert need.kcal == pytest.approx(printed, abs=tolerance), FEDIAF_VII_12
    assert need.formula.startswith(str(factor))


@pytest.mark.parametrize(
    ("need", "grams", "printed", "tolerance"),
    [
        (4.75, 63.3, 7.5, 0.05),
        (4.75, 47.5, 10.0, 0.05),
        (15, 209.6, 7.2, 0.06),
        (15, 181.0, 8.34, 0.06),
    ],
)
def test_a_daily_need_told_per_100_g(need, grams, printed, tolerance):
    """FEDIAF 2018/2019, table VII-12, zinc; the dog's prints agree within 0.06 only."""
    assert need / grams * 100 == pytest.approx(printed, abs=tolerance)


def test_ranges_hold_the_usual_figure():
    for species in ("dog", "cat"):
        for life in ways_of_life(species):
            need = daily_energy(species, 6.0, life)
            assert need.range.low <= need.kcal <= need.range.high
            assert need.source


def test_gestation_adds_by_the_kilogram():
    assert daily_energy("dog", 10, "gestation").kcal == pytest.approx(132 * 10**0.75 + 260)


@pytest.mark.parametrize("weight", [0, -4, float("nan"), float("inf")])
def test_a_weight_that_is_none_is_refused(weight):
    with pytest.raises(ImpossibleFigure):
        daily_energy("dog", weight)


def test_an_unknown_animal_is_refused_with_the_choices():
    with pytest.raises(ImpossibleFigure, match="there are adult"):
        daily_energy("cat", 4, "astronaut")
    with pytest.raises(ImpossibleFigure, match="nothing for that species"):
        daily_energy("ferret", 1)
