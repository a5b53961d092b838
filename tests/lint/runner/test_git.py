import subprocess
from pathlib import Path

import pytest

from panellint.core.errors import PanellintError
from panellint.lint.runner.git import changed_since


def git(*arguments: str) -> None:
    identity = ["-c", "user.name=Label Desk", "-c", "user.email=labels@quillbrook.example"]
    subprocess.run(["git", *identity, *arguments], check=True, capture_output=True)


LABELS = ["dogs/a.panel", "dogs/b é.panel", "cats/c.panel"]


@pytest.fixture
def repository(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    git("init", "-q")
    for name in LABELS:
        Path(name).parent.mkdir(exist_ok=True)
        Path(name).write_text("Ingredients: duck\n")
    Path("cats/panellint.yaml").write_text("market: us\n")
    git("add", ".")
    git("commit", "-qm", "labels")
    return tmp_path


def test_nothing_changed(repository):
    assert changed_since("HEAD", LABELS) == []


def test_changed_staged_and_new_labels_in_the_order_given(repository):
    Path("dogs/b é.panel").write_text("Ingredients: rice\n")
    Path("dogs/a.panel").write_text("Ingredients: rice\n")
    git("add", "dogs/a.panel")
    Path("dogs/new.panel").write_text("")
    names = ["dogs/new.panel", *LABELS]
    assert changed_since("HEAD", names) == ["dogs/new.panel", "dogs/a.panel", "dogs/b é.panel"]
    git("add", ".")
    git("commit", "-qm", "more")
    assert changed_since("HEAD", names) == []
    assert changed_since("HEAD~1", names) == ["dogs/new.panel", "dogs/a.panel", "dogs/b é.panel"]


def test_labels_under_settings_that_changed(repository):
    Path("cats/panellint.yaml").write_text("market: eu\n")
    assert changed_since("HEAD", LABELS) == ["cats/c.panel"]
    Path("cats/panellint.yaml").unlink()
    assert changed_since("HEAD", LABELS) == ["cats/c.panel"]


def test_standard_input_is_always_new(repository):
    assert changed_since("HEAD", ["-", *LABELS]) == ["-"]


def test_it_works_from_a_folder_below(repository, monkeypatch):
    monkeypatch.chdir("dogs")
    Path("a.panel").write_text("Ingredients: rice\n")
    assert changed_since("HEAD", ["a.panel", "b é.panel", "../cats/c.panel"]) == ["a.panel"]


@pytest.mark.parametrize("revision", ["nowhere", "--output=x", "HEAD:dogs"])
def test_an_unknown_revision_is_told(repository, revision):
    with pytest.raises(PanellintError, match="is no revision of this repository"):
        changed_since(revision, LABELS)
    assert not Path("x").exists()


def test_outside_a_repository(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("a.panel").write_text("")
    with pytest.raises(PanellintError, match=r"a\.panel is in no git repository"):
        changed_since("HEAD", ["a.panel"])


def test_without_git(repository, monkeypatch):
    monkeypatch.setenv("PATH", "")
    with pytest.raises(PanellintError, match="git is not installed"):
        changed_since("HEAD", LABELS)
