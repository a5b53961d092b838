"""The source archive and the wheel that is built of it, installed by itself: its types hold under
mypy, every function answers, and so it is with the lowest versions that are declared."""

import os
import subprocess
import sys
import tarfile
import tomllib
import venv
from importlib.util import find_spec
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
#: Each function of the api once; what it returns is read by the keys of its type.
SCRIPT = """
from pathlib import Path

from panellint import api
from panellint.core.errors import PanellintError
from panellint.results.outline import IngredientData

label = api.Label(Path("duck.panel").read_text(), "duck.panel")
turkey = api.Label("Species: dog\\nIngredients: turkey, rice, salt.\\n")


def deepest(entries: list[IngredientData]) -> int:
    return max((1 + deepest(entry["members"]) for entry in entries), default=0)


findings: list[str] = [one["rule"] for one in api.lint(*label)["findings"]]
depth: int = deepest(api.outline(*label)["declaration"])
least: dict[str, float] = {one["name"]: one["low"] for one in api.shares(label.text)["ingredients"]}
protein: float | None = api.nutrition(*label)["bases"]["dry_matter"]["protein"]
foods: list[str] = [food["name"] for food in api.compare([label, turkey])["foods"]]
grams: float | None = api.blend(label, "chicken", "fat <= 20 % dry matter")[
    "added_grams_per_kg_of_base"
]
moved: list[str] = [one["says"] for one in api.changes(turkey, label)["changes"]]
blocks: list[str] = [one["block"] for one in api.report([label, turkey])["blocks"]]
reached: list[str] = [one["level"] for one in api.trace("duck", ["duck.panel"])["reached"]]
verdicts: list[str] = [
    one["verdict"] for one in api.reconcile(*label[:1], "duck.csv")["batch"]["guarantees"]
]
panel: str = api.declare("duck.csv", species="dog", moisture=8)["panel"]
possible: bool = api.reformulate("duck.csv", targets=["protein >= 10 %"], moisture=8)["possible"]
known: str = api.ingredient("duck")["known_as"]
ids: list[str] = [one["rule"] for one in api.rules()]
title: str = api.rule(ids[0])["title"]
try:
    api.ingredient("no such thing")
except PanellintError as error:
    print(error)
print(depth, possible, known, len(foods), len(reached))
"""
PANEL = """Product name: Quillbrook Larder Duck & Millet Recipe for Dogs
Species: dog
Form: freeze-dried
Ingredients: duck, millet, minerals (zinc proteinate, salt).
Guaranteed analysis
  Crude protein (min.) 26.0%
  Crude fat (min.) 14.0%
  Crude fiber (max.) 5.0%
  Moisture (max.) 8.0%
"""
SHEET = "Ingredient,kg\nduck,60\nmillet,38\nsalt,2\n"


PIP = [sys.executable, "-m", "pip", "--disable-pip-version-check", "-q"]
#: What the lowest versions have to pass: all that meets a library of others.
MEETING = (
    "tests/core",
    "tests/desk/test_guard.py",
    "tests/lint/runner",
    "tests/maker/sheet",
    "tests/output",
    "tests/rulepacks",
    "tests/server",
    "tests/shares/test_hand_worked.py",
    "tests/shares/test_references.py",
    "tests/test_api.py",
    "tests/test_cli.py",
    "tests/test_notebook.py",
)


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The source archive, unpacked."""
    pytest.importorskip("hatchling")
    folder = tmp_path_factory.mktemp("archive")
    build = [sys.executable, "-m", "hatchling", "build", "-t", "sdist", "-d", folder]
    subprocess.run(build, cwd=ROOT, check=True, capture_output=True)
    [archive] = folder.glob("panellint-*.tar.gz")
    with tarfile.open(archive) as packed:
        packed.extractall(folder, filter="data")
    return folder / archive.name.removesuffix(".tar.gz")


@pytest.fixture(scope="module")
def installed(unpacked: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The Python of an environment that has the wheel and nothing else."""
    folder = tmp_path_factory.mktemp("wheel")
    isolated = [] if find_spec("hatchling") is None else ["--no-build-isolation"]
    subprocess.run([*PIP, "wheel", "--no-deps", *isolated, "-w", folder, unpacked], check=True)
    venv.create(folder / "env", with_pip=False)
    python = folder / "env" / "bin" / "python"
    [wheel] = folder.glob("panellint-*.whl")
    subprocess.run([*PIP, "--python", python, "install", "--no-deps", wheel], check=True)
    return python


