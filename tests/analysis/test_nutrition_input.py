"""From a label to the facts of the arithmetic."""

import pytest

from panellint import api
from panellint.analysis.context import LabelContext
from panellint.analysis.nutrition_input import cost_of, facts_of, ranges_by_shares, statement_of
from panellint.core.source import Source
from panellint.nutrition.mixture import content_range
from panellint.report.kinds import document
from panellint.rulepacks.settings import Settings

LABEL = """Product name: Quillbrook Larder Beef Dinner for Dogs
Species: dog
Form: dehydrated
Ingredients: Beef, barley, carrots.
Guaranteed analysis: crude protein (min) 32%, crude fat (min) 15%, crude fiber (max) 3.5%, moisture (max) 8%
Calorie content (calculated): 3,690 kcal/kg; 369 kcal/cup
"""  # noqa: E501


def context(more: str = "", text: str = LABEL) -> LabelContext:
    return LabelContext.of(Source(more + text, "dinner.panel"), Settings())


def unread(found: LabelContext) -> list[tuple[str, str]]:
    return [(one.what, one.because) for one in facts_of(found).unread]


def test_parts_by_weight():
    facts = facts_of(context("Preparation: 1 part food, 1.5 parts warm water by weight\n"))
    assert (facts.water, facts.remarks) == (1.5, ())


def test_parts_that_do_not_say_of_what_are_taken_by_weight_and_that_is_told():
    found = context("Preparation: 1 part food, 2 parts water\n")
    assert facts_of(found).water == 2
    assert "parts of food and water are taken by weight, which is not said" in (
        statement_of(found).notes
    )


def test_a_cup_of_food_weighs_what_the_calorie_line_makes_of_it():
    # 369 kcal a cup of 3690 kcal/kg are 100 g; 1 1/2 cups of water are 354.88 g.
    facts = facts_of(context("Preparation: 1 cup food, 1 1/2 cups water\n"))
    assert facts.water == pytest.approx(1.5 * 236.5882365 / 100)


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        ("Add warm water", "how much water goes to how much food is not said"),
        ("1 scoop food, 2 scoops water", "measured by volume"),
        ("1 tablespoon food, 2 tablespoons water", "the weight of one tablespoon"),
    ],
)
def test_a_preparation_that_does_not_tell_makes_up_no_number(words, reason):
    found = context(f"Preparation: {words}\n")
    assert facts_of(found).water is None
    [(what, why)] = unread(found)
    assert what == "prepared food"
    assert reason in why
    assert statement_of(found).prepared is None


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("Moisture (max) 120%", "more than the whole"),
        ("Calcium (min) 800 IU/kg", "cannot be told in"),
        ("Crude fat (max) 10%", "above the maximum"),
    ],
)
def test_lines_that_give_no_figure_reach_the_user(line, why):
    text = LABEL.replace("moisture (max) 8%", f"moisture (max) 8%\n{line}")
    if "Moisture" in line:
        text = LABEL.replace("moisture (max) 8%", line)
    found = statement_of(context(text=text))
    assert any(why in one.because for one in found.refused), found.refused


def test_calories_in_units_of_no_weight_are_told():
    text = LABEL.replace("3,690 kcal/kg; 369 kcal/cup", "369 kcal/cup")
    assert ("the label's calories", "no weight is given for one cup") in unread(context(text=text))


def test_a_trial_is_a_trial():
    text = LABEL + (
        "Nutritional adequacy: Animal feeding tests using AAFCO procedures substantiate that Beef "
        "Dinner provides complete and balanced nutrition for maintenance.\n"
    )
    facts = facts_of(context(text=text))
    assert (facts.trial, facts.complete) == (True, True)


def test_price_and_weight():
    cost = cost_of(context("Price: $24.99\n", LABEL + "Net weight: 3 lb (1.36 kg)\n"))
    assert (cost.price, cost.currency, cost.kilograms) == (24.99, "USD", 1.36)
    assert cost_of(context("Price: 18 EUR per kg\n")).kilograms == 1
    assert cost_of(context("Price: free\n")).price is None
    assert cost_of(context()) == (None, "", None)


