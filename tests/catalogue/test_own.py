"""Ingredients of a user's own: named in `panellint.yaml`, used by every question."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from panellint import api
from panellint.catalogue import load
from panellint.catalogue.own_files import schema
from panellint.cli import cli
from panellint.core.errors import InputError
from panellint.rulepacks.compile import yaml_source
from panellint.rulepacks.settings import Settings
from panellint.server.answers import Answers, Question

OWN = """ingredients:
  - name: Orchard chicken meal
    names: {en: [orchard poultry flour], de: [Obstgartenmehl]}
    kind-of: chicken meal
    figures: {protein: [66, 70], fat: [10, 14], ash: [8, 11]}
    source: certificate of the supplier, 2026-03
  - name: Hillside lungs
    kind-of: freeze-dried lamb lung
    source: as of its kind
"""
LABEL = """Product name: Quillbrook Larder Chicken Recipe for Dogs
Ingredients: Orchard chicken meal, brown rice, Hillside lungs, chicken fat.
Guaranteed analysis
Crude protein (min.) 30 %
Moisture (max.) 10 %
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "own.yaml").write_text(OWN, encoding="utf-8")
    (tmp_path / "panellint.yaml").write_text("ingredients: [own.yaml]\n", encoding="utf-8")
    return tmp_path


