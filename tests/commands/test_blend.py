"""`blend`: targets in words, ingredients of the catalogue, what cannot be reached."""

import json

import pytest
from click.testing import CliRunner

from panellint.cli import cli
from panellint.core.errors import ImpossibleFigure
from panellint.nutrition.targets import Target
from panellint.nutrition.targets import read_target as read
from panellint.tasks.blend import PARTS_OF_TARGETS


def read_target(text):
    return read(text, PARTS_OF_TARGETS)


KIBBLE = """Product name: Kibble
Species: dog
Form: kibble
Guaranteed analysis: crude protein (min) 26%, crude fat (min) 14%, crude fiber (max) 5%, moisture (max) 8%, ash (max) 7%
Nutritional adequacy: Kibble is formulated to meet the nutritional levels established by the AAFCO Dog Food Nutrient Profiles for maintenance.
"""  # noqa: E501
MEAT = """Product name: Meat
Form: frozen
Guaranteed analysis: crude protein (min) 20%, crude fat (min) 10%, crude fiber (max) 0%, moisture (max) 68%, ash (max) 1%
Nutritional adequacy: Meat is intended for intermittent or supplemental feeding only.
"""  # noqa: E501


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "kibble.panel").write_text(KIBBLE)
    (tmp_path / "meat.panel").write_text(MEAT)


def invoke(*arguments):
    return CliRunner().invoke(cli, ["blend", *arguments])


@pytest.mark.parametrize(
    ("text", "target"),
    [
        ("carbohydrate=12%-energy", Target("carbohydrate", "energy share", 12)),
        ("carbohydrate = 12 % of the energy", Target("carbohydrate", "energy share", 12)),
        ("Protein >= 35 % dry matter", Target("protein", "dry matter", 35, "at least")),
        ("fat at most 40 g per 1000 kcal", Target("fat", "per 1000 kcal", 40, "at most")),
        ("fiber <= 2.5%", Target("fibre", "as fed", 2.5, "at most")),
        ("ash at most 7,5 % as fed", Target("ash", "as fed", 7.5, "at most")),
        ("energy >= 1200 kcal/kg", Target("energy", "as fed", 1200, "at least")),
        ("energy 4000 kcal/kg dry matter", Target("energy", "dry matter", 4000)),
    ],
)
def test_targets(text, target):
    assert read_target(text) == target


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("less carbs please", "is no target"),
        ("taurine = 1 %", "one of carbohydrate, protein"),
        ("fat = 12 percent-ish", "is no unit for fat"),
        ("energy = 12 %", "kcal/kg"),
        ("", "is no target"),
    ],
)
def test_what_is_no_target(text, why):
    with pytest.raises(ImpossibleFigure, match=why):
        read_target(text)
    result = invoke("kibble.panel", "meat.panel", "--target", text)
    assert (result.exit_code, result.stdout) == (2, "")
    assert why in result.stderr


def test_two_panels_on_paper():
    # Carbohydrate 40 and 1 %; 3500 and 1585 kcal/kg: 1400 + 35 k = 0.3 (3500 + 1585 k), hence
    # k = 350 / 440.5 = 0.79455 kg to each kg.
    arguments = ("kibble.panel", "meat.panel", "--target", "carbohydrate=30%-energy")
    data = json.loads(invoke(*arguments, "--format", "json").stdout)
    assert data["added_grams_per_kg_of_base"] == pytest.approx(794.55, abs=0.01)
    page = invoke(*arguments, "--body-weight", "16")
    text = " ".join(page.stdout.split())
    assert page.exit_code == 0
    assert "Add 795 g of Meat to each kg of Kibble" in text
    assert "more than the customary 10 % (practice)" in text
    assert "For 880 kcal a day" in text
    assert max(map(len, page.stdout.splitlines())) <= 80


def test_an_ingredient_of_the_catalogue():
    result = invoke("kibble.panel", "turkey", "--target", "protein >= 35 % dry matter")
    text = " ".join(result.stdout.split())
    assert "g of turkey to each kg of Kibble" in text
    assert "means of tables, or the middle of literature ranges: an estimate" in text


def test_a_name_that_is_neither():
    result = invoke("kibble.panel", "turky", "--target", "fat = 20 %")
    assert result.exit_code == 2
    assert "is no file, and the catalogue knows no 'turky'; nearest names: turkey" in result.stderr
    missing = invoke("nowhere.panel", "turkey", "--target", "fat = 20 %")
    assert missing.exit_code == 2
    assert "nowhere.panel" in missing.stderr


def test_an_impossible_target():
    result = invoke("kibble.panel", "meat.panel", "--target", "protein >= 90 % dry matter")
    assert result.exit_code == 1
    text = " ".join(result.stdout.split())
    assert "No blend has protein at least 90 % of the dry matter." in text
    assert "nearest that can be reached is Meat alone" in text


def test_a_label_without_figures():
    with open("bare.panel", "w") as file:
        file.write("Product name: Bare\nIngredients: duck\n")
    result = invoke("bare.panel", "meat.panel", "--target", "fat = 20 %")
    assert result.exit_code == 2
    assert "Bare has no energy that can be worked out" in result.stderr
