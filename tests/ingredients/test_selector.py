"""Choices of ingredients in YAML: what fits, what is marked, what is refused."""

from __future__ import annotations

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.errors import InputError
from panellint.core.source import Source
from panellint.ingredients.selector import Choice
from panellint.rulepacks.settings import Settings

CASE = LabelContext.of(
    Source("Ingredients: duck, potato starch, peas, fat (preserved with BHA), zorgal\n", "c.panel"),
    Settings(),
    quick=True,
)


@pytest.mark.parametrize(
    ("given", "names"),
    [
        ([], []),
        ({"kind": "muscle-meat"}, ["duck"]),
        ({"species": ["potato", "pea"]}, ["potato starch", "peas"]),
        ({"species": ["potato", "pea"], "kind": "legume"}, ["peas"]),
        ([{"id": "duck"}, {"kind": "isolated-starch"}], ["duck", "potato starch"]),
        ({"regex": "\\bbha\\b"}, ["fat"]),
        ({"origin": "plant", "not": {"kind": "legume"}}, ["potato starch"]),
        ({"not": {"origin": ["plant", "animal"]}}, ["zorgal"]),
    ],
)
def test_what_fits(given: object, names: list[str]) -> None:
    assert [e.name for e in Choice(given, "pack.yaml").among(CASE.leaves)] == names


def test_words_of_a_note_are_marked_and_not_the_name() -> None:
    choice = Choice({"regex": "\\bBHA\\b"}, "pack.yaml")
    (fat,) = choice.among(CASE.leaves)
    assert CASE.source.slice(choice.place(CASE, fat)) == "BHA"


@pytest.mark.parametrize("given", ["duck", [{}], {"colour": "red"}, {"id": 3}, [[]]])
def test_what_chooses_nothing_is_refused_with_the_pack(given: object) -> None:
    with pytest.raises(InputError, match=r"pack\.yaml"):
        Choice(given, "pack.yaml")
