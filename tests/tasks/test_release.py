"""The gate before print: a recipe from the sheet to the dossier, and what is held back."""

from __future__ import annotations

import hashlib
import json
import subprocess
from datetime import date, timedelta
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner

from panellint.cli import cli
from panellint.lint.runner import git as runner_git

ROOT = Path(__file__).parents[2]
MATERIALS = """\
materials:
  - code: DK-01
    name: Duck, ground with bone
    declared: {us: Duck}
    analysis: {moisture: 56.2, protein: 15.8, fat: 24.3, fibre: 0, ash: 3.2}
    cost: 3.1
  - code: OT-02
    name: rolled oats
    declared: oats
    analysis: {moisture: 10, protein: 13, fat: 7, fibre: 2, ash: 1.8}
    cost: 0.9
  - name: duck fat
    analysis: {moisture: 0.2, protein: 0, fat: 99.5, fibre: 0, ash: 0.1}
    cost: 1.8
"""
RECIPE = """\
product: Quillbrook Larder Duck & Oat Recipe for Dogs
species: dog
form: baked
market: us
unit: cup 110 g
materials: materials.yaml
steps:
  - mix: [{material: DK-01, amount: 60.5 kg}, {material: OT-02, amount: 39.5 kg}]
  - add-water: 10 kg
  - dry: {to-moisture: 8 %}
  - coat: [{material: duck fat, amount: 3 kg}]
"""
REST = (
    "Net weight: 2 kg (4.4 lb)\n"
    "Manufactured by Quillbrook Larder, 1 Mill Lane, Quillbrook, OH 43001\n"
    "Feeding directions: feed half a cup a day as a treat.\nBatch sheet: recipe.yaml\n"
)


def run(*arguments: str):
    return CliRunner().invoke(cli, arguments)


def commit(folder: Path) -> None:
    identity = ["-c", "user.name=x", "-c", "user.email=x@quillbrook.example"]
    for words in (["init", "-q"], ["add", "-A"], ["commit", "-qm", "labels"]):
        subprocess.run(["git", *identity, *words], cwd=folder, check=True, capture_output=True)


