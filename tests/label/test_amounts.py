"""Weights, prices and the water to add."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.label.amounts import Price, kilograms_in, price_in, water_in


@pytest.mark.parametrize(
    ("text", "kilograms"),
    [
        ("3 lb (1.36 kg)", 1.36),
        ("30 LB (13.6 kg)", 13.6),
        ("12 x 85 g", 1.02),
        ("6 × 400g (2.4 kg)", 2.4),
        ("1,000 g", 1.0),
        ("1,5 kg", 1.5),
        ("16 oz", 0.45359237),
        ("2 lb 3 oz", 2.1875 * 0.45359237),
        ("250 g ℮", 0.25),
        ("12 cans", None),
        ("0 g", None),
        ("", None),
    ],
)
def test_net_weights(text, kilograms):
    assert kilograms_in(text) == (None if kilograms is None else pytest.approx(kilograms))


@pytest.mark.parametrize(
    ("text", "price"),
    [
        ("$24.99", Price(24.99, "$")),
        ("3,49 EUR", Price(3.49, "EUR")),
        ("12.50 € for 1.5 kg", Price(12.5, "€", 1.5)),
        ("£4.20 per kg", Price(4.2, "£", 1.0)),
        ("1,234.50 USD", Price(1234.5, "USD")),
        ("24.99", Price(24.99, "")),
        ("ask your dealer", None),
    ],
)
def test_prices(text, price):
    assert price_in(text) == price


@pytest.mark.parametrize(
    ("text", "water", "food", "unit", "stated"),
    [
        ("1 part food, 1.5 parts warm water by weight", 1.5, 1, "g", True),
        ("Add 150 ml of water to 100 g", 150, 100, "g", True),
        ("1 cup of food and 1 1/4 cups of warm water", 1.25 * 236.5882365, 1, "cup", True),
        ("Add ½ cup warm water per 50 g of food", 118.29411825, 50, "g", True),
        ("Mix 1:3 food to water", 3, 1, "g", False),
        ("Soak in its own weight in water", 1, 1, "g", True),
        ("1 scoop food, 2 scoops water", 2, 1, "volume", True),
        ("3 parts water : 1 part food", 3, 1, "g", False),
    ],
)
def test_water_of_a_preparation(text, water, food, unit, stated):
    found = water_in(text)
    assert found is not None
    assert (found.amount, found.food) == (pytest.approx(water), food)
    assert (found.food_unit, found.stated) == (unit, stated)


@pytest.mark.parametrize(
    ("text", "water", "food"),
    [
        ("300 ml per 100 g", 300, 100),
        ("2 l per kg", 2000, 1000),
        ("add 150 ml of water to 100 g", 150, 100),
        ("100 g with 150 ml of water", 150, 100),
        ("1:3 food to water", 3, 1),
    ],
)
def test_water_where_it_is_what_is_asked_for(text, water, food):
    found = water_in(text, first_water=True)
    assert found is not None
    assert (found.amount, found.food, found.food_unit) == (pytest.approx(water), food, "g")


@pytest.mark.parametrize("text", ["300 ml", "a splash", "3", "100 g, 200 ml, 300 ml"])
def test_one_quantity_alone_says_nothing(text):
    assert water_in(text, first_water=True) is None


@pytest.mark.parametrize(
    "text", ["Add 3 cups water", "Stir in warm water", "2:1", "Add 1/0 cup water to 1 cup", ""]
)
def test_nothing_is_guessed(text):
    assert water_in(text) is None


@given(st.text(max_size=60), st.sampled_from(["", "1 cup water to ", "12 x ", "$", "1:2 food to"]))
def test_any_words_give_an_answer_or_none(text, before):
    weight = kilograms_in(before + text)
    assert weight is None or weight > 0
    price_in(before + text)
    water = water_in(before + text)
    assert water is None or (water.amount > 0 and water.food > 0)
