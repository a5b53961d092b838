"""Claims about protein, first places, dishes and grades, against the list."""

from __future__ import annotations

import pytest

from panellint.core.findings import Finding
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings


def found(rule: str, text: str, *, quick: bool = False) -> list[Finding]:
    findings = lint(Source(text, "claim.panel"), Settings(), quick=quick).findings
    return [f for f in findings if f.rule == rule]


def label(ingredients: str, claim: str = "", name: str = "Supper", form: str = "kibble") -> str:
    claims = f"Claims: {claim}\n" if claim else ""
    return f"Product name: {name}\nForm: {form}\n{claims}\nIngredients: {ingredients}\n"


@pytest.mark.parametrize(
    ("ingredients", "certainty"),
    [
        ("duck, duck liver, dried duck, duck fat, potatoes", []),
        ("duck, chicken fat, salmon oil, vitamin D3 supplement, potatoes", []),
        ("duck, dried egg product, potatoes", ["proven"]),
        ("duck, whitefish, potatoes", ["proven"]),
        ("duck, chicken broth, potatoes", ["possible"]),
        ("duck, natural flavor, eggshell meal, potatoes", []),
        ("potatoes, peas", []),
    ],
)
def test_single_protein(ingredients: str, certainty: list[str]) -> None:
    text = label(ingredients, "single animal protein")
    assert [f.certainty for f in found("single-protein-and-another", text)] == certainty


def test_the_protein_that_the_name_names_is_the_one() -> None:
    text = label("chicken broth, duck, chicken", "Single protein", "Duck Dinner")
    (one,) = found("single-protein-and-another", text)
    assert "with duck" in one.message
    assert one.message.endswith("comes in with chicken.")


@pytest.mark.parametrize(
    ("claim", "ingredients", "marked"),
    [
        ("Real chicken is the first ingredient", "deboned chicken, oats", []),
        ("Real chicken is the first ingredient", "chicken meal, oats", ["Real chicken"]),
        ("chicken is always our #1 ingredient", "corn, chicken", ["chicken"]),
        ("The first ingredient is salmon", "salmon, peas", []),
        ("First ingredient: salmon", "peas, salmon", ["salmon"]),
        ("Meat first!", "deboned duck, oats", []),
        ("Meat first!", "oats, deboned duck", ["Meat"]),
        ("Meat first", "duck meal, oats", ["Meat"]),
        ("safety first", "oats, duck", []),
        ("first-class service", "oats, duck", []),
    ],
)
def test_what_is_said_to_be_first(claim: str, ingredients: str, marked: list[str]) -> None:
    text = label(ingredients, claim)
    found_here = found("claimed-first-ingredient", text)
    assert [text[f.span.start : f.span.end] for f in found_here] == marked


def test_fresh_meat_drops_once_its_water_is_gone() -> None:
    text = label("chicken, chicken meal, barley, salt", "Chicken is the first ingredient")
    (one,) = found("first-ingredient-without-its-water", text)
    # Fresh chicken is 55 to 81 % water in the tables; two foods behind it may bring more dry
    # matter, and salt is not ranked.
    assert "stands 1st to 3rd among the foods" in one.message
    assert one.severity.value == "information"


def test_a_rank_that_is_not_followed_to_its_end_says_so() -> None:
    foods = "chicken, oats, barley, peas, lentils, millet, sorghum, quinoa, rice, rye, flaxseed"
    (one,) = found("first-ingredient-without-its-water", label(foods, "Chicken first."))
    assert "1st to 9th or later" in one.message


def test_fresh_meat_surely_drops_behind_as_much_meal() -> None:
    text = label("chicken (41 %), chicken meal (40 %), oats (19 %)", "Chicken first.")
    (one,) = found("first-ingredient-without-its-water", text)
    assert one.certainty == "proven"
    assert "2nd" in one.message


@pytest.mark.parametrize(
    "text",
    [
        label("chicken, chicken meal", "Chicken is the first ingredient", form="canned"),
        label("chicken meal, oats", "Chicken meal is the first ingredient"),
        label("chicken, chicken meal", "Chicken in every bite"),
    ],
)
def test_no_drop_where_nothing_dries_or_nothing_is_claimed(text: str) -> None:
    assert found("first-ingredient-without-its-water", text) == []


@pytest.mark.parametrize(
    ("rule", "text", "marked"),
    [
        ("made-with", label("chicken, oats", "made with real chicken"), []),
        ("made-with", label("chicken, oats", "Made with fresh salmon"), ["Made with fresh salmon"]),
        ("made-with", label("chicken, oats", "made with love"), []),
        ("made-with", label("chicken, zorgal", "made with salmon"), []),
        ("raw-and-cooked", label("beef", name="Raw Coated Kibble"), []),
        ("raw-and-cooked", label("beef", name="Raw Beef", form="frozen raw"), []),
        (
            "raw-and-cooked",
            label("beef, lamb meal", name="Raw Beef", form="frozen raw"),
            ["lamb meal"],
        ),
        ("raw-and-cooked", label("beef", name="Raw Beef", form="canned"), ["Raw"]),
        ("gravy-without-liquid", label("beef, peas", name="Beef Stew", form="canned"), ["Stew"]),
        ("gravy-without-liquid", label("beef, broth", name="Beef Stew", form="canned"), []),
        ("gravy-without-liquid", label("beef, peas", name="Beef Stew", form="dehydrated"), []),
        ("gravy-without-liquid", label("beef, zorgal", name="Beef Stew", form="canned"), []),
        (
            "jelly-without-a-gel",
            label("beef, water", name="Beef in Jelly", form="canned"),
            ["Jelly"],
        ),
        (
            "jelly-without-a-gel",
            label("beef, water, agar", name="Beef in Jelly", form="canned"),
            [],
        ),
        ("human-grade-claim", label("beef, peas", "Human-grade"), ["Human-grade"]),
        ("human-grade-claim", label("beef, beef meal", "Human grade"), ["beef meal"]),
        ("broth-is-water", label("beef, beef broth", name="Beef in Broth", form="canned"), []),
        (
            "broth-is-water",
            label("beef bone broth, salt", name="Bone Broth", form="broth"),
            ["Broth"],
        ),
        ("disease-claim", label("beef", "prevents kidney disease"), ["prevents kidney disease"]),
        ("disease-claim", label("beef", "Treats for dogs, with parsley"), []),
        (
            "disease-claim",
            label("beef", "Good for dogs with age or arthritis"),
            ["for dogs with age or arthritis"],
        ),
        ("proven-claim", label("beef", "improved, unproven"), []),
    ],
)
def test_form_words_and_grades(rule: str, text: str, marked: list[str]) -> None:
    assert [text[f.span.start : f.span.end] for f in found(rule, text)] == marked


def test_limited_counts_what_a_reader_counts() -> None:
    foods = "duck, potatoes, peas, canola oil"
    small = "salt, zinc oxide, taurine, choline chloride, vitamin E supplement, folic acid, biotin"
    text = label(f"{foods}, {small}, niacin, copper sulfate", "limited ingredient diet")
    assert found("limited-ingredient-count", text) == []