def faults(folder: Path, text: str) -> list[str]:
    (folder / "own.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load((folder / "own.yaml",))
    return [
        f"{one.line}:{one.column} {one.message} ({one.expected})" for one in caught.value.faults
    ]


def test_an_own_ingredient_is_a_kind_of_what_the_catalogue_knows(folder: Path) -> None:
    catalogue = load((folder / "own.yaml",))
    match = catalogue.lookup("orchard poultry flour")
    assert match is not None
    assert match.how == "listed"
    meal = match.known
    assert (meal.id, meal.own_of, meal.species) == (
        "own-orchard-chicken-meal",
        "chicken-meal",
        "chicken",
    )
    assert meal.classes[1:] == load().known("chicken-meal").classes
    assert meal.range_of("protein") == (66, 70)
    assert meal.range_of("moisture") == load().known("chicken-meal").range_of("moisture")
    german = catalogue.lookup("Obstgartenmehl", market="eu", language="de")
    assert german is not None
    assert german.known is meal
    assert meal.family == load().known("chicken-meal").family
    lungs = catalogue.lookup("hillside lung")
    assert lungs is not None
    assert (lungs.known.kind, lungs.known.own_of) == ("organ", "dried-lamb-lung")
    dried = catalogue.lookup("organic orchard chicken meal")
    assert dried is not None
    assert (dried.how, dried.known.id) == ("qualified", meal.id)
    assert load().lookup("orchard chicken meal") is None
    assert len(list(catalogue)) == len(list(load())) + 2


def test_every_question_takes_it(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = str(folder / "a.panel")
    (folder / "a.panel").write_text(LABEL, encoding="utf-8")
    outline = api.outline(LABEL, path)
    assert [one["known_as"] for one in outline["declaration"]][:1] == ["own-orchard-chicken-meal"]
    assert not [
        one for one in api.lint(LABEL, path)["findings"] if one["rule"] == "unknown-ingredient"
    ]
    shares = api.shares(LABEL, path)
    # Rice has no more than 18 % protein: 30 % needs the meal of 66 % at least to be there.
    assert shares["ingredients"][0]["low"] > 20
    monkeypatch.chdir(folder)
    reached = api.trace("chicken meal", ["a.panel"])["reached"]
    assert [(one["printed"], one["level"]) for one in reached] == [
        ("Orchard chicken meal", "contains")
    ]
    (folder / "batch.csv").write_text(
        "ingredient,kg\nOrchard chicken meal,40\nbrown rice,60\n", encoding="utf-8"
    )
    ours = api.declare(str(folder / "batch.csv"), species="dog", moisture=8)
    plain = (folder / "batch.csv").read_text(encoding="utf-8").replace("Orchard c", "C")
    (folder / "plain.csv").write_text(plain, encoding="utf-8")
    other = api.declare(str(folder / "plain.csv"), species="dog", moisture=8)
    protein = [one["analysis"]["finished_food"]["protein"] for one in (ours, other)]
    assert protein[0]["high"] < protein[1]["high"]


def test_a_hazard_stays_with_what_is_a_kind_of_it(folder: Path) -> None:
    (folder / "own.yaml").write_text(
        "ingredients:\n  - {name: Frost sugar, kind-of: xylitol, source: kitchen}\n"
    )
    text = "Ingredients: chicken, rice, Frost sugar.\nSpecies: dog\n"
    found = api.lint(text, str(folder / "a.panel"))["findings"]
    assert [one["message"][:30] for one in found if one["rule"] == "hazard"] == [
        "Frost sugar: unsafe for dogs, "
    ]


def test_faults_have_their_place_and_the_nearest_name(folder: Path) -> None:
    assert faults(
        folder,
        "ingredients:\n"
        "  - {name: Xylitol, kind-of: sugar, source: x}\n"
        "  - {name: Meal of ours, kind-of: chicken mael, source: x}\n"
        "  - {name: Carrot of ours, kindof: dried carrot, source: x}\n"
        "  - {name: Leaves, kind-of: carrot, figures: {protien: [1, 2], ash: [3]}, source: x}\n"
        "  - name: Roots\n    names: {xx: [a]}\n    kind-of: dried carrot\n"
        "    figures: {fat: [4, 2]}\n    source: x\n"
        "  - {name: Flour, kind-of: rice, figures: {protein: [90, 95]}, source: x}\n"
        "  - {name: flour, kind-of: rice, source: x}\n",
    ) == [
        "2:12 `Xylitol` is the name of xylitol, a hazard to the dog "
        "(another name, or `kind-of: xylitol`)",
        "3:35 the catalogue knows no `chicken mael` "
        "(`chicken meal`, `chicken meat` or `chicken frame`)",
        "4:5 key `kind-of` is missing in `ingredients[3]` ()",
        "4:28 unknown key `kindof` in `ingredients[3]` (`kind-of`)",
        "5:47 unknown nutrient `protien` (`protein`)",
        "5:69 `ingredients[4].figures.ash` holds 1 (2)",
        "7:13 unknown language `xx` ()",
        "9:20 `fat` is from 4 to 2 % (the least, then the most)",
        "11:43 with the ranges of rice, the six parts sum to between 160.5 and 205.6 % "
        "(parts that sum to 100 %)",
        "12:12 another ingredient has the name `flour` already (a name of its own)",
    ]


def test_a_file_that_is_not_there_is_a_fault_of_the_settings(folder: Path) -> None:
    (folder / "panellint.yaml").write_text("ingredients: [onw.yaml]\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        Settings.for_path(folder / "a.panel")
    assert "unknown file of ingredients `onw.yaml`" in str(caught.value)
    assert caught.value.faults[0].expected == "`own.yaml`"


def test_a_changed_file_is_read_again(folder: Path) -> None:
    path = folder / "own.yaml"
    assert load((path,)).lookup("hillside lungs")
    path.write_text(OWN.replace("Hillside", "Lakeside"), encoding="utf-8")
    assert load((path,)).lookup("hillside lungs") is None
    assert load((path,)).lookup("lakeside lungs")


def test_the_server_reads_a_changed_file_again(folder: Path) -> None:
    path = str(folder / "a.panel")
    question = Question("Ingredients: Lakeside lungs.", path, "file:///a.panel", "utf-16", True)
    answers = Answers()
    assert answers.context(question).leaves[0].match is None
    (folder / "own.yaml").write_text(OWN.replace("Hillside", "Lakeside"), encoding="utf-8")
    assert answers.context(question).leaves[0].match is not None


def test_the_schema_takes_the_file_and_refuses_another(folder: Path) -> None:
    made = schema()
    jsonschema.validate(yaml_source.read(folder / "own.yaml").data, made)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({"ingredients": [{"name": "x", "source": "y"}]}, made)
    printed = CliRunner().invoke(cli, ["schema", "ingredients"])
    assert json.loads(printed.stdout) == made


def test_new_asks_and_writes_what_the_catalogue_then_reads(folder: Path) -> None:
    path = folder / "own.yaml"
    answers = {"name": "Brook trout meal", "kind-of": "trout meal", "protein": "60 - 66.5"}
    given = [f"--answer={key}={value}" for key, value in answers.items()]
    done = CliRunner().invoke(
        cli, ["ingredient", "--new", str(path), *given, "--answer=source=assay"]
    )
    assert done.exit_code == 0, done.output
    assert path.read_text(encoding="utf-8").startswith(OWN)
    found = load((path,)).lookup("brook trout meal")
    assert found is not None
    assert found.known.range_of("protein") == (60, 66.5)
    before = path.read_text(encoding="utf-8")
    wrong = CliRunner().invoke(
        cli, ["ingredient", "--new", str(path), *given, "--answer=source=x", "--answer=fat=much"]
    )
    assert wrong.exit_code == 2
    assert "two numbers are expected" in wrong.output
    assert path.read_text(encoding="utf-8") == before


def test_own_files_load_from_the_cache_without_what_validates_them(folder: Path) -> None:
    program = (
        "import sys; from pathlib import Path; from panellint.catalogue import load\n"
        f"own = (Path({str(folder / 'own.yaml')!r}),)\n"
        "load(own).lookup('hillside lungs').known.figures['fat']\n"
        "print(sorted({'yaml', 'pydantic'} & set(sys.modules)))"
    )
    environment = {**os.environ, "PANELLINT_CACHE": str(folder / "cache")}
    for _ in range(2):
        done = subprocess.run(
            [sys.executable, "-c", program],
            capture_output=True,
            text=True,
            env=environment,
            check=True,
        )
    assert done.stdout.strip() == "[]"


def test_a_pack_is_tried_with_the_own_ingredients_beside_it(folder: Path) -> None:
    answers = {
        "check": "1",
        "which": "Hillside lungs",
        "among-first": "5",
        "title": "No lungs",
        "because": "A promise of the house.",
        "passes": "Ingredients: duck, millet",
        "fails": "Ingredients: duck, hillside lung",
    }
    given = [f"--answer={key}={value}" for key, value in answers.items()]
    pack = folder / "house.yaml"
    made = CliRunner().invoke(cli, ["rule", "--new", str(pack), *given])
    assert made.exit_code == 0, made.output
    assert "id: [own-hillside-lungs]" in pack.read_text(encoding="utf-8")
    tried = CliRunner().invoke(cli, ["rule", "--try", str(pack)])
    assert tried.exit_code == 0, tried.output
