"""Words of the list: names misspelt, doubled, vague, praised, loud, or without their purpose.

Collective names: 21 CFR 501.110(b)(1)-(4), animal protein, forage, grain and plant protein
products, for feed of livestock and poultry alone. Quality and brand words: WAC 16-252-064(3),
(4)(c). Chemical preservatives are not salt, sugars, vinegars, spices or wood smoke: 21 CFR
501.22(a)(5).
"""

from __future__ import annotations

import pytest

from panellint.core.findings import Finding
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings


def run(ingredients: str, rule: str, head: str = "") -> tuple[str, list[Finding]]:
    text = f"{head}Ingredients: {ingredients}\n"
    findings = lint(Source(text, "words.panel"), Settings(), quick=True).findings
    return text, [f for f in findings if f.rule == rule]


def marked(ingredients: str, rule: str, head: str = "") -> list[str]:
    text, found = run(ingredients, rule, head)
    return [text[f.span.start : f.span.end] for f in found]


@pytest.mark.parametrize(
    ("printed", "meant"),
    [
        ("potasium chloride", "potassium chloride"),
        ("ribloflavin", "riboflavin"),
        ("dried beat pulp", "dried beet pulp"),
        ("Chiken meal", "Chicken meal"),
        ("TAURIN", "TAURINE"),
        ("vitamin E supplment", "vitamin E supplement"),
        ("0rganic 0ats", "organic oats"),
        ("ca1cium carbonate", "calcium carbonate"),
        ("tumeric", "turmeric"),
        ("zink oxide", "zinc oxide"),
        ("brocolli", "broccoli"),
    ],
)
def test_a_slip_of_the_pen_is_told_with_its_remedy(printed: str, meant: str) -> None:
    text, (one,) = run(f"½ oats, {printed}, salt", "misspelt-name")
    (remedy,) = one.remedies
    (edit,) = remedy.edits
    assert text[edit.span.start : edit.span.end] == printed
    assert edit.text == meant
    # It is never taken silently: the name stays unknown to every other rule.
    assert "not known" in one.message


@pytest.mark.parametrize(
    "printed",
    [
        "quillbrook root",
        "oats",
        "zorgal",
        "teff",
        "taurine",
        "carrots",
        "liver",
        "bison",
        "saltt sand",
    ],
)
def test_other_names_are_left_alone(printed: str) -> None:
    assert marked(f"chicken, {printed}, salt", "misspelt-name") == []


def test_the_rule_of_unknown_names_is_silent_where_a_slip_is_told() -> None:
    assert marked("chicken, potasium chloride", "ingredient-unknown") == []
    assert marked("chicken, zorgal", "ingredient-unknown") == ["zorgal"]


@pytest.mark.parametrize(
    ("ingredients", "twice"),
    [
        ("chicken, Brown  rice, oats, brown rice", ["brown rice"]),
        ("chicken, salt, cheese (milk, salt)", []),
        ("Chunks: beef, water; Gravy: water, starch", []),
        ("chicken, oats, oat flour", []),
        ("chicken, oats and/or barley, barley and/or oats", []),
    ],
)
def test_declared_twice(ingredients: str, twice: list[str]) -> None:
    assert marked(ingredients, "declared-twice") == twice


@pytest.mark.parametrize(
    ("ingredients", "twice"),
    [
        ("corn, chicken, maize", ["maize"]),
        ("chicken, flaxseed, linseed", ["linseed"]),
        ("chicken, salt, sodium chloride", ["sodium chloride"]),
        ("chicken, deboned chicken, chicken meal", []),
        ("chicken, corn, corn meal, sweet corn", []),
        ("chicken, zinc sulfate, zinc proteinate", []),
    ],
)
def test_one_ingredient_two_names(ingredients: str, twice: list[str]) -> None:
    assert marked(ingredients, "one-ingredient-two-names") == twice


