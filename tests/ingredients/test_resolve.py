"""Names looked up, brackets that list or qualify, missing commas, inverted names."""

from __future__ import annotations

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.source import Source
from panellint.ingredients.model import Ingredient
from panellint.rulepacks.settings import Settings


def told(text: str, market: str = "us") -> str:
    context = LabelContext.of(Source(f"Market: {market}\nIngredients: {text}\n"), Settings())
    words = ", ".join(_told(entry) for entry in context.declaration.ingredients)
    faults = "".join(f" !{context.source.slice(f.span)}" for f in context.declaration.faults)
    return words + faults


def _told(entry: Ingredient) -> str:
    members = ", ".join(_told(member) for member in entry.members)
    more = " ..." if entry.partial else ""
    return (
        (entry.known_as or "?")
        + (f" [{'; '.join(entry.notes)}]" if entry.notes else "")
        + (f" ({members}{more})" if entry.members else "")
        + (" any" if entry.any_of else "")
    )


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # Brackets that qualify.
        ("chicken fat (preserved with mixed tocopherols)",
         "chicken-fat [preserved with mixed tocopherols]"),
        ("pyridoxine hydrochloride (vitamin B6)", "pyridoxine-hydrochloride [vitamin B6]"),
        ("chicken (deboned)", "chicken [deboned]"),
        ("pineapple (Ananas comosus)", "pineapple [Ananas comosus]"),
        ("chicken meal (source of glucosamine, chondroitin)",
         "chicken-meal [source of glucosamine, chondroitin]"),
        ("taurine (1000 mg/kg)", "taurine [1000 mg/kg]"),
        ("duck (with bone)", "duck [with bone]"),
        # Brackets that list.
        ("vitamins (niacin, biotin), salt", "vitamins (niacin-supplement, biotin), salt"),
        ("minerals [zinc sulfate]", "minerals (zinc-sulphate ...)"),
        # "oils and fats" is one name; others are parted.
        ("oils and fats", "oils-and-fats"),
        ("salt and potassium chloride", "salt, potassium-chloride"),
        ("chicken or turkey", "chicken any, turkey any"),
        ("duck heart and liver, salt", "duck-heart, duck-liver, salt"),
        ("peas, and carrots", "peas, carrot"),
        # A missing comma between two known names, and its place.
        ("chicken meal brown rice, salt", "chicken-meal, brown-rice, salt !meal brown"),
        # None is where the second says what of the first is used.
        ("trout, wild haddock hearts, salt", "trout, ?, salt"),
        # A comma inside an inverted name.
        ("yeast, brewer's, salt", "brewers-dried-yeast, salt"),
    ],
)  # fmt: skip
def test_names(text: str, expected: str) -> None:
    assert told(text) == expected


def test_a_category_holds_more_than_it_names() -> None:
    assert told("meat and animal derivatives (chicken 4 %)", "eu") == (
        "meat-and-animal-derivatives (chicken ...)"
    )


@pytest.mark.parametrize(
    ("text", "market", "partial"),
    [
        # What a category of the EU emphasises is not all that it holds (Regulation (EC)
        # 767/2009, Art. 17(1)(e) and Annex to Directive 82/475/EEC); a list that adds up is.
        ("meat and animal derivatives (chicken 4 %, beef 4 %)", "eu", True),
        ("meat and animal derivatives (chicken, beef)", "eu", True),
        ("meat and animal derivatives 8 % (chicken 4 %, beef 4 %)", "eu", True),
        # 3.7 % and 3.3 % print so, and something is left.
        ("cereals 4 % (rice 3 %)", "uk", True),
        ("chicken 40 % (chicken meal 26 %, chicken broth 14 %)", "uk", False),
        ("meat and animal derivatives (chicken 60 %, beef 40 %)", "eu", False),
        ("vegetables (carrots, peas)", "us", False),
        ("chicken 40 % (chicken meal 20 %, chicken broth 5 %)", "uk", True),
        ("chicken broth (contains less than 2 % of salt)", "us", True),
        ("chicken (may contain bone)", "us", True),
    ],
)
def test_what_a_bracket_names_of_its_entry(text: str, market: str, partial: bool) -> None:
    source = Source(f"Market: {market}\nIngredients: {text}, rice\n")
    entry = LabelContext.of(source, Settings()).declaration.ingredients[0]
    assert entry.members
    assert entry.partial is partial


