"""Imports go down only, and a lint loads its own lane and no other."""

import ast
import json
import os
import subprocess
import sys
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
HEAVY = {
    "highspy",
    "jinja2",
    "lark",
    "lsprotocol",
    "multiprocessing",
    "numpy",
    "openpyxl",
    "pathspec",
    "pydantic",
    "pygls",
    "rapidfuzz",
    "rich",
    "xml",
    "yaml",
}
LABEL = """Product name: Quillbrook Larder Duck & Millet Recipe for Dogs
Ingredients: Duck, millet, hemp seed, dried egg, salt.
"""


def test_the_contracts_of_the_rooms_hold():
    command = ["lint-imports", "--no-cache"]
    done = subprocess.run(
        [str(Path(sys.executable).with_name(command[0])), *command[1:]],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def imports_of(path: Path, names: set[str]) -> set[str]:
    """The files of the package that a file imports anywhere, but for the sake of types alone."""
    found: set[str] = set()
    waiting: list[ast.AST] = [ast.parse(path.read_text(encoding="utf-8"))]
    while waiting:
        node = waiting.pop()
        if isinstance(node, ast.If) and ast.unparse(node.test).endswith("TYPE_CHECKING"):
            waiting.extend(node.orelse)
            continue
        waiting.extend(ast.iter_child_nodes(node))
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            members = {f"{node.module}.{alias.name}" for alias in node.names}
            found.update(members & names or {node.module})
    return found & names


def test_no_files_import_each_other_in_a_circle():
    files = {}
    for path in (ROOT / "panellint").rglob("*.py"):
        parts = path.relative_to(ROOT).with_suffix("").parts
        files[".".join(parts).removesuffix(".__init__")] = path
    graph = {name: imports_of(path, set(files)) - {name} for name, path in files.items()}
    assert sum(map(len, graph.values())) > 1000
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        pytest.fail(f"a circle of files: {' -> '.join(error.args[1])}")


def modules(folder: Path, *arguments: str) -> set[str]:
    """The modules that a command loads in a process of its own beside those that its
    command line loads anyway."""
    code = (
        "import sys\n"
        "import click\n"
        "before = set(sys.modules)\n"
        "from panellint.__main__ import main\n"
        "main(sys.argv[1:])\n"
        "names = sorted(set(sys.modules) - before)\n"
        "import json\n"
        "print('\\n' + json.dumps(names))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments],
        cwd=folder,
        env={**os.environ, "PANELLINT_CACHE": str(folder / "cache"), "PANELLINT_TRACEBACK": "1"},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    return set(json.loads(done.stdout.splitlines()[-1]))


def loaded(folder: Path, *arguments: str) -> set[str]:
    """The top-level packages among them."""
    return {name.partition(".")[0] for name in modules(folder, *arguments)}


@pytest.fixture(scope="module")
def warm(tmp_path_factory):
    """A folder with a label and a cache that one lint has filled."""
    folder = tmp_path_factory.mktemp("warm")
    (folder / "duck.panel").write_text(LABEL)
    assert "yaml" in loaded(folder, "lint", "--fail-at", "never", "duck.panel")
    return folder


@pytest.mark.parametrize("options", [(), ("--quick",), ("--format", "json"), ("--format", "gnu")])
def test_lint_loads_no_other_lane_when_the_caches_are_warm(warm, options):
    assert loaded(warm, "lint", "--fail-at", "never", *options, "duck.panel") & HEAVY == set()


def test_a_quick_lint_weighs_nothing_with_the_solver(warm):
    hazards = "Duck, vegetables (peas 6 %, onion 1 %), millet, garlic, tea tree oil, salt."
    (warm / "hazards.panel").write_text(f"Duck dinner for dogs\nIngredients: {hazards}\n")
    names = modules(warm, "lint", "--fail-at", "never", "--quick", "hazards.panel")
    assert "panellint.lint.checks.hazards" in names
    assert "panellint.shares.solver.formula_set" not in names


@pytest.mark.parametrize("options", [(), ("--quick",)])
def test_a_lint_that_is_read_by_people_loads_no_form_for_machines(warm, options):
    names = modules(warm, "lint", "--fail-at", "never", *options, "duck.panel")
    forms = {name for name in names if name.startswith("panellint.output.")}
    assert forms <= {
        f"panellint.output.{name}"
        for name in (
            "atomic_file",
            "cells",
            "findings",
            "findings.excerpt",
            "findings.terminal",
            "render_options",
        )
    }