def test_shares_narrow_what_the_guarantees_leave():
    text = """Species: dog
Form: kibble
Ingredients: chicken meal, brown rice, chicken fat, peas.
Guaranteed analysis: crude protein (min) 26%, crude fat (min) 14%, crude fiber (max) 4%, moisture (max) 10%
"""  # noqa: E501
    found = context(text=text)
    statement = statement_of(found)
    wide = content_range(statement.boxes[0][0], "carbohydrate")
    for span, rests_on in ranges_by_shares(found, statement)["carbohydrate"][:1]:
        assert wide.low <= span.low <= span.high <= wide.high
        assert span.high - span.low < wide.high - wide.low - 0.05
        assert {"guarantees", "order", "composition"} <= set(rests_on)


def test_no_list_no_ranges_by_shares():
    text = LABEL.replace("Ingredients: Beef, barley, carrots.\n", "")
    found = context(text=text)
    assert ranges_by_shares(found, statement_of(found)) == {}


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("3,690 units/kg", "no figure of energy can be read"),
        ("-3,690 kcal/kg", "energy of -3690 is not an amount"),
        ("369 kcal/scoop", "no weight is given for one scoop"),
    ],
)
def test_calories_that_cannot_be_used_are_told_and_give_no_number(line: str, reason: str):
    found = context(text=LABEL.replace("3,690 kcal/kg; 369 kcal/cup", line))
    assert facts_of(found).kcal_per_kg is None
    assert ("the label's calories", reason) in unread(found)


def test_ash_is_taken_by_what_is_declared() -> None:
    """Rabbit with its bone, dried, is no food of 7 % ash; what is printed leaves cod skin 4 %."""
    rabbit = api.nutrition(
        "Form: dehydrated\nIngredients: rabbit with ground bone, rabbit liver\nCrude protein (min) "
        "50%\nCrude fat (min) 15%\nCrude fiber (max) 1%\nMoisture (max) 8%\n"
    )["bases"]["as_fed"]
    assert rabbit["ash"] > 12
    whole = api.nutrition(
        "Form: freeze-dried\nIngredients: rabbit with ground bone, rabbit liver, pumpkin, taurine\n"
        "Crude protein (min) 48%\nCrude fat (min) 28%\nCrude fiber (max) 2%\nMoisture (max) 5%\n"
    )["bases"]["as_fed"]
    assert whole["ash"] == pytest.approx(13.1, abs=0.2)
    assert whole["carbohydrate"] < 5
    cod = api.nutrition(
        "Form: dehydrated\nIngredients: cod skin\nCrude protein (min) 80%\nCrude fat (min) 3%\n"
        "Crude fiber (max) 1%\nMoisture (max) 12%\n"
    )["bases"]["as_fed"]
    assert sum(cod.values()) == 100
    kibble = api.nutrition(
        "Form: kibble\nIngredients: chicken, chicken meal, rice, barley\nCrude protein (min) 26%\n"
        "Crude fat (min) 14%\nCrude fiber (max) 4%\nMoisture (max) 10%\n"
    )["bases"]["as_fed"]
    assert kibble["ash"] == 7


CAN = """Species: dog
Form: canned
Market: US
Ingredients: Cod, water, potato starch, guar gum, salt.
Crude protein (min) 8.0%
Crude fat (min) 0.5%
Crude fiber (max) 1.0%
Moisture (max) 82.0%
Calorie content (calculated): {} kcal/kg
"""


@pytest.mark.parametrize(
    ("kcal", "words"),
    [("4,500", "cannot all be true, or"), ("1,900", "cannot all be near the truth"), ("700", "")],
)
def test_a_calorie_line_that_no_recipe_gives_is_said_in_words(kcal: str, words: str) -> None:
    notes = api.nutrition(CAN.format(kcal))["notes"]
    assert [one for one in notes if "cannot all be" in one] == notes[: bool(words)]
    assert words in " ".join(notes)
    page = " ".join(map(str, document([context(text=CAN.format(kcal))], "sheet")))
    assert ("The calories do not fit" in page) is bool(words)
