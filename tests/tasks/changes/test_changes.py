"""Two versions of a label, worked out by hand, and the command around them."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from panellint.analysis.context import LabelContext
from panellint.cli import cli
from panellint.core.sequences import longest_run
from panellint.core.source import Source
from panellint.rulepacks.settings import Settings
from panellint.tasks.changes import changes

OLD = """Product name: Quillbrook Larder Duck Dinner for Dogs
Ingredients: duck, millet, peas, hemp seed, dried egg, duck fat (preserved with mixed tocopherols), vitamins (vitamin E supplement, biotin), salt.
Guaranteed analysis
  Crude protein (min.) 26.0%
  Crude fat (min.) 14.0%
  Crude fiber (max.) 5.0%
  Moisture (max.) 8.0%
Calorie content (calculated): 3,500 kcal/kg, 390 kcal per cup
Claims: no by-products
"""  # noqa: E501
NEW = """Product name: Quillbrook Larder Duck for Dogs
Ingredients: duck, hemp seed, millet, pea protein, pea starch, dried egg, duck fat (preserved with BHA), vitamins (biotin), pumpkin, salt.
Guaranteed analysis
  Crude protein (min.) 24.0%
  Crude fat (min.) 14.0%
  Moisture (max.) 8.0%
Calorie content (calculated): 3,600 kcal/kg, 390 kcal per cup
Claims: grain free
"""  # noqa: E501


def told(old: str, new: str, market: str | None = None) -> set[tuple[str, str, str]]:
    settings = Settings().with_market(market)
    cases = [LabelContext.of(Source(text, "x.panel"), settings) for text in (old, new)]
    return {(one["part"], one["change"], one["what"]) for one in changes(*cases)["changes"]}


def listed(old: str, new: str) -> set[tuple[str, str]]:
    found = told(f"Ingredients: {old}.\n", f"Ingredients: {new}.\n")
    return {(kind, what) for part, kind, what in found if part == "ingredients"}


def test_all_that_a_reader_would_see():
    assert told(OLD, NEW) == {
        ("name", "changed", "Quillbrook Larder Duck for Dogs"),
        ("name", "tier", "duck"),
        ("likely", "changed", "carbohydrate"),
        ("ingredients", "moved up", "hemp seed"),
        ("ingredients", "split", "peas"),
        ("ingredients", "notes", "duck fat"),
        ("ingredients", "removed", "vitamin E supplement"),
        ("ingredients", "added", "pumpkin"),
        ("guarantees", "fell", "Crude protein"),
        ("guarantees", "gone", "Crude fiber"),
        ("energy", "rose", "kg"),
        ("statements", "claim new", "grain free"),
        ("statements", "claim gone", "no by-products"),
    }


def test_nothing_between_a_label_and_itself_whatever_its_white_space():
    assert told(OLD, OLD.replace(" duck fat", "\n  duck fat")) == set()


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("duck, oats, salt", "duck, salt", {("removed", "oats")}),
        ("duck, salt", "duck, oats, salt", {("added", "oats")}),
        # Only one of them moved: the three others keep their order.
        ("duck, oats, peas, salt", "salt, duck, oats, peas", {("moved up", "salt")}),
        ("duck, oats, peas, salt", "oats, peas, salt, duck", {("moved down", "duck")}),
        # The same vitamin under another name is no other ingredient.
        ("duck, vitamin B7", "duck, biotin", {("renamed", "biotin")}),
        ("duck 26%, oats", "duck 30%, oats", {("percentage", "duck")}),
        ("duck, oats, salt", "duck, oats, contains 2% or less of: salt", {("tail", "salt")}),
        ("pea protein, pea starch, duck", "peas, duck", {("joined", "peas")}),
        ("duck, minerals", "duck, minerals (zinc oxide)",
         {("members", "minerals"), ("added", "zinc oxide")}),
    ],
)  # fmt: skip
def test_changes_of_the_list(old, new, expected):
    assert {(kind, what) for kind, what in listed(old, new)} == expected


@given(st.permutations(range(7)))
def test_what_stays_in_place_is_as_much_as_can_be(ranks):
    """Against all subsets, the largest rising one."""
    kept = longest_run(ranks)
    rising = [ranks[place] for place in sorted(kept)]
    assert rising == sorted(rising)
    best = max(
        sum(subset)
        for bits in range(128)
        if (subset := [bits >> n & 1 for n in range(7)])
        and (taken := [ranks[n] for n in range(7) if subset[n]]) == sorted(taken)
    )
    assert len(kept) == best


def test_findings_that_came_and_went():
    settings = Settings()
    cases = [LabelContext.of(Source(text, "x.panel"), settings) for text in (OLD, NEW)]
    found = changes(*cases)
    assert {"absent-but-declared", "guarantee-missing"} <= {
        one["rule"] for one in found["findings"]["new"]
    }
    back = changes(*reversed(cases))
    assert {one["rule"] for one in back["findings"]["gone"]} == {
        one["rule"] for one in found["findings"]["new"]
    }


# The command ---------------------------------------------------------------------------------


def git(*arguments: str) -> None:
    identity = ["-c", "user.name=Label Desk", "-c", "user.email=labels@quillbrook.example"]
    subprocess.run(["git", *identity, *arguments], check=True, capture_output=True)


@pytest.fixture
def repository(tmp_path, monkeypatch, program):
    program("git")
    monkeypatch.chdir(tmp_path)
    git("init", "-q")
    Path("dogs").mkdir()
    Path("dogs/duck.panel").write_text(OLD)
    git("add", ".")
    git("commit", "-qm", "labels")
    Path("dogs/duck.panel").write_text(NEW)
    return tmp_path


def run(*arguments: str):
    return CliRunner().invoke(cli, ["changes", *arguments])


def test_a_revision_from_the_top_and_from_below(repository, monkeypatch):
    done = run("HEAD:dogs/duck.panel", "dogs/duck.panel")
    assert done.exit_code == 1  # the new version has errors that the old one had not
    assert "hemp seed moved up, from 4th to 2nd" in done.stdout
    assert "Crude protein fell from 26 % (minimum) to 24 % (minimum)." in done.stdout
    monkeypatch.chdir("dogs")
    below = run("HEAD:duck.panel", "duck.panel")
    whole = run("HEAD:dogs/duck.panel", "duck.panel")
    assert (
        below.stdout.splitlines()[1:]
        == whole.stdout.splitlines()[1:]
        == done.stdout.splitlines()[1:]
    )


def test_json(repository):
    data = json.loads(run("HEAD:dogs/duck.panel", "dogs/duck.panel", "--format", "json").stdout)
    assert data["old"] == "HEAD:dogs/duck.panel"
    moved = next(one for one in data["changes"] if one["change"] == "moved up")
    assert moved["what"] == "hemp seed"
    assert moved["old"]["start"] == {"line": 2, "column": 34}
    assert moved["new"]["start"] == {"line": 2, "column": 20}
    assert {one["rule"] for one in data["findings"]["new"]} >= {"guarantee-missing"}


def test_no_change_and_no_new_finding_is_status_0(repository):
    git("add", ".")
    git("commit", "-qm", "new")
    done = run("HEAD:dogs/duck.panel", "dogs/duck.panel")
    assert done.exit_code == 0
    assert "Nothing changed" in done.stdout


@pytest.mark.parametrize("old", ["HEAD:no.panel", "nowhere:dogs/duck.panel", "no.panel"])
def test_what_is_not_there(repository, old):
    done = subprocess.run(
        [sys.executable, "-m", "panellint", "changes", old, "dogs/duck.panel"],
        capture_output=True,
        text=True,
    )
    assert done.returncode == 2
    assert old in done.stderr
    assert "Traceback" not in done.stderr


def test_words_beside_an_entry_come_and_go() -> None:
    plain, noted = (
        "Ingredients: duck, tocopherols",
        "Ingredients: duck, tocopherols (a preservative)",
    )
    for old, new, says in (
        (noted, plain, "tocopherols says “a preservative” beside it no longer."),
        (plain, noted, "tocopherols says “a preservative” beside it."),
    ):
        before, after = (LabelContext.of(Source(text), Settings()) for text in (old, new))
        assert says in [change["says"] for change in changes(before, after)["changes"]]
