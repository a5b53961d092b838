"""The composition list: percentages, emphasis and categories.

Regulation (EC) No 767/2009, Art. 17(1)(e) (descending by weight) and 17(2)(a) (name and
percentage of what is stressed); the categories of Directive 82/475/EEC.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panellint.core.findings import Certainty, Finding
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.data import data
from panellint.rulepacks.settings import Settings

EU = Settings().with_market("eu")


def found(text: str, rule: str) -> list[Finding]:
    return [one for one in lint(Source(text, "x"), EU, quick=True).findings if one.rule == rule]


def marked(text: str, rule: str) -> list[str]:
    return [Source(text).slice(one.span) for one in found(text, rule)]


@pytest.mark.parametrize(
    ("composition", "rising", "sure"),
    [
        ("lamb 27 %, rice 26 %, barley", [], []),
        ("lamb 26 %, rice 26 %, barley", [], []),
        ("lamb 26 %, rice 27 %, barley", ["rice"], [False]),
        ("lamb 26 %, rice 27.1 %, barley", ["rice"], [True]),
        ("lamb (27 %), rice, barley (28.5 %)", ["barley"], [True]),
        # A figure inside a part counts in its own list, not among the parts.
        ("chunks (50 %): beef (20 %), liver; gravy (50 %): water, carrots", [], []),
        ("meat and animal derivatives (47 %, including 14 % chicken), cereals (20 %)", [], []),
        ("chicken, rice (3 %), duck (4 % in the chunk), oats", [], []),
        ("lamb at least 10 %, rice 26 %, barley", [], []),
    ],
)
def test_percentages_do_not_rise(composition: str, rising: list[str], sure: list[bool]) -> None:
    text = f"Composition: {composition}\n"
    findings = found(text, "eu-percentages-fall")
    assert [Source(text).slice(one.span) for one in findings] == rising
    assert [one.certainty is Certainty.PROVEN for one in findings] == sure


NAMES = ["lamb", "rice", "barley", "peas", "maize", "oats", "beef", "egg"]


@settings(max_examples=40)
@given(st.lists(st.integers(1, 400), min_size=2, max_size=8))
def test_a_list_that_falls_as_printed_is_never_faulted(tenths: list[int]) -> None:
    figures = sorted(tenths, reverse=True)
    listed = [f"{name} ({n / 10} %)" for name, n in zip(NAMES, figures, strict=False)]
    assert found(f"Composition: {', '.join(listed)}\n", "eu-percentages-fall") == []


@settings(max_examples=40)
@given(st.lists(st.integers(1, 500), min_size=2, max_size=8))
def test_shares_of_a_real_food_keep_their_sum(parts: list[int]) -> None:
    """Whatever a food is made of, its shares rounded to one decimal are no contradiction."""
    whole = sum(parts)
    shares = sorted((round(100 * part / whole, 1) for part in parts), reverse=True)
    listed = [f"{name} {share} %" for name, share in zip(NAMES, shares, strict=False)]
    text = f"Composition: {', '.join(listed)}\n"
    assert found(text, "eu-percentages-sum") == []
    assert found(text, "eu-percentages-reach") == []


@pytest.mark.parametrize(
    ("composition", "says"),
    [
        ("beef (60 %), tripe (35 %), liver (8 %)", "103 %"),
        ("beef (60 %), tripe (35 %), salt", None),
        # Additives under a heading of their own may be what is missing, and water that a dry food
        # holds and no list names: 5 % and 16 %.
        ("beef (60 %), tripe (14 %), liver (5 %)", None),
        ("beef (60 %), tripe (10 %), liver (5 %)", "75 %"),
        ("beef (66.7 %), rice (33.3 %)", None),
        ("beef (33 %), rice (33 %), peas (33 %)", None),
        ("meat and animal derivatives (20 %, of which chicken 14 %, duck 10 %), cereals", "24 %"),
        ("meat and animal derivatives (20 %, of which chicken 14 %, duck 6 %), cereals", None),
    ],
)
def test_percentages_make_no_more_than_their_whole(composition: str, says: str | None) -> None:
    findings = found(f"Form: kibble\nComposition: {composition}\n", "eu-percentages-sum")
    assert [says in one.message for one in findings if says] == ([True] if says else [])
    assert bool(findings) is (says is not None)


def test_water_that_a_wet_food_need_not_list_may_be_what_is_missing() -> None:
    text = "Form: canned\nComposition: chicken (40 %), rice (20 %), peas (10 %)\n"
    assert found(text, "eu-percentages-sum") == []


def test_what_a_bracket_emphasises_stands_in_no_order() -> None:
    text = "Composition: meat and animal derivatives (of which turkey 4 %, beef 6 %), cereals\n"
    assert found(text, "eu-percentages-fall") == []


@pytest.mark.parametrize(
    ("composition", "reaches"),
    [
        ("tuna (24 %), fish broth, rice (3 %), garlic powder", True),
        ("tuna (52 %), fish broth, egg (4 %), starch", False),
        ("fish broth, tuna (40 %), rice", False),
        # 47 % five times over is more than enough.
        ("meat and animal derivatives (47 %), cereals, minerals, various sugars", False),
    ],
)
def test_a_list_that_cannot_make_the_whole(composition: str, reaches: bool) -> None:
    assert bool(found(f"Composition: {composition}\n", "eu-percentages-reach")) is reaches


@pytest.mark.parametrize(
    ("name", "claims", "composition", "lacking"),
    [
        ("Lamb & Rice Menu", "", "dried lamb 27 %, rice 26 %, barley", []),
        ("Lamb & Rice Menu", "", "dried lamb 27 %, rice, barley", ["rice"]),
        ("Adult with Lamb", "", "lamb meal (22 %), rice", []),
        ("Adult with Lamb", "", "lamb meal, rice", ["lamb meal"]),
        (
            "Bites rich in Chicken",
            "",
            "meat and animal derivatives (47 %, of which 14 % chicken)",
            [],
        ),
        ("Duck Flavour Dog Food", "", "chicken, duck", []),
        ("Tuna in Broth", "", "fish broth, tuna (40 %)", []),
        (
            "Adult Dog",
            "with cranberries and parsley",
            "maize, cranberries (4 %), parsley",
            ["parsley"],
        ),
        ("Adult Dog", "no added wheat, without soya", "maize, wheat", []),
        ("Adult Dog", "with added vitamin E", "maize, vitamin E", []),
        (
            "Adult Dog",
            "with vitamins and minerals, high in fibre",
            "maize, minerals, pea fibre",
            [],
        ),
    ],
)
def test_what_is_stressed_has_its_percentage(
    name: str, claims: str, composition: str, lacking: list[str]
) -> None:
    text = f"Product name: {name}\nClaims: {claims}\nComposition: {composition}\n"
    assert marked(text, "eu-emphasis-percentage") == lacking


def test_a_category_does_not_hide_what_the_name_stresses() -> None:
    text = "Product name: Chunks with Chicken\nComposition: meat and animal derivatives, cereals\n"
    assert marked(text, "eu-emphasis-in-category") == ["Chicken"]
    named = text.replace("derivatives,", "derivatives (of which 4 % chicken),")
    assert found(named, "eu-emphasis-in-category") == []
    by_name = "Product name: Chunks with Chicken\nComposition: chicken (4 %), cereals\n"
    assert found(by_name, "eu-emphasis-in-category") == []


@pytest.mark.parametrize(
    ("composition", "mixed"),
    [
        ("meat and animal derivatives (47 %), cereals, minerals, various sugars", False),
        ("lamb 27 %, rice, poultry fat, minerals", False),
        ("lamb, rice, vegetables, minerals, yeasts", False),
        ("meat and animal derivatives (40 %), salmon (4 %), cereals", True),
        ("chicken (40 %), rice, oils and fats", True),
        # Water and additives belong to no category.
        ("meat and animal derivatives (40 %), water, cereals, taurine", False),
    ],
)
def test_names_or_categories(composition: str, mixed: bool) -> None:
    assert bool(found(f"Composition: {composition}\n", "eu-categories-mixed")) is mixed


@pytest.mark.parametrize("language", ["en", "fr", "de", "es", "it", "nl"])
def test_every_category_is_a_permitted_name(language: str) -> None:
    categories = data("words/categories")["categories"]
    assert [one["number"] for one in categories] == list(range(1, 20))
    names = ", ".join(one["names"][language][0] for one in categories)
    text = f"Language: {language}\nComposition: {names}\n"
    assert found(text, "eu-category-permitted") == []
    assert found(text, "eu-categories-mixed") == []


def test_another_collective_name_is_none() -> None:
    text = "Composition: animal protein products, cereals\n"
    assert marked(text, "eu-category-permitted") == ["animal protein products"]