def of_its_own(folder: Path, python: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Runs Python in an unpacked archive, which it imports the package from."""
    own = {"PYTHONPATH": str(folder), "PANELLINT_CACHE": str(folder / "cache")}
    environment = {key: value for key, value in os.environ.items() if key != "CI"}
    return subprocess.run(
        [python, *arguments], cwd=folder, env=environment | own, capture_output=True, text=True
    )


def test_an_unpacked_archive_lints(unpacked: Path) -> None:
    where = of_its_own(
        unpacked, sys.executable, "-c", "import panellint; print(panellint.__file__)"
    )
    assert Path(where.stdout.strip()).is_relative_to(unpacked)
    labels = ("corpus/pumpkin-topper.panel", "corpus/misspelt-kibble.panel")
    linted = of_its_own(unpacked, sys.executable, "-m", "panellint", "lint", "-f", "gnu", *labels)
    assert linted.returncode == 1, linted.stderr
    assert "[misspelt-name]" in linted.stdout
    assert (unpacked / ".pre-commit-hooks.yaml").is_file()
    assert (unpacked / ".ci" / "run").is_file()


@pytest.mark.long
def test_an_unpacked_archive_passes_its_tests(unpacked: Path) -> None:
    ran = of_its_own(unpacked, sys.executable, "-m", "pytest", "-n", "2")
    assert ran.returncode == 0, ran.stdout[-3000:]


def floors() -> list[str]:
    """The lowest version of everything that the package and its extras need."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    needed = list(project["dependencies"])
    for extra, needs in project["optional-dependencies"].items():
        needed += needs if extra != "test" else []
    return [one.replace(">=", "==") for one in needed]


@pytest.mark.long
def test_the_lowest_versions_declared_pass(unpacked: Path, tmp_path: Path) -> None:
    venv.create(tmp_path / "env", with_pip=False)
    python = tmp_path / "env" / "bin" / "python"
    install = [*PIP, "--python", python, "install"]
    testing = [
        "hatchling",
        "hypothesis",
        "jsonschema",
        "pint",
        "pytest-lsp",
        "pytest-xdist",
        "ruamel.yaml",
        "swiglpk",
    ]
    subprocess.run([*install, *floors(), *testing], check=True)
    subprocess.run([*install, "--no-deps", "--no-build-isolation", unpacked], check=True)
    ran = of_its_own(
        unpacked, python, "-m", "pytest", "-n", "2", "-p", "no:cacheprovider", *MEETING
    )
    assert ran.returncode == 0, ran.stdout[-3000:]


def mypy(python: Path, script: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "mypy", "--strict", "--python-executable", python, script.name]
    return subprocess.run(command, cwd=script.parent, capture_output=True, text=True)


def test_a_strict_script_passes_and_runs(installed: Path, tmp_path: Path) -> None:
    script = tmp_path / "use.py"
    script.write_text(SCRIPT)
    (tmp_path / "duck.panel").write_text(PANEL)
    (tmp_path / "duck.csv").write_text(SHEET)
    checked = mypy(installed, script)
    assert checked.returncode == 0, checked.stdout + checked.stderr
    packages = os.pathsep.join(path for path in sys.path if path.endswith("site-packages"))
    ran = subprocess.run(
        [installed, script],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": packages, "PANELLINT_CACHE": str(tmp_path / "cache")},
        capture_output=True,
        text=True,
    )
    assert ran.returncode == 0, ran.stderr
    lines = ran.stdout.splitlines()
    assert lines[0].startswith("the catalogue knows no 'no such thing'")
    assert lines[1] == "2 True duck 2 1"


def test_a_key_that_is_not_in_the_answer_is_refused(installed: Path, tmp_path: Path) -> None:
    script = tmp_path / "wrong.py"
    script.write_text('from panellint import api\nprint(api.lint("")["finding"])\n')
    assert 'TypedDict "LintedFile" has no key "finding"' in mypy(installed, script).stdout
