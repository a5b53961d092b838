"""The hook by the real pre-commit, in a throw-away repository of labels.

pre-commit makes an environment of its own from a clone of this checkout at HEAD, by pip, from
the package registry: this is the one test that needs it.
"""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
CLEAN = ROOT / "corpus" / "chicken-barley-kibble.panel"
PATIENCE = 600
pytestmark = pytest.mark.long


def git(folder: Path, *arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    identity = ["-c", "user.name=Label Desk", "-c", "user.email=labels@quillbrook.example"]
    return subprocess.run(
        ["git", *identity, *arguments],
        cwd=folder,
        env={**{k: v for k, v in os.environ.items() if not k.startswith("GIT_")}, **environment},
        capture_output=True,
        text=True,
        timeout=PATIENCE,
    )


@pytest.fixture(scope="module")
def labels(tmp_path_factory):
    """A repository of labels whose commits the hook guards."""
    pytest.importorskip("pre_commit")
    folder = tmp_path_factory.mktemp("pre-commit")
    if (
        not (ROOT / ".git").exists()
        or git(folder, "clone", "-q", str(ROOT), "panellint").returncode
    ):
        if os.environ.get("CI"):
            pytest.fail("this is no checkout that can be cloned")
        pytest.skip("this is no checkout that can be cloned")
    revision = git(folder / "panellint", "rev-parse", "HEAD").stdout.strip()
    repository = folder / "labels"
    repository.mkdir()
    assert git(repository, "init", "-q").returncode == 0
    (repository / ".pre-commit-config.yaml").write_text(
        f"repos:\n- repo: {folder / 'panellint'}\n  rev: {revision}\n"
        "  hooks:\n  - id: panellint\n    verbose: true\n"
    )
    home = {"PRE_COMMIT_HOME": str(folder / "home"), "PANELLINT_CACHE": str(folder / "cache")}
    subprocess.run(
        [sys.executable, "-m", "pre_commit", "install"],
        cwd=repository,
        env={**os.environ, **home},
        check=True,
        capture_output=True,
    )
    return repository, home


def commit(labels) -> subprocess.CompletedProcess[str]:
    repository, home = labels
    git(repository, "add", "-A")
    return git(repository, "commit", "-qm", "labels", **home)


def count(repository: Path) -> int:
    done = git(repository, "rev-list", "--count", "HEAD")
    return int(done.stdout) if done.returncode == 0 else 0


def test_a_faulty_label_stops_the_commit_and_a_clean_one_passes(labels):
    repository, _ = labels
    clean = CLEAN.read_text()
    (repository / "kibble.panel").write_text(clean.replace("pearled barley", "pearled barlley"))
    refused = commit(labels)
    assert refused.returncode == 1, refused.stdout + refused.stderr
    assert count(repository) == 0
    words = refused.stdout + refused.stderr
    assert "kibble.panel" in words
    assert "misspelt-name" in words
    (repository / "kibble.panel").write_text(clean)
    passed = commit(labels)
    assert passed.returncode == 0, passed.stdout + passed.stderr
    assert count(repository) == 1


def test_files_are_passed_in_batches_and_other_files_not_at_all(labels):
    repository, _ = labels
    (repository / "notes.txt").write_text("barlley")
    for number in range(9):
        (repository / f"{number}.panel").write_text(CLEAN.read_text())
    before = count(repository)
    done = commit(labels)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "notes.txt" not in done.stdout + done.stderr
    assert count(repository) == before + 1
    # Every label once, and several in one run: a repository does not pay the start for each.
    batches = [int(n) for n in re.findall(r"(\d+) labels? read", done.stdout + done.stderr)]
    assert sum(batches) == 9
    assert max(batches) > 1
