"""Inputs of a stranger's repository: whatever lies there, a run ends, says so and shows nothing of
what lies elsewhere."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from contextlib import chdir
from datetime import date, timedelta
from pathlib import Path
from typing import NamedTuple

import pytest
from click.testing import CliRunner

from panellint.cli import cli
from panellint.rulepacks import settings

LABEL = "Ingredients: duck, millet, salt\n"
ESCAPE = "\x1b[31m"


class Done(NamedTuple):
    returncode: int
    stdout: str
    stderr: str


def run(folder: Path, *arguments: str, given: bytes | None = None) -> Done:
    """The command in a folder."""
    settings.forget()
    with chdir(folder):
        done = CliRunner().invoke(cli, arguments, input=given)
    return Done(done.exit_code, done.stdout, done.stderr)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    labels = tmp_path / "labels"
    labels.mkdir()
    (labels / "duck.panel").write_text(LABEL, encoding="utf-8")
    return labels


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names on this system")
def test_a_pipe_is_not_waited_for(folder: Path) -> None:
    os.mkfifo(folder / "pipe.panel")
    done = run(folder, "lint", "--quick", ".")
    assert "pipe.panel: not read: no regular file" in done.stderr
    assert "1 label read" in done.stdout
    done = run(folder, "lint", "--quick", "pipe.panel")
    assert done.returncode == 2
    assert "pipe.panel: no regular file" in done.stderr


def test_a_device_without_end_is_not_read(folder: Path) -> None:
    (folder / "zero.panel").symlink_to("/dev/zero")
    done = run(folder, "lint", "--quick", ".")
    assert "zero.panel: not read: a link out of the folder" in done.stderr
    done = run(folder, "lint", "--quick", "zero.panel")
    assert (done.returncode, done.stderr.count("no regular file")) == (2, 1)


def test_a_link_out_of_the_folder_is_not_followed(folder: Path) -> None:
    (folder.parent / "secret.env").write_text("password: hush-hush\n", encoding="utf-8")
    (folder / "link.panel").symlink_to("../secret.env")
    (folder / "inside.panel").symlink_to("duck.panel")
    (folder / "loop.panel").symlink_to("loop.panel")
    done = run(folder, "lint", "--quick", ".")
    assert "link.panel: not read: a link out of the folder" in done.stderr
    assert "loop.panel: not read: no regular file" in done.stderr
    assert "2 labels read" in done.stdout
    assert "hush" not in done.stdout + done.stderr
    # Who names the link asks for it.
    assert "1 label read" in run(folder, "lint", "--quick", "link.panel").stdout


@pytest.mark.parametrize("key", ["packs", "ingredients"])
def test_a_pack_outside_the_repository_is_not_opened(folder: Path, key: str) -> None:
    (folder.parent / "secret.env").write_text("hush: hush\n", encoding="utf-8")
    (folder / "panellint.yaml").write_text(f"{key}: [../secret.env]\n", encoding="utf-8")
    done = run(folder, "lint", "--quick", ".")
    assert done.returncode == 2
    assert "panellint.yaml:1:" in done.stderr
    assert "`../secret.env` lies outside" in done.stderr
    assert "hush" not in done.stdout + done.stderr
    (folder.parent / ".git").mkdir()
    done = run(folder, "lint", "--quick", ".")
    assert "lies outside" not in done.stderr


def test_a_name_that_no_system_takes_is_a_file_that_is_not_there(folder: Path) -> None:
    name = "x" * 300
    (folder / "a.panel").write_text(f"Batch sheet: {name}\n{LABEL}", encoding="utf-8")
    linted = run(folder, "lint", "-f", "gnu", "a.panel")
    assert f"There is no batch sheet {name} yet." in linted.stdout
    assert linted.returncode == 1, linted.stderr
    mix = "steps: [{mix: [{material: duck, amount: 1 kg}]}]"
    for files in ({"r.yaml": f"species: dog\nmaterials: {name}\n{mix}\n"}, {}):
        for file, text in files.items():
            (folder / file).write_text(text, encoding="utf-8")
        done = run(folder, "reconcile", "a.panel", *files)
        assert done.returncode == 2
        assert "defect" not in done.stderr
        assert "there is no" in done.stderr
    (folder / "panellint.yaml").write_text(f"packs: [{name}]\n", encoding="utf-8")
    done = run(folder, "lint", "duck.panel")
    assert f"panellint.yaml:1:9: unknown pack `{name}`" in done.stderr


def test_no_process_runs_a_module_of_the_folder(folder: Path) -> None:
    for number in range(20):
        (folder / f"{number}.panel").write_text(LABEL, encoding="utf-8")
    (folder / "pickle.py").write_text("raise SystemExit('run')\n", encoding="utf-8")
    done = subprocess.run(
        [Path(sys.executable).with_name("panellint"), "lint", "--quick", "--jobs", "2", "."],
        cwd=folder, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert (done.returncode, "21 labels read" in done.stdout) == (0, True), done.stderr


def test_a_label_over_the_size_is_refused(folder: Path) -> None:
    (folder / "panellint.yaml").write_text("largest-file: 40\n", encoding="utf-8")
    assert "1 label read" in run(folder, "lint", "--quick", ".").stdout
    (folder / "duck.panel").write_text(LABEL * 2, encoding="utf-8")
    done = run(folder, "lint", "--quick", ".")
    assert (done.returncode, "duck.panel: larger than 40 bytes" in done.stderr) == (2, True)
    done = run(folder, "lint", "--quick", "-", given=LABEL.encode() * 2)
    assert (done.returncode, "-: larger than 40 bytes" in done.stderr) == (2, True)


@pytest.mark.parametrize("run_on", ["chicken", "3f9ac0de", "TWFuIGlz+G5vdA/", "a", "-"])
def test_an_unbroken_run_of_signs_is_read_to_its_end(folder: Path, run_on: str) -> None:
    (folder / "duck.panel").write_text(
        f"{LABEL}\n{run_on * (150_000 // len(run_on))}\n", encoding="utf-8"
    )
    for command in ("lint", "outline"):
        done = run(folder, command, "duck.panel")
        assert done.stderr == ""
        assert len(done.stdout) > 100


def test_a_label_of_four_megabytes_is_refused_at_once(folder: Path) -> None:
    (folder / "duck.panel").write_text("TWFuIGlz" * 500_000, encoding="utf-8")
    for command in ("lint", "outline", "requirements", "shares"):
        done = run(folder, command, "duck.panel")
        assert done.returncode == 2
        assert "duck.panel: larger than 2,000,000 bytes" in done.stderr


def test_no_name_commands_the_terminal_or_forges_a_line(folder: Path) -> None:
    for name, text in (
        ("panellint.yaml", 'market: "xx\\nfoo.panel:1:1: error: faked"\n'),
        ("panellint.yaml", '"mar\\e[31mket": us\n'),
        (f"x{ESCAPE}.panel", "\0"),
        ("y\nfoo.panel:1:1: error: faked.panel", "\0"),
    ):
        (folder / name).write_text(text, encoding="utf-8")
        for command in (("lint", "--quick", "."), (name,)):
            done = run(folder, *command)
            assert ESCAPE not in done.stdout + done.stderr
            lines = (done.stdout + done.stderr).splitlines()
            assert not [line for line in lines if line.startswith("foo.panel")]
        (folder / name).unlink()


@pytest.mark.parametrize(
    ("closed", "path"), [("<&-", "-"), (">&-", "duck.panel"), ("<&- >&- 2>&-", "duck.panel")]
)
def test_closed_streams_are_no_defect(folder: Path, closed: str, path: str) -> None:
    done = subprocess.run(
        ["sh", "-c", f'"{sys.executable}" -m panellint lint --quick {path} {closed}'],
        cwd=folder, capture_output=True, timeout=60, check=False, stdin=subprocess.DEVNULL,
    )  # fmt: skip
    assert b"defect" not in done.stderr
    assert done.returncode in (0, 1)


GRAPE = "Product name: Grape Treats for Dogs\n\nIngredients: duck, grapes, salt\n"
LOOSE = "rules:\n  hazard: off\n"


def git(folder: Path, *arguments: str) -> None:
    name = ("-c", "user.name=A", "-c", "user.email=a@example.org", "-c", "commit.gpgsign=false")
    subprocess.run(["git", *name, *arguments], cwd=folder, check=True, capture_output=True)


@pytest.fixture
def strangers(tmp_path: Path) -> Path:
    """A repository whose main line has settings, and a stranger's change that loosens them."""
    folder = tmp_path / "repository"
    (folder / "labels").mkdir(parents=True)
    (folder / "labels" / "grape.panel").write_text(GRAPE, encoding="utf-8")
    (folder / "panellint.yaml").write_text("packs: [own.yaml]\n", encoding="utf-8")
    (folder / "own.yaml").write_text(OWN, encoding="utf-8")
    git(folder, "init", "-q", "-b", "main")
    git(folder, "add", ".")
    git(folder, "commit", "-q", "-m", "policy")
    (folder / "panellint.yaml").write_text("fail-at: error\n" + LOOSE, encoding="utf-8")
    (folder / "labels" / "panellint.yaml").write_text(LOOSE, encoding="utf-8")
    (folder / ".panellintignore").write_text("*\n", encoding="utf-8")
    return folder