def first_entry(text: str) -> Ingredient:
    source = Source(f"Ingredients: {text}, rice, salt\n")
    return LabelContext.of(source, Settings()).declaration.ingredients[0]


@pytest.mark.parametrize(
    ("text", "ids"),
    [
        ("animal fat (beef)", "beef-fat"),
        ("fish meal (herring, menhaden)", "herring-meal menhaden-meal"),
        ("dried poultry protein (chicken)", "chicken-protein"),
        ("lamb (meat, heart, liver, bone)", "lamb lamb-heart lamb-liver lamb-bone"),
        ("liver (beef, pork)", "beef-liver pork-liver"),
        ("poultry (chicken, liver)", "chicken poultry-liver"),
        ("fish (cod, salmon)", "cod salmon"),
    ],
)
def test_a_member_is_what_its_group_makes_of_it(text: str, ids: str) -> None:
    assert " ".join(member.known_as or "?" for member in first_entry(text).members) == ids


def test_a_bare_name_in_a_worked_group_has_not_its_own_composition() -> None:
    entry = first_entry("dried vegetables (carrot, zucchini)")
    assert all(member.match and not member.match.known.figures for member in entry.members)
    raw = first_entry("raw meat (beef, pork)")
    assert all(member.match and member.match.known.figures for member in raw.members)


def test_a_note_may_change_what_the_name_is() -> None:
    assert told("chicken (dried), rice") == "dried-chicken [dried], rice"
    assert told("milk (2 % fat), rice") == "milk [2 % fat], rice"


def test_no_text_outside_the_eu_says_what_a_figure_in_a_bracket_counts_in() -> None:
    def said(market: str) -> str:
        source = Source(f"Market: {market}\nIngredients: poultry (chicken 50 %), rice\n")
        percent = LabelContext.of(source, Settings()).declaration.ingredients[0].members[0].percent
        assert percent
        return percent.of.value

    assert (said("us"), said("eu")) == ("unclear", "food")


def test_two_names_that_may_be_weighed_as_one_stand_in_no_order() -> None:
    source = Source("Ingredients: chicken, carrots and peas, rice and salt\n")
    context = LabelContext.of(source, Settings())
    assert [e.unranked for e in context.declaration.ingredients] == [
        False,
        True,
        True,
        False,
        False,
    ]
    # Chicken 40, rice 25, salt 10 and carrots with peas 15 + 10 as one entry of 25.
    bounds = [context.order.bounds({(place,): 1}) for place in range(5)]
    for found, share in zip(bounds, (40, 15, 10, 25, 10), strict=True):
        assert found.low <= share <= found.high


def test_a_word_broken_at_a_line_end_is_known_either_way() -> None:
    assert told("freeze-\ndried chicken liver") == told("freeze-dried chicken liver") != "?"
    assert told("taur-\nine") == "taurine"


def test_a_figure_behind_two_joined_names_is_unclear() -> None:
    source = Source("Ingredients: duck heart and liver 11 %, rice 20 % and oats 10 %\n")
    entries = LabelContext.of(source, Settings()).declaration.ingredients
    said = [(e.name, e.percent and e.percent.of.value) for e in entries]
    assert said == [
        ("duck heart", None), ("liver", "unclear"), ("rice", "food"), ("oats", "food"),
    ]  # fmt: skip


def test_paths_lead_to_the_entries() -> None:
    source = Source("Ingredients: chicken, vitamins (niacin, biotin), salt\n")
    declaration = LabelContext.of(source, Settings()).declaration
    for entry in declaration.walk():
        node = declaration.ingredients[entry.path[0]]
        for index in entry.path[1:]:
            node = node.members[index]
        assert node is entry
    assert [leaf.path for leaf in declaration.leaves()] == [(0,), (1, 0), (1, 1), (2,)]