@pytest.fixture
def larder(tmp_path, monkeypatch):
    """A repository with one recipe, and the label that is declared from it."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "materials.yaml").write_text(MATERIALS)
    (tmp_path / "recipe.yaml").write_text(RECIPE)
    done = run("declare", "recipe.yaml", "--output", "duck.panel", "--quiet")
    assert done.exit_code == 0, done.output
    label = tmp_path / "duck.panel"
    label.write_text(label.read_text() + REST)
    runner_git._repository.cache_clear()
    return tmp_path


def dossier(*arguments: str) -> tuple[int, dict]:
    runner_git._repository.cache_clear()
    done = run("release", *arguments, "--format", "json")
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done.exit_code, json.loads(done.stdout)


def test_a_recipe_goes_from_the_steps_to_print(larder):
    assert run("lint", "duck.panel").exit_code == 0
    assert run("reconcile", "duck.panel", "--quiet").exit_code == 0
    status, data = dossier(".")
    assert status == 0
    (label,) = data["labels"]
    assert (label["path"], label["verdict"]) == ("duck.panel", "may print")
    assert label["sheet"] == "recipe.yaml"
    (market,) = label["markets"]
    assert market["market"] == "us"
    assert {one["state"] for one in market["questions"]} <= {"in order", "to look at"}
    assert market["requirements"]["met"] > 20
    # 60.5 x 3.1 + 39.5 x 0.9 + 3 x 1.8, over 113 kg of the mix.
    assert label["price"]["mix"] == pytest.approx(
        (60.5 * 3.1 + 39.5 * 0.9 + 3 * 1.8) / 113, abs=1e-3
    )


def test_the_digests_are_those_of_all_that_was_judged(larder):
    (larder / "panellint.yaml").write_text("market: us\n")
    _, data = dossier(".")
    files = {one["path"]: (one["kind"], one["sha256"]) for one in data["labels"][0]["files"]}
    assert set(files) == {"duck.panel", "recipe.yaml", "materials.yaml", "panellint.yaml"}
    for name, (_, digest) in files.items():
        assert digest == hashlib.sha256((larder / name).read_bytes()).hexdigest()
    assert len(data["program"]["rules"]) == 64


def test_weights_stay_out_unless_they_are_asked_for(larder):
    done = run("release", ".", "--format", "json")
    for secret in ("53.5", "60.5", "39.5", "34.9", "percent", 'weights":'):
        assert secret not in done.stdout.replace('"question": "weights"', "")
    asked = run("release", ".", "--with-weights", "--format", "json")
    weights = json.loads(asked.stdout)["labels"][0]["weights"]
    assert weights[0]["percent"] == pytest.approx(60.5 / 1.13)


@pytest.mark.parametrize(
    ("old", "new", "question", "says"),
    [
        ("Duck & Oat Recipe", "Duck", "name", "duck is less than 95 % of the mix without"),
        ("Ingredients: Duck, oats", "Ingredients: Oats, duck", "weights", "weighs more"),
        ("Crude protein (min.) ...... ", "Crude protein (min.) ...... 4", "guarantees", ""),
    ],
)
def test_a_faulty_release_is_refused_with_its_reason(larder, old, new, question, says):
    label = larder / "duck.panel"
    assert old in label.read_text()
    label.write_text(label.read_text().replace(old, new))
    status, data = dossier(".")
    assert status == 1
    found = data["labels"][0]
    assert found["verdict"] == "may not print"
    assert any(one["question"] == question and says in one["message"] for one in found["why"])
    states = {one["question"]: one["state"] for one in found["markets"][0]["questions"]}
    assert states[question] == "departs"


# By hand: 60.5 kg of 103 kg, the added 10 kg of water left out, is 58.7 %.
def test_what_the_maker_waives_keeps_no_label_from_print_as_a_requirement(larder):
    label = larder / "duck.panel"
    label.write_text(label.read_text().replace("Net weight: 2 kg (4.4 lb)", "Net weight: 2 kg"))
    status, data = dossier(".")
    assert status == 1
    rules = {reason["rule"] for reason in data["labels"][0]["why"]}
    assert rules, "nothing stands against such a label"
    until = date.today() + timedelta(days=90)
    waivers = "".join(f"Waive {rule} until {until}: sold abroad\n" for rule in rules)
    label.write_text(label.read_text() + waivers)
    status, data = dossier(".")
    assert (status, data["labels"][0]["why"]) == (0, [])
    assert {words.partition(":")[0] for words in data["labels"][0]["waived"]} == rules


def test_what_the_weights_settle_is_told_once_and_with_its_arithmetic_where_asked(larder):
    label = larder / "duck.panel"
    label.write_text(label.read_text().replace("Duck & Oat Recipe", "Duck"))
    _, data = dossier(".")
    (reason,) = data["labels"][0]["why"]
    assert reason["question"] == "name"
    assert "58.7" not in json.dumps(data)
    assert "--with-weights adds the arithmetic" in run("release", ".").stdout
    _, data = dossier(".", "--with-weights")
    (reason,) = data["labels"][0]["why"]
    assert any("58.738 % of the mix without" in words for words in reason["arithmetic"])
    assert any("at least 95 % is asked for" in words for words in reason["arithmetic"])


def test_what_could_not_be_judged_is_no_pass(larder):
    label, recipe = larder / "duck.panel", larder / "plain.csv"
    recipe.write_text("Ingredient,kg\nDuck,60.5\noats,39.5\nduck fat,3\n")
    text = label.read_text().replace("recipe.yaml", "plain.csv")
    label.write_text("".join(x for x in text.splitlines(True) if "Moisture" not in x))
    _, data = dossier(".")
    found = data["labels"][0]
    assert any("What the finished food holds is not known" in x["message"] for x in found["why"])
    recipe.write_text("Finished moisture: 8 %\nIngredient,kg\nDuck,60.5\nzork,39.5\n")
    label.write_text(text.replace("oats, duck fat", "zork"))
    _, data = dossier(".")
    (found,) = data["labels"]
    assert any("is not judged: no figure for zork" in x["message"] for x in found["look_at"])
    (states,) = ({x["question"]: x["state"] for x in one["questions"]} for one in found["markets"])
    assert states["guarantees"] != "in order"


def test_a_hazard_beside_a_row_of_two_names_keeps_a_label_from_print(larder):
    (larder / "plain.csv").write_text(
        "Finished moisture: 8 %\nIngredient,kg\nDuck,60\n"
        "Peas and carrots,38.5\nSalt,1\nXylitol,0.5\n"
    )
    label = larder / "duck.panel"
    text = label.read_text().replace("recipe.yaml", "plain.csv")
    label.write_text(text.replace("Duck, oats, duck fat", "Duck, peas, carrots, salt"))
    _, data = dossier(".")
    (found,) = data["labels"]
    assert found["verdict"] == "may not print"
    hazards = [one["message"] for one in found["why"] if one["rule"] == "sheet-hazard"]
    assert [words.partition(" is in the batch")[0] for words in hazards] == ["Xylitol"]


# By hand: 34 kg of water in the duck, 3.95 in the oats and 10 added, of 113 kg (duck fat 0.006).
def test_the_mass_balance_stands_in_the_dossier(larder):
    _, data = dossier(".")
    balance = data["labels"][0]["balance"]
    assert balance["water_in"] == pytest.approx(100 * (34.001 + 3.95 + 10.006) / 113, abs=0.01)
    done = run("release", ".", "--format", "html")
    assert "Mass balance: 100 kg of the mix" in done.stdout


def test_each_market_that_a_label_is_sold_in_is_judged(larder):
    label = larder / "duck.panel"
    label.write_text(label.read_text().replace("Market: US", "Market: US, CA"))
    status, data = dossier(".")
    found = data["labels"][0]
    assert [one["market"] for one in found["markets"]] == ["us", "ca"]
    assert status == 1
    assert {one["market"] for one in found["why"]} == {"ca"}


def test_a_label_without_a_sheet_and_one_whose_sheet_cannot_be_used(larder):
    label = larder / "duck.panel"
    text = label.read_text()
    label.write_text(text.replace("Batch sheet: recipe.yaml\n", ""))
    status, data = dossier(".")
    assert (status, data["labels"][0]["verdict"]) == (1, "not judged")
    assert "names no batch sheet" in data["labels"][0]["why"][0]["message"]
    label.write_text(text)
    (larder / "recipe.yaml").write_text(RECIPE.replace("8 %", "70 %"))
    status, data = dossier(".")
    assert (status, data["labels"][0]["verdict"]) == (2, "not judged")
    assert "the finished food is heavier" in data["labels"][0]["why"][0]["message"]


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("recipe.yaml", RECIPE.replace("39.5", "39.6")),
        ("materials.yaml", MATERIALS.replace("cost: 3.1", "cost: 3.4")),
        ("house.yaml", "pack: house\nrules: []\n# changed\n"),
        ("panellint.yaml", "market: us\npacks: [house.yaml]\n"),
        ("duck.panel", None),
    ],
)
def test_since_sees_all_that_a_label_rests_on(larder, name, change):
    (larder / "house.yaml").write_text("pack: house\nrules: []\n")
    (larder / "panellint.yaml").write_text("packs: [house.yaml]\n")
    commit(larder)
    status, data = dossier(".", "--since", "HEAD")
    assert (status, data["labels"], data["unchanged"]) == (0, [], ["duck.panel"])
    path = larder / name
    path.write_text(change if change is not None else path.read_text() + "Lot: 1\n")
    _, data = dossier(".", "--since", "HEAD")
    assert [one["path"] for one in data["labels"]] == ["duck.panel"]
    if name == "materials.yaml":
        price = data["labels"][0]["price"]
        assert price["mix"] - price["before"] == pytest.approx(0.3 * 60.5 / 113, abs=1e-3)


def test_the_dossier_is_a_page_too(larder):
    done = run("release", ".", "--format", "html", "--output", "dossier.html")
    assert done.exit_code == 0, done.output
    page = (larder / "dossier.html").read_text()
    assert hashlib.sha256((larder / "recipe.yaml").read_bytes()).hexdigest() in page
    assert "may print" in page


def test_the_hook_is_a_command_that_runs(larder):
    commit(larder)
    hooks = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text())
    hook = next(one for one in hooks if one["id"] == "panellint-release")
    program, *arguments = hook["entry"].split()
    assert program == "panellint"
    runner_git._repository.cache_clear()
    assert run(*arguments).exit_code == 0