OWN = """
pack: larder
rules:
- id: no-grapes-here
  title: Grapes are not used here
  check: barred-ingredient
  severity: error
  with: {which: {id: grape}, certainty: possible}
  says: We use no grapes.
  because: The policy of this house says so.
  source: {practice: true}
  examples:
    passes: ["Ingredients: duck"]
    fails: [{text: "Ingredients: grapes", marks: grapes}]
"""


def rules(done: Done) -> set[str]:
    assert not done.stderr
    files = json.loads(done.stdout)["files"]
    return {finding["rule"] for file in files for finding in file["findings"]}


def test_a_strangers_change_loosens_nothing(strangers: Path, program: Callable[[str], str]) -> None:
    program("git")
    loose = run(strangers, "lint", "--quick", "--no-ignore", "--format", "json", "labels")
    assert not {"hazard", "no-grapes-here"} & rules(loose)
    strict = run(
        strangers, "lint", "--quick", "--untrusted", "--policy-from", "HEAD", "--format", "json",
        "labels",
    )  # fmt: skip
    assert {"hazard", "no-grapes-here"} <= rules(strict)


def test_what_a_strangers_label_waives_is_listed(folder: Path) -> None:
    until = date.today() + timedelta(days=100)
    waiver = f"Waive hazard until {until}: it is a small dose\n"
    (folder / "duck.panel").write_text(f"{GRAPE}\n{waiver}", encoding="utf-8")
    done = run(folder, "lint", "--quick", "--untrusted", ".")
    assert "duck.panel:3:20: waived by the label: hazard: grapes" in done.stderr


