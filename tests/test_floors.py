"""Imports go down only, and a lint loads its own lane and no other."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
HEAVY = {
    "highspy",
    "jinja2",
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


def test_the_contracts_of_the_floors_hold():
    command = ["lint-imports", "--no-cache"]
    done = subprocess.run(
        [str(Path(sys.executable).with_name(command[0])), *command[1:]],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def loaded(folder: Path, *arguments: str) -> set[str]:
    """The top-level packages that a command loads in a process of its own."""
    code = (
        "import json, sys\n"
        "from panellint.__main__ import main\n"
        "main(sys.argv[1:])\n"
        "names = sorted({name.partition('.')[0] for name in sys.modules})\n"
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


@pytest.mark.parametrize(
    "options", [(), ("--quick",), ("--format", "json"), ("--format", "gnu"), ("--summary",)]
)
def test_lint_loads_no_other_lane_when_the_caches_are_warm(tmp_path, options):
    (tmp_path / "duck.panel").write_text(LABEL)
    arguments = ("lint", "--fail-at", "never", *options, "duck.panel")
    assert "yaml" in loaded(tmp_path, *arguments)
    assert loaded(tmp_path, *arguments) & HEAVY == set()
