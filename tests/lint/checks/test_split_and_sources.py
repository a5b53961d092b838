"""Split materials, and where the vitamins and minerals of a complete food come from."""

from __future__ import annotations

import pytest

from panellint.core.findings import Finding
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings

COMPLETE = (
    "Nutritional adequacy: Duck Dinner is formulated to meet the nutritional levels established "
    "by the AAFCO {species} Food Nutrient Profiles for maintenance.\n"
)
PREMIX = (
    "calcium carbonate, zinc proteinate, copper proteinate, ferrous sulfate, manganese sulfate, "
    "sodium selenite, calcium iodate, choline chloride, vitamin A supplement, vitamin D3 "
    "supplement, vitamin E supplement, thiamine mononitrate, riboflavin supplement, niacin "
    "supplement, d-calcium pantothenate, pyridoxine hydrochloride, vitamin B12 supplement"
)


def found(text: str, *rules: str) -> list[Finding]:
    result = lint(Source(text, "label.panel"), Settings(), quick=True)
    return [one for one in result.findings if one.rule in rules]


def split(ingredients: str) -> list[Finding]:
    return found(f"Ingredients: {ingredients}\n", "ingredient-split")


@pytest.mark.parametrize(
    "ingredients",
    [
        "duck, chicken, chicken meal, chicken liver",  # animals are not split to hide them
        "duck, chicken fat, pea oil, sunflower oil",
        "duck, rice, salt, rice bran",
        "peas, duck, pea protein",  # stands first already
        "duck (70%), peas, pea protein",  # cannot reach the first place
        "duck, oats, contains 2% or less of: peas, pea fiber",
        "duck, peas, minerals (zinc oxide, pea protein",  # brackets were mended
    ],
)
def test_what_is_no_split(ingredients: str) -> None:
    assert split(ingredients) == []


def test_a_split_tells_the_sum_and_the_place() -> None:
    # Second and third of a descending list: at most 2/3 together, and then before the duck.
    (finding,) = split("duck, peas, pea protein, oats")
    assert "2 entries (peas and pea protein) are 0 to 66.7 % of the recipe" in finding.message
    assert "could stand first, before duck" in finding.message
    assert len(finding.related) == 1


RULES = ("complete-without-sources", "nutrients-without-source", "nutrients-from-foods")


def sources(ingredients: str, species: str = "Dog", statement: str = COMPLETE) -> list[str]:
    text = (
        f"Product name: Duck Dinner for {species}s\nIngredients: {ingredients}\n"
        f"{statement.format(species=species)}"
    )
    return [one.rule for one in found(text, *RULES)]


@pytest.mark.parametrize(
    ("ingredients", "species", "rules"),
    [
        ("duck, carrots, salt", "Dog", ["complete-without-sources"]),
        (f"duck, carrots, {PREMIX}, folic acid", "Dog", []),
        (f"duck, rice, {PREMIX}", "Dog", ["nutrients-without-source"]),
        (f"oats, rice, {PREMIX}, folic acid", "Cat", ["nutrients-without-source"]),
        (f"duck, rice, {PREMIX}, folic acid, taurine", "Cat", []),
        ("duck, carrots, vitamin and mineral premix", "Dog", []),
        ("duck, carrots, our own vitamin preparation", "Dog", []),
    ],
)
def test_sources_of_a_food_that_is_formulated(
    ingredients: str, species: str, rules: list[str]
) -> None:
    assert sources(ingredients, species) == rules


@pytest.mark.parametrize(
    "statement",
    [
        "Nutritional adequacy: Animal feeding tests using AAFCO procedures substantiate that Duck "
        "Dinner provides complete and balanced nutrition for maintenance.\n",
        "Nutritional adequacy: This product is intended for intermittent or supplemental feeding "
        "only.\n",
    ],
)
def test_a_feeding_trial_is_not_doubted_and_a_topper_owes_nothing(statement: str) -> None:
    assert sources("duck, carrots", statement=statement) == []


def test_the_nutrients_are_named() -> None:
    text = f"Product name: Duck Dinner for Dogs\nIngredients: duck, carrots\n{COMPLETE}"
    (finding,) = found(text.format(species="Dog"), "complete-without-sources")
    for nutrient in ("iodine", "zinc", "vitamin D", "vitamin E"):
        assert nutrient in finding.message
