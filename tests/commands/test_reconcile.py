"""`reconcile` of sheets: every label that rests on one of them, as the hook asks."""

from __future__ import annotations

import shlex
import shutil
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner, Result

from panellint.cli import cli

ROOT = Path(__file__).parents[2]
LABEL = (ROOT / "corpus" / "duck-millet-freeze-dried.panel").read_text(encoding="utf-8")


def run(*arguments: str) -> Result:
    return CliRunner().invoke(cli, ["reconcile", *arguments])


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Two labels that name one sheet with its premixes, and one label that names none."""
    (tmp_path / "sheets").mkdir()
    for sheet in (ROOT / "corpus" / "sheets").glob("*.csv"):
        shutil.copy(sheet, tmp_path / "sheets")
    named = "Batch sheet: {}sheets/duck-millet-freeze-dried.csv\n"
    (tmp_path / "a.panel").write_text(named.format("") + LABEL, encoding="utf-8")
    (tmp_path / "wet").mkdir()
    (tmp_path / "wet" / "b.panel").write_text(named.format("../") + LABEL, encoding="utf-8")
    (tmp_path / "c.panel").write_text(LABEL, encoding="utf-8")
    (tmp_path / "panellint.yaml").write_text("market: us\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize("sheet", ["duck-millet-freeze-dried.csv", "larder-minerals.csv"])
def test_each_label_that_rests_on_a_sheet_is_held_against_it(repository: Path, sheet: str) -> None:
    heavy = repository / "sheets" / "duck-millet-freeze-dried.csv"
    text = heavy.read_text(encoding="utf-8")
    entry = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    [hook] = [one for one in entry if one["id"] == "panellint-sheets"]
    options = shlex.split(hook["entry"])[2:]
    right = run(*options, f"sheets/{sheet}")
    assert right.exit_code == 0, right.output
    heavy.write_text(text.replace("hemp seed,33", "maize,33"), encoding="utf-8")
    wrong = run(*options, "-f", "gnu", f"sheets/{sheet}")
    assert wrong.exit_code == 1, wrong.output
    assert {line.partition(":")[0] for line in wrong.stdout.splitlines()} == {
        "a.panel",
        "wet/b.panel",
    }


def test_a_sheet_of_no_label_is_said_and_a_faulty_one_is_no_pass(repository: Path) -> None:
    (repository / "other.csv").write_text("Ingredient,kg\nduck,1\n", encoding="utf-8")
    alone = run("other.csv")
    assert alone.exit_code == 0
    assert "no label rests on these sheets" in alone.stderr
    (repository / "sheets" / "larder-minerals.csv").unlink()
    faulty = run("other.csv")
    assert faulty.exit_code == 2
    assert "there is no file `larder-minerals.csv`" in faulty.stderr


def test_what_holds_one_label_refuses_several(repository: Path) -> None:
    sheet = "sheets/duck-millet-freeze-dried.csv"
    assert run("-f", "json", sheet).exit_code == 2
    assert run("a.panel", sheet, sheet).exit_code == 2
    assert run("-f", "json", "--quiet", "a.panel", sheet).exit_code == 0


def test_a_label_behind_its_sheet_is_named(repository: Path) -> None:
    swapped = run("sheets/duck-millet-freeze-dried.csv", "a.panel")
    assert swapped.exit_code == 2
    assert "The label comes first: reconcile a.panel sheets/duck" in swapped.stderr


def test_the_page_has_the_names_of_nutrients_and_methods(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(
        "Ingredient,kg\nduck,50\npotato,30\npeas,20\n", encoding="utf-8"
    )
    (tmp_path / "a.panel").write_text(
        "Market: eu\nProduct name: Duck\nComplete pet food for adult dogs\n"
        "Composition: duck 50 %, potato 30 %, peas 20 %\nAnalytical constituents: protein 10 %, "
        "fat content 6 %, crude fibre 1 %, crude ash 2 %, moisture 80 %\n",
        encoding="utf-8",
    )
    page = " ".join(run(str(tmp_path / "a.panel"), str(tmp_path / "a.csv")).output.split())
    assert "kg of dry matter) take up " in page
    assert "lose -" not in page
    assert "(NRC 2006 four-step equation)" in page
    assert "vitamin A, vitamin D" in page
