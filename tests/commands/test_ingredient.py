import json

import pytest
from click.testing import CliRunner

from panellint.cli import cli


def invoke(*arguments):
    return CliRunner().invoke(cli, ["ingredient", *arguments])


def test_what_is_known_is_told_with_its_sources():
    result = invoke("organic duck")
    assert result.exit_code == 0
    assert result.stdout.startswith("organic duck: duck, qualified as organic\n")
    assert "Sources\n  [1] " in result.stdout
    data = json.loads(invoke("duck", "--format", "json").stdout)
    assert data["known_as"] == "duck"
    assert all(figure["source"] for figure in data["figures"].values())


@pytest.mark.parametrize(
    ("printed", "id"),
    [
        ("Chicken Meal (preserved with mixed tocopherols)", "chicken-meal"),
        ("Deboned Chicken 26 %", "chicken"),
        ("30% fresh salmon", "salmon"),
        ("Salmon Oil (a source of DHA)", "salmon-oil"),
        ("chicken fat preserved with mixed tocopherols", "chicken-fat"),
        ("Organic Quinoa*", "quinoa"),
        ("Freeze-Dried Lamb Lung (3.5%)", "dried-lamb-lung"),
    ],
)
def test_a_name_is_taken_as_it_is_printed(printed, id):
    result = invoke(printed, "--format", "json")
    assert result.exit_code == 0, result.output
    data = json.loads(result.stdout)
    assert (data["name"], data["known_as"]) == (printed, id)


def test_it_says_how_a_name_was_composed():
    data = json.loads(invoke("freeze-dried lamb lung", "--format", "json").stdout)
    assert data["how"] == "composed"
    assert data["composed_of"] == {
        "source": "sheep",
        "part": "lung",
        "state": "dried",
        "treatment": "freeze-dried",
    }
    assert (data["kind"], data["origin"], data["species"]) == ("organ", "animal", "sheep")
    assert "sheep, lung, freeze-dried, dried" in invoke("freeze-dried lamb lung").stdout


def test_several_ingredients_are_not_one():
    result = invoke("peas and carrots")
    assert result.exit_code == 2
    assert "peas, carrots" in result.stderr


def test_an_unknown_name_has_its_nearest_names():
    result = invoke("dried chiken")
    assert result.exit_code == 2
    assert result.stdout == ""
    assert "the catalogue knows no 'dried chiken'; nearest names: dried chicken" in result.stderr


def test_a_faulty_market_is_told():
    result = invoke("duck", "--market", "moon")
    assert result.exit_code == 2
    assert "unknown market" in result.stderr


def test_a_name_of_another_language_says_so() -> None:
    result = CliRunner().invoke(cli, ["ingredient", "Kakaopulver"])
    assert "another language: --language da, de or sv" in str(result.exception) + result.output
