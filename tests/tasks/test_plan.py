"""A day's bowl: energy by the published equations, parts, measures, cost, directions, warnings."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from panellint import api
from panellint.cli import cli
from panellint.core.errors import PanellintError
from panellint.label.feeding import Amount, read_directions

KIBBLE = """Product name: Quillbrook Larder Kibble for Adult Dogs
Species: dog
Ingredients: chicken, barley, peas
Crude protein (min) 26 %
Crude fat (min) 14 %
Crude fiber (max) 4 %
Moisture (max) 10 %
Calorie content (calculated): 3,600 kcal/kg, 360 kcal per cup
Nutritional adequacy: Quillbrook Larder Kibble is formulated to meet the nutritional levels
  established by the AAFCO Dog Food Nutrient Profiles for maintenance.
Feeding directions: 10 kg 2 cups, 30 kg 4 cups a day.
Net weight: 2 kg
Price: $18
"""
CAN = """Product name: Quillbrook Larder Stew
Species: dog
Ingredients: beef, water
Crude protein (min) 9 %
Crude fat (min) 5 %
Crude fiber (max) 1 %
Moisture (max) 78 %
Calorie content (calculated): 1,000 kcal/kg, 400 kcal per can
Nutritional adequacy: Quillbrook Larder Stew is formulated to meet the nutritional levels
  established by the AAFCO Dog Food Nutrient Profiles for maintenance.
