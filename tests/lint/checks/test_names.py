"""Names: declared, in order, alone, before the salt. The words, not the shares."""

from __future__ import annotations

import pytest

from panellint.core.findings import Certainty, Finding
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings


def found(text: str, rule: str) -> list[Finding]:
    result = lint(Source(text, "label.panel"), Settings(), quick=True)
    return [one for one in result.findings if one.rule == rule]


def label(name: str, ingredients: str) -> str:
    return f"Product name: {name}\nIngredients: {ingredients}\n"


@pytest.mark.parametrize(
    ("name", "ingredients", "marked"),
    [
        ("Salmon Recipe", "chicken, rice", ["Salmon"]),
        ("Chicken Recipe", "chicken meal, rice", ["Chicken"]),
        ("Chicken Recipe", "chicken broth, chicken fat, rice", ["Chicken"]),
        ("Chicken Recipe", "deboned chicken, rice", []),
        ("Freeze-Dried Chicken Dinner", "chicken, chicken liver", []),
        ("Grain Free Whitefish Recipe", "whitefish, potatoes", []),
        ("Beef Biscuits", "beef, wheat flour", []),
        ("Chicken Dinner with Vitamins", "chicken, rice, vitamin E supplement", []),
        ("Fish Dinner", "salmon, rice", []),
        ("Garden Vegetable Entrée", "chickpeas, carrots", []),
        ("Chicken & Berries Dinner", "chicken, blueberries", []),
        ("Mint & Oat Biscuits", "oats, spearmint leaves", []),
        ("Peppermint & Oat Biscuits", "oats, spearmint leaves", ["Peppermint"]),
        ("Chicken Flavor Dinner with Beef", "beef, rice, natural chicken flavor", []),
    ],
)
def test_what_the_name_promises_is_declared(name: str, ingredients: str, marked: list[str]) -> None:
    text = label(name, ingredients)
    source = Source(text)
    assert [source.slice(one.span) for one in found(text, "name-not-declared")] == marked


def test_an_unknown_entry_might_be_it() -> None:
    (finding,) = found(label("Salmon Recipe", "chicken, zorblat"), "name-not-declared")
    assert finding.certainty is Certainty.POSSIBLE


@pytest.mark.parametrize(
    ("name", "ingredients", "fails"),
    [
        ("Rice & Chicken Recipe", "chicken, rice", True),
        ("Chicken & Rice Recipe", "chicken, rice", False),
        # No order is told within a tail, nor of a member against an entry outside its group.
        ("Kale & Pear Dinner", "chicken, contains 2% or less of: pear, kale", False),
        # Two entries of chicken may outweigh one of rice that stands before both.
        ("Chicken & Rice Recipe", "rice, chicken, organic chicken", False),
        ("Beef & Bison Recipe", "beef (30%), bison (32%)", True),
        ("Rice & Chicken Flavor Dinner", "chicken, rice", False),
    ],
)
def test_the_order_of_named_ones(name: str, ingredients: str, fails: bool) -> None:
    assert bool(found(label(name, ingredients), "name-order")) == fails


def test_all_of_one_thing_tells_what_else_is_in_it() -> None:
    (finding,) = found(label("100% Beef Treats", "beef, potatoes, salt"), "name-all")
    assert "potatoes is declared too" in finding.message
    assert not found(label("100% Complete Beef Dinner", "beef, potatoes"), "name-all")


def test_after_salt_is_a_doubt_and_no_proof() -> None:
    text = label("Chicken Dinner with Kale", "chicken, rice, salt, kale")
    (finding,) = found(text, "name-with-after-salt")
    assert finding.certainty is Certainty.PRACTICE
    assert not found(text, "name-with")


def test_a_list_with_commas_is_one_promise() -> None:
    # Read apart, "turkey" alone would promise 95 %.
    text = label("Turkey, Oats & Barley Recipe", "chicken, turkey, oats, barley")
    result = lint(Source(text, "label.panel"), Settings(), quick=True)
    assert not [one for one in result.findings if one.rule.startswith("name-")]
    text = label("Chicken Dinner with Kale, Pear & Apple", "chicken, kale, pear, apple, salt")
    assert not found(text, "name-ninety-five")


def test_a_meal_of_a_fish_is_named_where_no_fish_is_declared() -> None:
    text = (
        "Product name: Sweet Potato & Fish Formula Dog Food\n"
        "Ingredients: menhaden fish meal, sweet potatoes, canola oil\n"
    )
    found = lint(Source(text, "name.panel"), Settings(), quick=True).findings
    (missing,) = (finding for finding in found if finding.rule == "name-not-declared")
    assert "menhaden fish meal is declared, and only what bears that very name" in missing.message
