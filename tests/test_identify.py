"""Names looked up, brackets that list or qualify, missing commas, inverted names."""

from __future__ import annotations

import pytest

from panellint.case import Case
from panellint.declared import Ingredient
from panellint.settings import Settings
from panellint.source import Source


def told(text: str, market: str = "us") -> str:
    case = Case.of(Source(f"Market: {market}\nIngredients: {text}\n"), Settings.default())
    words = ", ".join(_told(entry) for entry in case.declaration.ingredients)
    faults = "".join(f" !{case.source.slice(f.span)}" for f in case.declaration.faults)
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


def test_a_word_broken_at_a_line_end_is_known_either_way() -> None:
    assert told("freeze-\ndried chicken liver") == told("freeze-dried chicken liver") != "?"
    assert told("taur-\nine") == "taurine"


def test_a_figure_behind_two_joined_names_is_unclear() -> None:
    source = Source("Ingredients: duck heart and liver 11 %, rice 20 % and oats 10 %\n")
    entries = Case.of(source, Settings.default()).declaration.ingredients
    said = [(e.name, e.percent and e.percent.of.value) for e in entries]
    assert said == [
        ("duck heart", None), ("liver", "unclear"), ("rice", "food"), ("oats", "food"),
    ]  # fmt: skip


def test_paths_lead_to_the_entries() -> None:
    source = Source("Ingredients: chicken, vitamins (niacin, biotin), salt\n")
    declaration = Case.of(source, Settings.default()).declaration
    for entry in declaration.walk():
        node = declaration.ingredients[entry.path[0]]
        for index in entry.path[1:]:
            node = node.members[index]
        assert node is entry
    assert [leaf.path for leaf in declaration.leaves()] == [(0,), (1, 0), (1, 1), (2,)]