Net weight: 400 g
Price: $2
"""
TOPPER = """Product name: Quillbrook Larder Topper
Species: dog
Ingredients: pumpkin, onion powder
Crude protein (min) 2 %
Crude fat (min) 1 %
Crude fiber (max) 2 %
Moisture (max) 88 %
Calorie content (calculated): 600 kcal/kg, 160 kcal per cup
"""


def planned(*labels: str, weight: float = 20.0, **more):
    named = [api.Label(text, f"{at}.panel") for at, text in enumerate(labels)]
    return api.plan(named, weight, **more)


def test_one_food_by_hand():
    """110 x 20^0.75 = 1040.3 kcal (FEDIAF table VII-6); 2.89 cups; 289 g; 9 dollars a kg."""
    data = planned(KIBBLE)
    (food,) = data["foods"]
    assert data["animal"]["kcal_per_day"] == pytest.approx(1040.3, abs=0.1)
    assert food["grams"] == pytest.approx(1040.3 / 3.6, abs=0.1)
    assert [one["words"] for one in food["measures"]] == ["3 cups", "289 g"]
    assert data["costs"] == [
        {"per_day": pytest.approx(2.601, abs=1e-3), "per_month": pytest.approx(78.02, abs=0.01),
         "currency": "USD"}
    ]  # fmt: skip
    assert data["cost_of_all"]
    assert "Energy is the labels' own throughout." in data["notes"]
    unprinted = KIBBLE.replace(
        "Calorie content (calculated): 3,600 kcal/kg, 360 kcal per cup\n", ""
    )
    assert "Energy is the labels' own throughout." not in planned(unprinted)["notes"]


def test_the_label_s_own_directions_are_set_against_the_need():
    """20 kg stands half way between 10 kg (2 cups) and 30 kg (4 cups): 3 cups, 1080 kcal."""
    given = planned(KIBBLE)["foods"][0]["directions"]
    assert given["low_kcal"] == pytest.approx(1080)
    assert given["low_percent"] == pytest.approx(100 * (1080 / 1040.3 - 1), abs=0.05)
    beyond = planned(KIBBLE, weight=40)["foods"][0]["directions"]
    assert beyond["low_kcal"] is None
    assert beyond["words"].startswith("10 kg 2 cups")


def test_half_and_half_is_of_the_energy_behind_a_spoon_of_topper():
    data = planned(KIBBLE, CAN, TOPPER, parts=["half", "half", "1 tablespoon"])
    kibble, can, topper = data["foods"]
    assert topper["kcal"] == pytest.approx(10)
    assert kibble["kcal"] == can["kcal"] == pytest.approx((1040.3 - 10) / 2, abs=0.05)
    assert can["measures"][0]["words"] == "1 1/4 cans"
    assert topper["measures"][0]["words"] == "1 tablespoon"
    assert not data["cost_of_all"]
    assert data["given_percent"] == pytest.approx(100)


def test_the_bowl_is_the_blend_of_its_foods():
    """Protein: 144.5 g of kibble at 26 % and 520.1 g of stew at 9 %."""
    data = planned(KIBBLE, CAN)
    protein = (144.5 * 26 + 520.15 * 9) / (144.5 + 520.15)
    assert data["bases"]["as_fed"]["protein"] == pytest.approx(protein, abs=0.01)
    assert data["bases"]["per_1000_kcal"]["protein"] == pytest.approx(
        10 * protein * data["grams"] / data["kcal"] , abs=0.01
    )  # fmt: skip


def test_what_is_not_complete_and_what_can_harm_is_said():
    watch = " ".join(planned(KIBBLE, TOPPER)["watch"])
    assert "50.0 % of the energy comes from food that is not complete" in watch
    assert "Whether Quillbrook Larder Topper is a complete food is not said" in watch
    assert "onion powder in Quillbrook Larder Topper may by its dose harm dogs" in watch
    cat = " ".join(planned(KIBBLE, species="cat", weight=4)["watch"])
    assert "made for dogs, not for cats" in cat
    puppy = " ".join(planned(KIBBLE, life="puppy-to-half", weight=5)["watch"])
    assert "is for maintenance; this animal is growing" in puppy


def test_fixed_amounts_alone_say_how_much_of_the_need_they_are():
    data = planned(KIBBLE, parts=["1 cup"])
    assert data["given_percent"] == pytest.approx(34.6, abs=0.1)
    assert "These amounts give 35 % of the energy of the day." in data["watch"]


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        (["half"], "1 parts for 2 foods"),
        (["half", "30 %"], "name a food for the rest"),
        (["80 %", "half"], "come to 130 %"),
        (["a bit", "rest"], "is no part of a bowl"),
        (["1 tin", "1 pouch"], "does not say what a can holds"),
        (["9 cups", "rest"], "give all the energy"),
    ],
)
def test_parts_that_cannot_be_are_refused(parts, words):
    with pytest.raises(PanellintError, match=words):
        planned(KIBBLE, CAN, parts=parts)


def test_to_lose_weight_goes_by_the_resting_need_of_the_target():
    """70 x 18^0.75 = 611.7 kcal for a dog; 0.8 of it for a cat of 4 kg: 158.4."""
    dog = planned(KIBBLE, aim="lose", target_weight=18.0)
    assert dog["animal"]["kcal_per_day"] == pytest.approx(611.7, abs=0.1)
    assert dog["animal"]["confirmed"]
    assert any("veterinarian" in words for words in dog["watch"])
    cat = planned(KIBBLE, weight=5, species="cat", aim="lose", target_weight=4.0)
    assert cat["animal"]["kcal_per_day"] == pytest.approx(158.4, abs=0.1)
    assert any("not seen at its source" in words for words in cat["notes"])
    with pytest.raises(PanellintError, match="target-weight"):
        planned(KIBBLE, aim="lose")
    with pytest.raises(PanellintError, match="not to lose"):
        planned(KIBBLE, aim="lose", target_weight=25.0)


def test_a_neutered_dog_needs_less_than_one_that_is_not():
    """1.6 and 1.8 times the resting need of 70 x 20^0.75 = 662 kcal."""
    for life, times in (("neutered", 1.6), ("intact", 1.8)):
        kcal = planned(KIBBLE, life=life)["animal"]["kcal_per_day"]
        assert kcal == pytest.approx(times * 662.0, abs=0.3)


@pytest.mark.parametrize(
    ("text", "kilograms", "amount"),
    [
        ("10 lb 1 cup, 30 lb 2 cups, 60 lb 3 1/2 cups.", 9.0718474, Amount(1.5, 1.5, "cup")),
        ("1 can per 10 lb of body weight a day.", 4.5359237, Amount(1, 1, "can")),
        ("Feed 2 to 3 percent of body weight a day.", 10, Amount(200, 300, "g")),
        ("Adult dogs, cups per day: 10 kg 3/4; 20 kg 1 1/2", 10, Amount(0.75, 0.75, "cup")),
        ("2 to 3 trays a day for a 4 kg cat.", 4, Amount(2, 3, "tray")),
        ("5 kg 95 g, 15 kg 210 g", 10, Amount(152.5, 152.5, "g")),
        ("5 kg 95 g, 15 kg 210 g", 16, None),
    ],
)
def test_directions_are_read(text, kilograms, amount):
    found = read_directions(text).amount(kilograms)
    assert (found and found.unit) == (amount and amount.unit)
    if amount:
        assert found[:2] == pytest.approx(amount[:2])


def test_directions_that_name_no_weight_are_not_read():
    assert read_directions("Serve with love, morning and night.") is None


def run(*arguments: str):
    return CliRunner().invoke(cli, list(arguments))


def test_pounds_are_a_weight_and_the_page_says_the_plan(tmp_path):
    (tmp_path / "a.panel").write_text(KIBBLE)
    done = run("plan", str(tmp_path / "a.panel"), "--body-weight", "44lb")
    assert done.exit_code == 0, done.output
    assert "3 cups" in done.stdout
    assert "4 % more than the need here" in done.stdout
    assert "This costs 2.60 USD a day and 77.91 USD a month." in done.stdout
    assert run("plan", str(tmp_path / "a.panel")).exit_code == 2
    wrong = run("plan", str(tmp_path / "a.panel"), "--body-weight", "heavy")
    assert wrong.exit_code == 2
    assert "no body weight" in wrong.output


def test_a_blend_has_measures_cost_and_warns_of_what_is_not_said_to_be_complete(tmp_path):
    (tmp_path / "a.panel").write_text(KIBBLE)
    (tmp_path / "b.panel").write_text(TOPPER)
    paths = [str(tmp_path / name) for name in ("a.panel", "b.panel")]
    target = ("--target", "carbohydrate >= 45 % of the energy", "--body-weight", "20")
    done = run("blend", *paths, *target, "--format", "json")
    data = json.loads(done.stdout)
    day = data["per_day"]
    assert day["measures"][0].endswith(" g)")
    assert "cup" in day["measures"][1]
    assert day["costs"][0]["per_day"] == pytest.approx(day["base_grams"] * 0.009, abs=1e-3)
    assert day["without_price"] == ["Quillbrook Larder Topper"]
    assert data["completeness"]["over"]
    assert "not complete; that is more than the customary 10 %" in " ".join(data["words"])


def test_even_parts_that_nobody_asked_for_are_named():
    labels = [api.Label(KIBBLE), api.Label(CAN)]
    note = "No part was given: each food gives the same energy. `--part` sets others."
    assert note in api.plan(labels, 20.0)["notes"]
    assert note not in api.plan(labels, 20.0, parts=["half", "rest"])["notes"]