def test_a_policy_that_is_faulty_or_missing_is_said(
    strangers: Path, program: Callable[[str], str]
) -> None:
    program("git")
    done = run(strangers, "lint", "--policy-from", "no-such", "--no-ignore", "labels")
    assert (done.returncode, "--policy-from" in done.stderr) == (2, True)
    (strangers / "panellint.yaml").write_text("market: xx\n", encoding="utf-8")
    git(strangers, "commit", "-q", "-a", "-m", "faulty")
    done = run(strangers, "lint", "--policy-from", "HEAD", "--no-ignore", "labels")
    assert done.returncode == 2
    assert "HEAD:panellint.yaml:1:9: unknown market" in done.stderr
    done = run(strangers, "lint", "--policy-from", "HEAD", "--no-ignore", "..")
    assert done.returncode == 2


def test_an_untrusted_run_reads_and_writes_no_cache(folder: Path) -> None:
    cache = folder / "cache"
    done = subprocess.run(
        [sys.executable, "-m", "panellint", "lint", "--quick", "--untrusted", "duck.panel"],
        cwd=folder, env={**os.environ, "PANELLINT_CACHE": str(cache)}, timeout=120, check=False,
        capture_output=True,
    )  # fmt: skip
    assert done.returncode in (0, 1)
    assert not cache.exists()


def test_folders_may_be_as_deep_as_the_system_allows(folder: Path) -> None:
    here = os.getcwd()
    try:
        os.chdir(folder)
        for _ in range(1_100):
            os.mkdir("d")
            os.chdir("d")
        Path("deep.panel").write_text(LABEL, encoding="utf-8")
    finally:
        os.chdir(here)
    done = run(folder, "lint", "--quick", ".")
    # Deeper than what clears temporary folders away can go.
    subprocess.run(["rm", "-rf", str(folder / "d")], check=True)
    assert "2 labels read" in done.stdout
