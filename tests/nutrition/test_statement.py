"""Statements: a food's figures on all bases, beside sums done by hand, and what is refused."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.catalogue.model import Range
from panellint.core.errors import ImpossibleFigure
from panellint.nutrition.assessment import Assessment
from panellint.nutrition.bounds import ContentBounds
from panellint.nutrition.forms import form_of
from panellint.nutrition.serialize import to_dict
from panellint.nutrition.statement import NutritionInput

VALUE = ContentBounds.value


def MIN(value: float, unit: str = "%") -> ContentBounds:
    return ContentBounds(low=value, unit=unit)


def MAX(value: float, unit: str = "%") -> ContentBounds:
    return ContentBounds(high=value, unit=unit)


DUCK = {"protein": MIN(26), "fat": MIN(14), "fibre": MAX(5), "moisture": MAX(8)}


def duck(**more):
    facts = {"species": "dog", "stages": ("maintenance",), **more}
    printed = facts.pop("printed", DUCK)
    return NutritionInput(printed, form_of(stated="freeze-dried", moisture=8), **facts)


def judged(statement, nutrient, side="minimum"):
    return next(
        j for j in statement.adequacy.judgements if (j.nutrient, j.side) == (nutrient, side)
    )


def test_a_freeze_dried_food_by_hand():
    """26 + 14 + 5 + 8 + 7 (ash taken) = 60, so 40 % carbohydrate; 910 + 1190 + 1400 = 3500."""
    found = to_dict(Assessment(duck()))
    assert found["ash_assumed"]
    assert found["bases"]["as_fed"] == {
        "protein": 26.0, "fat": 14.0, "fibre": 5.0, "moisture": 8.0, "ash": 7.0,
        "carbohydrate": 40.0,
    }  # fmt: skip
    assert found["energy"]["kcal_per_kg"] == 3500.0
    assert found["energy"]["method"] == "modified Atwater"
    assert found["bases"]["dry_matter"]["protein"] == pytest.approx(26 / 0.92, abs=1e-4)
    assert found["bases"]["per_1000_kcal"]["fat"] == 40.0
    assert found["energy"]["shares"] == {"protein": 26.0, "fat": 34.0, "carbohydrate": 40.0}


def test_ranges_of_the_same_food_by_hand():
    """Guarantees: 0 to 100 - 26 - 14, since ash is not said.

    By practice: protein up to 26 x 1.12, fat up to 14 x 1.2, fibre down to 2, moisture to 5, and
    the usual ash of the form, 4 to 11 %.
    """
    found = to_dict(Assessment(duck()))["ranges"]["carbohydrate"]
    least = 100 - 29.12 - 16.8 - 5 - 8 - 11
    assert found == [
        {"low": 0.0, "high": 60.0, "rests_on": ["guarantees"]},
        {"low": pytest.approx(least), "high": 49.0, "rests_on": ["guarantees", "practice"]},
    ]


def test_the_canned_cat_food_of_the_aafco_example():
    """AAFCO methods, 2014 text, example B1: OK, OK, Low, Low after both corrections."""
    printed = {
        "protein": MIN(9), "fat": MIN(7), "fibre": MAX(1), "moisture": MAX(75), "ash": MAX(2),
        "calcium": MIN(0.25), "phosphorus": MIN(0.2),
    }  # fmt: skip
    food = Assessment(
        NutritionInput(printed, form_of(stated="canned"), species="cat", stages=("growth",))
    )
    assert food.energy is not None
    assert food.energy.kcal_per_kg == pytest.approx(1120)
    assert food.adequacy is not None
    assert food.adequacy.density == pytest.approx(4480)
    verdicts = [judged(food, n).verdict for n in ("protein", "fat", "calcium", "phosphorus")]
    assert verdicts == ["meets", "meets", "misses", "misses"]
    assert food.calcium_phosphorus is not None
    assert food.calcium_phosphorus.value == pytest.approx(1.25)


def test_an_eu_kibble_goes_by_the_four_steps():
    """Derived: 26, 15, 2.5, 7, 8 %; 3829.87 kcal/kg by the four steps, 3637.5 by Atwater."""
    printed = {
        "protein": VALUE(26), "fat": VALUE(15), "fibre": VALUE(2.5), "ash": VALUE(7),
        "moisture": VALUE(8),
    }  # fmt: skip
    food = Assessment(NutritionInput(printed, form_of(stated="kibble"), "eu", "dog", complete=True))
    assert food.energy is not None
    assert food.energy.method == "nrc-2006"
    assert food.energy.kcal_per_kg == pytest.approx(3829.872, abs=0.001)
    assert food.energy.by_method["modified-atwater"] == pytest.approx(3637.5)
    # A complete food that names no stage is one for all (FEDIAF 3.1): early growth, 62.5 g.
    assert food.adequacy is not None
    assert food.adequacy.profile.stage == "all life stages"
    assert judged(food, "protein").limit == 62.5
    assert judged(food, "protein").value == pytest.approx(67.89, abs=0.005)


def test_an_eu_raw_food_goes_by_the_factors_for_natural_products():
    printed = {
        "protein": VALUE(15), "fat": VALUE(12), "fibre": VALUE(0.5), "ash": VALUE(3),
        "moisture": VALUE(68),
    }  # fmt: skip
    food = Assessment(NutritionInput(printed, form_of(stated="frozen raw"), "eu", "cat"))
    assert food.energy is not None
    assert food.energy.kcal_per_kg == pytest.approx(10 * (4 * 15 + 8.5 * 12 + 4 * 1.5))


def test_moisture_that_the_eu_lets_go_unsaid():
    """Regulation (EC) 767/2009, Annex I, point 6: no line needed up to 14 %."""
    printed = {"protein": VALUE(26), "fat": VALUE(15), "fibre": VALUE(2.5), "ash": VALUE(7)}
    food = Assessment(NutritionInput(printed, form_of(stated="kibble"), "eu", "dog"))
    assert food.assumed == ("moisture",)
    assert food.analysis.moisture == 10
    assert food.boxes[0][0]["moisture"] == Range(0, 14)


def test_the_label_s_own_energy_beside_the_computed():
    food = Assessment(duck(kcal_per_kg=3850, kcal_method="calculated"))
    assert food.energy is not None
    label = food.energy.label
    assert label is not None
    assert (label.difference, label.difference_percent) == (350, 10)
    assert label.possible
    # Below 910 + 1190 kcal no food with so much protein and fat is possible.
    assert Assessment(duck(kcal_per_kg=2000)).energy.label.possible is False


def test_guarantees_of_a_moist_food_understate_its_energy():
    """A teaching handout multiplies by 1.2 where the figures of a moist food are minima."""
    printed = {"protein": MIN(9), "fat": MIN(5), "fibre": MAX(1), "moisture": MAX(78)}
    minima = to_dict(Assessment(NutritionInput(printed, form_of(stated="canned"), species="dog")))[
        "energy"
    ]
    # 35 x 9 + 85 x 5 + 35 x 4.5 = 897.5
    assert minima["kcal_per_kg"] == 897.5
    assert minima["from_minima"] == {"kcal_per_kg": 1077.0, "factor": 1.2, "practice": True}
    declared = {part: VALUE(bounds.point) for part, bounds in printed.items()}
    values = to_dict(Assessment(NutritionInput(declared, form_of(stated="canned"), species="dog")))[
        "energy"
    ]
    assert values["from_minima"] is None


def test_the_bowl_of_a_food_with_water():
    """1.5 of water to 1: 8 % moisture becomes 158 / 2.5 = 63.2 %, and 3500 kcal/kg 1400."""
    found = to_dict(Assessment(duck(water=1.5)))["prepared"]
    assert found["as_fed"]["moisture"] == pytest.approx(63.2)
    assert found["as_fed"]["protein"] == pytest.approx(10.4)
    assert found["kcal_per_kg"] == 1400.0
    none = Assessment(duck(water=0))
    assert none.prepared is None
    assert none.refused[0].what == "prepared food"


def test_carbohydrate_beside_practice_and_research_without_a_promise():
    found = to_dict(Assessment(duck()))["carbohydrate"]
    assert found["target"]["practice"] is True
    assert (found["target"]["low"], found["target"]["high"]) == (12, 15)
    assert found["target"]["of_energy"] == found["target"]["of_dry_matter"] == "above"
    assert all(study["source"] for study in found["research"])
    assert "no essential nutrient" in found["requirement"]


@pytest.mark.parametrize("part", ["protein", "fat", "fibre"])
def test_a_missing_guarantee_is_named_and_no_number_is_made_up(part):
    printed = {name: bounds for name, bounds in DUCK.items() if name != part}
    found = to_dict(Assessment(duck(printed=printed)))
    assert found["bases"]["as_fed"]["carbohydrate"] is None
    assert found["energy"] is None
    assert found["not_computed"][0] == {
        "what": "carbohydrate",
        "because": f"{part} not given",
        "names": [part],
    }
    assert found["ranges"]["carbohydrate"][0]["low"] == 0


def test_nothing_known_of_form_and_moisture_leaves_the_bases_open():
    printed = {"protein": MIN(26), "fat": MIN(14), "fibre": MAX(5)}
    found = to_dict(Assessment(NutritionInput(printed, form_of(), species="dog")))
    assert found["bases"]["dry_matter"]["protein"] is None
    assert "moisture and ash not given" in found["not_computed"][0]["because"]


def test_guarantees_that_no_food_can_meet():
    printed = {"protein": MIN(60), "fat": MIN(45), "fibre": MAX(5), "moisture": MAX(8)}
    found = Assessment(duck(printed=printed))
    assert found.refused[0].what == "guarantees"
    assert "at least 105 % together" in found.refused[0].because
    assert found.energy is None
    assert found.adequacy is None
    assert found.boxes == ()


def test_points_that_pass_the_whole_are_bounds_and_said_to_be():
    """12 + 9 + 1 + 78 + 2.5 = 102.5: maxima cannot all be reached, so nothing is left."""
    printed = {"protein": MIN(12), "fat": MIN(9), "fibre": MAX(1), "moisture": MAX(78)}
    food = Assessment(NutritionInput(printed, form_of(stated="canned"), species="cat"))
    assert food.analysis.carbohydrate == 0
    assert any("add up to 102.5 %" in note for note in food.notes)
    assert food.boxes[0][0]["carbohydrate"].high == 100


def test_a_food_of_water_alone():
    printed = {
        "protein": MIN(0), "fat": MIN(0), "fibre": MAX(0), "moisture": MAX(100), "ash": MAX(0),
    }  # fmt: skip
    found = to_dict(Assessment(NutritionInput(printed, form_of(stated="liquid"), species="dog")))
    assert found["energy"] is None
    assert found["bases"]["dry_matter"]["protein"] is None
    assert found["bases"]["per_1000_kcal"]["protein"] is None


def test_the_modernised_us_box():
    """Total dietary fibre for crude fibre; total carbohydrate counts the fibre in."""
    printed = {
        "protein": MIN(26), "fat": MIN(14), "dietary-fibre": MAX(9), "moisture": MAX(8),
        "carbohydrate": MAX(48),
    }  # fmt: skip
    food = Assessment(duck(printed=printed))
    assert food.analysis.carbohydrate == pytest.approx(100 - 26 - 14 - 9 - 8 - 7)
    assert food.boxes[0][0]["carbohydrate"].high == 48
    assert any("dietary fibre" in note for note in food.notes)


def test_figures_far_from_any_food_give_no_carbohydrate():
    """26 + 14 + 5 + 63 + 7 = 115: swapped lines perhaps, and nothing is made up for them."""
    food = Assessment(duck(printed={**DUCK, "moisture": MAX(63)}))
    assert food.analysis.carbohydrate is None
    assert food.energy is None
    assert "add up to 115 %" in food.refused[0].because


def test_moisture_that_a_moist_food_should_have_said():
    """Regulation (EC) 767/2009, Annex I, point 6, is for dry foods; a pouch holds more."""
    printed = {"protein": VALUE(9), "fat": VALUE(4), "fibre": VALUE(0.3), "ash": VALUE(2)}
    pouch = Assessment(NutritionInput(printed, form_of(stated="pouch"), "eu", "cat"))
    assert pouch.analysis.moisture == 78
    assert pouch.boxes[0][0]["moisture"] == Range(0, 100)
    unsaid = Assessment(NutritionInput(printed, form_of(), "eu", "cat"))
    assert unsaid.analysis.moisture == 10
    assert unsaid.boxes[0][0]["moisture"] == Range(0, 14)


def test_a_food_that_is_not_complete_is_not_held_to_the_profile():
    found = Assessment(duck(complete=False))
    assert found.adequacy is None
    assert "whole day's ration" in found.refused[-1].because


def test_a_feeding_trial_needs_no_profile_and_that_is_said():
    """AAFCO methods, 2014 text, doc page 3."""
    found = Assessment(duck(trial=True)).adequacy
    assert found is not None
    assert "feeding trials" in found.notes[-1]


def test_no_profile_without_species_or_stage():
    for facts, words in (
        (duck(species=None), "no species is stated"),
        (duck(stages=()), "no life stage is stated"),
    ):
        found = Assessment(facts)
        assert found.adequacy is None
        assert words in [refused.because for refused in found.refused]


def test_an_energy_that_is_no_amount_never_gets_in():
    with pytest.raises(ImpossibleFigure):
        duck(kcal_per_kg=0)


def test_ranges_found_elsewhere_stand_beside_the_others():
    more = {"carbohydrate": [(Range(33, 41.5), ("guarantees", "order", "composition"))]}
    found = to_dict(Assessment(duck()), more)["ranges"]["carbohydrate"]
    assert found[-1] == {
        "low": 33,
        "high": 41.5,
        "rests_on": ["guarantees", "order", "composition"],
    }


@given(
    st.dictionaries(
        st.sampled_from(["protein", "fat", "fibre", "moisture", "ash", "calcium", "phosphorus"]),
        st.builds(
            lambda value, kind: kind(value), st.floats(0, 100), st.sampled_from([MIN, MAX, VALUE])
        ),
    ),
    st.sampled_from(["us", "eu", "uk", "ca"]),
    st.sampled_from(["dog", "cat", None]),
    st.sampled_from(["kibble", "canned", "frozen", "", "liquid"]),
    st.sampled_from([(), ("growth",), ("maintenance",), ("all life stages",)]),
)
def test_whatever_is_printed_ends_in_plain_data(printed, market, species, form, stages):
    food = Assessment(NutritionInput(printed, form_of(stated=form), market, species, stages))
    found = to_dict(food)
    assert json.loads(json.dumps(found, allow_nan=False)) == found
    point = food.analysis.carbohydrate
    if point is not None and "ash" not in food.assumed and "moisture" not in food.assumed:
        low, high = (found["ranges"]["carbohydrate"][0][end] for end in ("low", "high"))
        assert low - 1e-3 <= point <= high + 1e-3
