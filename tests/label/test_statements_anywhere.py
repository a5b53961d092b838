"""Statements are read wherever they stand, in any wording, and other foods' are left alone."""

from __future__ import annotations

import textwrap

import pytest

from panellint.core.source import Source
from panellint.label.model import Label
from panellint.label.reader import read_label

_LISTS = "Ingredients: turkey, millet\n"


def _read(text: str) -> Label:
    return read_label(Source(text, "label"))


def _routes(text: str) -> list[str]:
    return [one.route for one in _read(text).adequacy]


@pytest.mark.parametrize("before", ["Feeding directions: One cup daily. ", "Storage: Keep dry. "])
def test_a_statement_stands_behind_other_words_of_any_section(before: str) -> None:
    statement = "Goose Bowl is formulated to meet the nutritional levels established by the AAFCO"
    text = f"{_LISTS}{before}{statement} Dog Food Nutrient Profiles for maintenance.\n"
    (one,) = _read(text).adequacy
    assert (one.route, one.species, one.stages) == ("formulated", "dog", ("maintenance",))
    assert text[one.span.start : one.span.end].startswith("Goose Bowl is")


@pytest.mark.parametrize("width", [30, 42, 60])
@pytest.mark.parametrize(
    "before", ["", "Calories: 3,600 kcal/kg. ", "Feed 1 cup per 20 lb daily. "]
)
def test_a_statement_goes_on_over_lines_of_any_width(before: str, width: int) -> None:
    statement = (
        "Goose Bowl is formulated to meet the nutritional levels established by the Association of "
        "American Feed Control Officials (AAFCO) Dog Food Nutrient Profiles for growth, except for "
        "growth of large size dogs (70 lbs. or more as an adult)."
    )
    (one,) = _read(f"{_LISTS}\n{textwrap.fill(before + statement, width)}\nNet Wt 2 lb\n").adequacy
    assert (one.route, one.species, one.stages) == ("formulated", "dog", ("growth",))
    assert one.large_size == "excluded"


@pytest.mark.parametrize(
    ("words", "route"),
    [
        ("Meets the AAFCO Cat Food Nutrient Profiles for growth.", "formulated"),
        ("For intermittent and supplementary feeding only.", "intermittent"),
        ("Aliment semi-humide complet pour chiens", "complete"),
        ("Alimento umido dietetico completo per gatti", "complete"),
        ("Pienso extrusionado completo para perros", "complete"),
        ("Volledige natte voeding voor katten", "complete"),
        ("Diät-Ergänzungsfuttermittel für Hunde", "complementary"),
        ("Complementary air-dried pet food for cats", "complementary"),
        ("Einzelfuttermittel für Hunde", "material"),
        ("Feed material for cats", "material"),
        ("Matière première pour chiens", "material"),
        ("Matière première des aliments pour animaux", "material"),
        ("Diervoedergrondstof voor honden", "material"),
    ],
)
def test_a_type_of_feed_is_read_with_any_words_between(words: str, route: str) -> None:
    assert _routes(f"Goose Bowl\n{words}\n{_LISTS}") == [route]


@pytest.mark.parametrize(
    "words",
    [
        "Mix it into your cat's usual complete food.",
        "Servir avec un aliment complet.",
        "Zusammen mit einem Alleinfuttermittel geben.",
        "Da servire con un alimento completo.",
        "Samen met een volledig diervoeder geven.",
        "*Not recognized as an essential nutrient by the AAFCO Dog Food Nutrient Profiles.",
    ],
)
def test_words_about_another_food_are_no_statement(words: str) -> None:
    assert _routes(f"{_LISTS}Feeding directions: {words}\n") == []


@pytest.mark.parametrize(
    "line",
    [
        "Give one sachet per 3 kg of cat.",
        "Servir tiède.",
        "5 kg 90 g, 10 kg 150 g",
        "Geef 2 stuks.",
    ],
)
def test_a_line_that_says_how_to_feed_needs_no_heading(line: str) -> None:
    label = _read(f"{_LISTS}Net weight: 2 kg\n\n{line}\n")
    assert label.facts["feeding"][0] == line


def test_types_of_feed_in_lines_below_one_another_are_read_in_order_and_without_end():
    two = "Lamb Mince\nComplementary pet food for dogs\nComplete pet food for cats\n"
    assert _routes(two) == ["complementary", "complete"]
    # More lines than one language a line could fill, and more than calls may stand in calls.
    assert set(_routes("Lamb Mince\n" + "Complete food for dogs\n" * 3000)) == {"complete"}
