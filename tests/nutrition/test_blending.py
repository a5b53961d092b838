"""Blends: the closed form against bisection, and laws of mixing."""

from math import inf

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from panellint.core.errors import ImpossibleFigure, MissingFigure, NotComputable
from panellint.nutrition.bases import Analysis, dry_matter
from panellint.nutrition.blending import (
    Amounts,
    amounts,
    blend,
    energy_share_of,
    quantity,
    share_at_energy,
    share_for,
    with_water,
)
from panellint.nutrition.energy import factors, modified_atwater

KIBBLE = Analysis(26, 14, 5, 8, 7, 40)
MEAT = Analysis(19, 10, 0, 69, 1, 1)
WEIGHTS = factors()


@st.composite
def analyses(draw):
    parts = draw(st.lists(st.floats(0.1, 1), min_size=6, max_size=6))
    return Analysis(*(100 * part / sum(parts) for part in parts))


def kcal(food):
    return modified_atwater(food)


def of(food, part, basis):
    return amounts(food, kcal(food), part, basis, WEIGHTS)


BASES = st.sampled_from(["as fed", "dry matter", "per 1000 kcal", "energy share"])
NAMES = st.sampled_from(["protein", "fat", "carbohydrate"])


@given(analyses(), analyses(), NAMES, BASES, st.floats(0.01, 0.99))
def test_the_share_that_meets_a_target_is_the_share_that_made_it(a, b, part, basis, share):
    assume(abs(quantity(of(a, part, basis)) - quantity(of(b, part, basis))) > 0.05)
    mixed = blend([(a, 1 - share), (b, share)])
    target = quantity(of(mixed, part, basis))
    found = share_for(of(a, part, basis), of(b, part, basis), target)
    assert found.possible
    assert found.share == pytest.approx(share, abs=1e-6)
    assert found.per_kg == pytest.approx(share / (1 - share), rel=1e-5)


@given(analyses(), analyses(), NAMES, BASES, st.floats(0, 100))
def test_an_impossible_target_has_its_nearest_and_a_possible_one_is_met(a, b, part, basis, target):
    here, there = of(a, part, basis), of(b, part, basis)
    ends = sorted((quantity(here), quantity(there)))
    found = share_for(here, there, target)
    inside = ends[0] - 1e-9 <= target <= ends[1] + 1e-9
    assert found.possible == inside
    if inside:
        assert found.reached == pytest.approx(target)
    else:
        nearest = min(ends, key=lambda end: abs(end - target))
        assert abs(found.reached - target) == pytest.approx(abs(nearest - target), abs=1e-6)


def test_the_closed_form_by_bisection():
    """Fresh meat to a kibble until carbohydrate gives 25 % of the energy."""
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2
        mixed = blend([(KIBBLE, 1 - middle), (MEAT, middle)])
        if quantity(of(mixed, "carbohydrate", "energy share")) > 25:
            low = middle
        else:
            high = middle
    found = share_for(
        of(KIBBLE, "carbohydrate", "energy share"), of(MEAT, "carbohydrate", "energy share"), 25
    )
    assert found.share == pytest.approx(low, abs=1e-9)


def test_a_target_that_the_base_already_meets_needs_nothing():
    here, there = of(KIBBLE, "protein", "dry matter"), of(MEAT, "protein", "dry matter")
    assert share_for(here, there, 20, "at least").share == 0
    assert share_for(here, there, 30, "at most").share == 0
    assert share_for(here, there, 40, "at least").share > 0
    with pytest.raises(ImpossibleFigure, match="unknown sense"):
        share_for(here, there, 40, "about")


def test_the_added_food_alone():
    here, there = Amounts(10, 1), Amounts(20, 1)
    found = share_for(here, there, 20)
    assert (found.share, found.per_kg, found.possible) == (1.0, inf, True)
    beyond = share_for(here, there, 25)
    assert (beyond.share, beyond.reached, beyond.possible) == (1.0, 20, False)
    away = share_for(here, there, 5)
    assert (away.share, away.reached, away.possible) == (0.0, 10, False)


@given(analyses(), analyses(), st.floats(0, 1))
def test_parts_of_a_blend_make_the_whole(a, b, share):
    mixed = blend([(a, 1 - share), (b, share)])
    assert sum(value for value in mixed.as_dict().values() if value is not None) == pytest.approx(
        100
    )


def test_a_part_that_one_food_lacks_is_unknown_in_the_blend():
    assert blend([(KIBBLE, 1), (Analysis(protein=10), 1)]).fat is None
    assert blend([(KIBBLE, 1), (Analysis(protein=10), 0)]).fat == 14


def test_water_changes_no_dry_matter():
    bowl = with_water(KIBBLE, 1.5)
    assert bowl.moisture == pytest.approx((8 + 150) / 2.5)
    assert bowl.protein is not None
    assert bowl.moisture is not None
    assert dry_matter(bowl.protein, bowl.moisture) == pytest.approx(dry_matter(26, 8))


@given(st.floats(0.1, 99.9), st.floats(300, 6000), st.floats(300, 6000))
def test_share_of_energy_and_share_by_weight_undo_each_other(percent, base, added):
    share = share_at_energy(percent, base, added)
    assert energy_share_of(share, base, added) == pytest.approx(percent)


def test_a_tenth_of_the_energy_of_a_wet_topper_is_a_quarter_of_the_bowl():
    """Derived: at 3500 and 1000 kcal/kg a tenth of the energy is 28 % of the weight."""
    assert share_at_energy(10, 3500, 1000) == pytest.approx(0.28)


@pytest.mark.parametrize(
    ("part", "basis", "error"),
    [
        ("starch", "as fed", ImpossibleFigure),
        ("protein", "per bowl", ImpossibleFigure),
        ("ash", "energy share", ImpossibleFigure),
        ("moisture", "dry matter", ImpossibleFigure),
        ("energy", "energy share", ImpossibleFigure),
    ],
)
def test_a_question_without_meaning_is_refused(part, basis, error):
    with pytest.raises(error):
        of(KIBBLE, part, basis)


def test_what_is_missing_is_said():
    with pytest.raises(MissingFigure, match="fat not given"):
        amounts(Analysis(protein=20), None, "fat", "as fed", WEIGHTS)
    with pytest.raises(MissingFigure, match="energy not given"):
        amounts(KIBBLE, None, "fat", "per 1000 kcal", WEIGHTS)
    with pytest.raises(NotComputable):
        quantity(Amounts(1, 0))
    with pytest.raises(ImpossibleFigure):
        blend([(KIBBLE, -1)])
    with pytest.raises(ImpossibleFigure):
        blend([(KIBBLE, 0)])