@pytest.mark.parametrize(
    "name",
    ["animal protein products", "forage products", "Grain products", "plant protein products"],
)
def test_federal_collective_names(name: str) -> None:
    assert marked(f"chicken, {name}", "collective-name") == [name]


def test_a_collective_name_of_the_eu_is_no_fault_there() -> None:
    head = "Market: EU\nSpecies: cat\n"
    assert marked("cereals, meat and animal derivatives", "collective-name", head) == []


@pytest.mark.parametrize(
    ("ingredients", "found"),
    [
        ("animal fat, chicken fat", ["animal fat"]),
        ("animal fat (pork), meat (beef, lamb)", []),
        ("duck (meat, liver, heart) 80 %, peas", []),
        ("duck heart and liver, peas", []),
        ("carrots and liver, peas", ["liver"]),
        ("fish (liver)", ["fish", "liver"]),
        ("meat, liver, meat and bone meal", ["meat", "liver", "meat and bone meal"]),
        ("beef liver, salmon meal, whitefish", []),
    ],
)
def test_animals_that_are_not_named(ingredients: str, found: list[str]) -> None:
    assert marked(ingredients, "animal-not-named") == found


@pytest.mark.parametrize(
    ("ingredients", "found"),
    [
        ("premium chicken, USDA Choice beef, grade A eggs", ["premium", "USDA Choice", "grade A"]),
        ("organic chicken, fresh carrots, choice white grease, whole oats", []),
        ("chicken (human grade), oats", ["human grade"]),
    ],
)
def test_quality_words(ingredients: str, found: list[str]) -> None:
    assert marked(ingredients, "quality-word-in-list") == found


def test_brand_words_are_those_with_a_sign() -> None:
    assert marked("Larderin® blend, Zinc-o-Lot ™ zinc", "brand-name-in-list") == [
        "Larderin®",
        "Zinc-o-Lot ™",
    ]


@pytest.mark.parametrize(
    ("ingredients", "found"),
    [
        ("Chicken, oats, REAL CARROTS, salt", ["REAL CARROTS"]),
        ("CHICKEN, OATS, CARROTS, salt", []),
        ("Chicken, oats, BHA, EDTA, DHA, salt", []),
        ("CHICKEN", []),
    ],
)
def test_capitals(ingredients: str, found: list[str]) -> None:
    assert marked(ingredients, "undue-emphasis") == found


@pytest.mark.parametrize(
    ("ingredients", "found"),
    [
        ("fat (preserved with mixed tocopherols), oats", []),
        ("fat, oats, mixed tocopherols", ["mixed tocopherols"]),
        ("fat, potassium sorbate (a preservative), vinegar, salt, rosemary", []),
        ("fat, BHA (to protect freshness), BHT", ["BHT"]),
        ("fat, BHA and citric acid (preservatives), salt", []),
        ("fat, BHA and citric acid, salt (a preservative)", ["BHA"]),
        ("fat, natural preservatives (mixed tocopherols, citric acid)", []),
    ],
)
def test_purposes(ingredients: str, found: list[str]) -> None:
    assert marked(ingredients, "preservative-without-purpose") == found


def test_ethoxyquin_has_words_of_its_own() -> None:
    assert marked("meal, ethoxyquin", "ethoxyquin-without-purpose") == ["ethoxyquin"]
    assert marked("meal, ethoxyquin, a preservative", "ethoxyquin-without-purpose") == [
        "ethoxyquin"
    ]
    assert marked("meal, ethoxyquin (a preservative)", "ethoxyquin-without-purpose") == []


def test_a_word_written_twice_is_one_finding() -> None:
    assert marked("duck, pumpkin pumpkin, salt", "comma-missing") == ["pumpkin pumpkin"]
    assert marked("duck, pumpkin pumpkin, salt", "declared-twice") == []
    assert marked("duck, pumpkin, salt, pumpkin", "declared-twice") == ["pumpkin"]
