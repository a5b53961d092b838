"""`nutrition`: the numbers of six labels beside the same arithmetic on paper, and the page."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from panellint import api
from panellint.cli import cli
from panellint.core.source import read

CORPUS = Path(__file__).parents[2] / "corpus"


def invoke(*arguments, **options):
    return CliRunner().invoke(cli, ["nutrition", *map(str, arguments)], **options)


# Worked with a pencil from the printed guarantees and the ash that practice takes for the form:
# 100 less the five parts; 10 x (3.5 protein + 8.5 fat + 3.5 carbohydrate), the factors of the
# AAFCO model regulation PF9(a)(3); dry matter by x / (100 - moisture) x 100.
ON_PAPER = {
    # kibble, dog: 100 - 29.5 - 18 - 3 - 10 - 7; 10 x (103.25 + 153 + 113.75); 29.5 / 0.9
    "chicken-barley-kibble": (32.5, 3700.0, 32.7778),
    # dehydrated, dog: 100 - 32 - 15 - 3.5 - 8 - 7; 10 x (112 + 127.5 + 120.75); 32 / 0.92
    "beef-carrot-dehydrated": (34.5, 3602.5, 34.7826),
    # loaf, cat: 100 - 12.5 - 9 - 0.5 - 75 - 2.5; 10 x (43.75 + 76.5 + 1.75); 12.5 / 0.25
    "chicken-loaf-kitten": (0.5, 1220.0, 50.0),
    # stew, dog: 100 - 10.5 - 5 - 0.5 - 78 - 2.5; 10 x (36.75 + 42.5 + 12.25); 10.5 / 0.22
    "lamb-stew-gravy": (3.5, 915.0, 47.7273),
    # topper: 100 - 2 - 2.5 - 1.5 - 82.5 - 2.5; 10 x (7 + 21.25 + 31.5); 2 / 0.175
    "pumpkin-topper": (9.0, 597.5, 11.4286),
    # kibble, cat: 100 - 36.5 - 13 - 2 - 9 - 7; 10 x (127.75 + 110.5 + 113.75); 36.5 / 0.91
    "salmon-missing-cat-kibble": (32.5, 3520.0, 40.1099),
}


@pytest.mark.parametrize("label", ON_PAPER)
def test_six_labels_on_paper(label):
    data = json.loads(invoke(CORPUS / f"{label}.panel", "--format", "json").stdout)
    carbohydrate, kcal, protein = ON_PAPER[label]
    assert data["ash_assumed"]
    assert data["bases"]["as_fed"]["carbohydrate"] == pytest.approx(carbohydrate, abs=1e-4)
    assert data["energy"]["kcal_per_kg"] == pytest.approx(kcal, abs=1e-4)
    assert data["bases"]["dry_matter"]["protein"] == pytest.approx(protein, abs=1e-4)


def test_the_equation_of_the_nrc_on_paper():
    # The same cat kibble: gross 10 x (5.7 x 36.5 + 9.4 x 13 + 4.1 x 34.5) = 4717; digestibility
    # 87.9 - 0.88 x 2 / 0.91 = 85.966 %; less 0.77 x 365 (NRC 2006; FEDIAF, annex 7.2).
    data = api.nutrition(read(CORPUS / "salmon-missing-cat-kibble.panel").text)
    by = {one["method"]: one["kcal_per_kg"] for one in data["energy"]["by_method"]}
    assert by["NRC 2006 four-step equation"] == pytest.approx(3773.96, abs=0.01)


def test_the_bowl_of_a_dehydrated_food_on_paper():
    # One weight of food with 1.5 of water: each part over 2.5; moisture (8 + 150) / 2.5.
    data = api.nutrition(read(CORPUS / "beef-carrot-dehydrated.panel").text)
    bowl = data["prepared"]
    assert bowl["water_per_weight"] == 1.5
    assert bowl["as_fed"] == {
        "protein": 12.8,
        "fat": 6.0,
        "fibre": 1.4,
        "moisture": 63.2,
        "ash": 2.8,
        "carbohydrate": 13.8,
    }
    assert bowl["kcal_per_kg"] == 1441


def test_the_object_is_that_of_python():
    path = CORPUS / "lamb-kibble-eu.panel"
    told = json.loads(invoke(path, "--format", "json").stdout)
    assert told.pop("version") == 1
    assert told == api.nutrition(read(path).text, str(path))


def test_the_page_names_what_it_rests_on():
    page = invoke(CORPUS / "beef-carrot-dehydrated.panel").stdout
    for words in (
        "bowl, %",
        "* usual for such a food; the label does not declare ash.",
        "guarantees, practice",
        "NRC 2006 four-step equation",
        "the label's own (calculated)",
        "Practice aims for 12 to 15 % carbohydrate.",
        "The label prints nothing that could be held against",
        "calcium to phosphorus",
        "Sources",
        "AAFCO model regulation PF9(a)(3)",
    ):
        assert words in page, words
    assert page.count("This informs and does not certify") == 1
    # The first line is the path, which is as long as the folder's name.
    assert max(map(len, page.splitlines()[1:])) <= 80
    assert not any(line.endswith(" ") for line in page.splitlines())


def test_impossible_figures_make_up_no_number():
    result = invoke(CORPUS / "chicken-swapped-guarantees.panel")
    assert result.exit_code == 0
    assert "carbohydrate: protein, fat, fibre, moisture and ash add up to 108 %" in " ".join(
        result.stdout.split()
    )
    assert "Energy\n" not in result.stdout


def test_a_terminal_without_unicode_gets_ascii():
    result = CliRunner(charset="ascii").invoke(
        cli, ["nutrition", str(CORPUS / "lamb-stew-gravy.panel")]
    )
    assert result.stdout_bytes.isascii()
    assert "---" in result.stdout


def test_colour_obeys_the_environment(monkeypatch):
    path = CORPUS / "lamb-stew-gravy.panel"
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("FORCE_COLOR", "1")
    assert "\x1b[" in invoke(path, color=True).stdout
    monkeypatch.setenv("NO_COLOR", "1")
    assert "\x1b[" not in invoke(path, color=True).stdout


def test_what_a_label_prints_cannot_command_the_terminal():
    text = "Product name: Duck\x1b[31m Dinner\nGuaranteed analysis: crude protein (min) 26%\n"
    page = invoke("-", input=text).stdout
    assert "\x1b" not in page


def test_a_file_that_is_not_there():
    result = invoke("nowhere.panel")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "nowhere.panel" in result.stderr


def test_no_range_is_printed_twice():
    label = (
        "Product name: Oat Biscuits\nSpecies: dog\nMarket: us\n"
        "Ingredients: oat flour, barley flour, peanut butter, dried banana, salt\n"
        "Guaranteed analysis: crude protein (min) 11 %, crude fat (min) 7 %, crude fiber (max) "
        "4 %, moisture (max) 9 %\nCalorie content (calculated): 3,650 kcal/kg\n"
    )
    ranges = api.nutrition(label)["ranges"]["carbohydrate"]
    assert len(ranges) > 2
    assert len({tuple(row["rests_on"]) for row in ranges}) == len(ranges)


def test_the_page_says_by_which_energy_a_figure_goes():
    """The equation of the NRC is taken in the EU, modified Atwater for ranges, and the label's own
    energy against the profile: 270 / 3.72 is 72.6, and 270 / 3.68 is 73.4."""
    label = (
        "Market: eu\nProduct name: Duck\nComplete pet food for adult dogs\n"
        "Composition: duck meal, potato\nAnalytical constituents: protein 27 %, fat content 16 %, "
        "crude fibre 3.5 %, crude ash 9.5 %, moisture 9 %\n"
        "Metabolisable energy: 3720 kcal/kg\n"
    )
    page = " ".join(invoke("-", input=label).stdout.split())
    assert "what is per 1000 kcal or of the energy, goes by modified Atwater." in page
    assert "on energy (by the label's own 3720 kcal/kg as fed)." in page
    assert "Grams per 1000 kcal go by the energy that is computed here" in page
    assert "modified Atwater." not in invoke(CORPUS / "lamb-stew-gravy.panel").stdout


def test_halves_are_rounded_up_wherever_they_are_shown(tmp_path):
    # 10 x (3.5 x 5 + 8.5 x 3.5 + 3.5 x 2) = 542.5
    path = tmp_path / "wet.panel"
    path.write_text(
        "Product name: Turkey Stew for Dogs\nMarket: us\nIngredients: turkey, rice, carrots\n"
        "Guaranteed analysis: crude protein (min) 5 %, crude fat (min) 3.5 %, crude fiber (max) "
        "1 %, moisture (max) 86 %, ash (max) 2.5 %\n"
    )
    for command in (["nutrition"], ["compare"], ["report", "--kind", "range"]):
        page = CliRunner().invoke(cli, [*command, str(path)]).stdout
        assert " 543" in page, command
        assert " 542" not in page, command
