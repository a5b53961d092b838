import os
from pathlib import Path

import pytest

from panellint.core.errors import InputError
from panellint.lint.runner.files import Ignored, find, source_of


@pytest.fixture
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for name in (
        "b.panel",
        "a.panel",
        "notes.txt",
        "dogs/kibble.PANEL",
        "dogs/wet/loaf.panel",
        ".hidden/x.panel",
        "drafts/new.panel",
    ):
        path = Path(name)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("Ingredients: duck\n")
    return tmp_path


def paths(*arguments: str, ignored: Ignored | None = None) -> list[str]:
    found = find(arguments, ignored)
    assert found.faults == []
    return found.paths


def test_a_folder_is_searched_in_the_order_of_the_names(here):
    assert paths(".") == [
        "a.panel",
        "b.panel",
        "dogs/kibble.PANEL",
        "dogs/wet/loaf.panel",
        "drafts/new.panel",
    ]


def test_arguments_keep_their_order_and_each_file_comes_once(here):
    assert paths("dogs", "b.panel", ".", "./b.panel")[:4] == [
        "dogs/kibble.PANEL",
        "dogs/wet/loaf.panel",
        "b.panel",
        "a.panel",
    ]
    assert len(paths("dogs", "b.panel", ".", "./b.panel")) == 5


def test_a_named_file_may_have_any_name(here):
    assert paths("notes.txt", "-") == ["notes.txt", "-"]


def test_globs(here):
    assert paths("*.panel") == ["a.panel", "b.panel"]
    assert paths("**/*.panel") == ["a.panel", "b.panel", "dogs/wet/loaf.panel", "drafts/new.panel"]


@pytest.mark.parametrize(
    ("argument", "message"),
    [
        ("nowhere.panel", "no such file or folder"),
        ("none*.panel", "no file matches"),
        ("empty", "holds no *.panel file"),
    ],
)
def test_what_is_not_there_is_a_fault_and_the_rest_goes_on(here, argument, message):
    Path("empty").mkdir()
    found = find([argument, "a.panel"], None)
    assert [str(fault) for fault in found.faults] == [f"{argument}: {message}"]
    assert found.paths == ["a.panel"]


def test_an_ignore_file_keeps_files_away(here):
    Path(".panellintignore").write_text("# none of these\n\ndrafts/\n*.PANEL\n")
    assert paths(".", ignored=Ignored()) == ["a.panel", "b.panel", "dogs/wet/loaf.panel"]


def test_an_ignore_file_reaches_only_what_lies_below_it(here):
    Path("dogs/.panellintignore").write_text("*.panel\n!loaf.panel\n/kibble.PANEL\n")
    assert paths(".", ignored=Ignored()) == [
        "a.panel",
        "b.panel",
        "dogs/wet/loaf.panel",
        "drafts/new.panel",
    ]


def test_a_named_file_that_is_ignored_is_left_out_and_told(here):
    Path(".panellintignore").write_text("\ndrafts\n")
    found = find(["drafts/new.panel", "a.panel"], Ignored())
    assert found.paths == ["a.panel"]
    assert found.left_out == [("drafts/new.panel", ".panellintignore:2: drafts")]
    assert find(["drafts/new.panel"], None).paths == ["drafts/new.panel"]


def test_a_folder_whose_labels_are_all_ignored_is_no_fault(here):
    Path(".panellintignore").write_text("drafts\n")
    Path("drafts/.panellintignore").write_text("new.panel\n")
    found = find(["drafts"], Ignored())
    assert (found.paths, found.faults) == ([], [])


def test_the_settings_ignore_too(here):
    Path("panellint.yaml").write_text("ignore: [drafts/, 'dogs/**']\n")
    assert paths(".", ignored=Ignored()) == ["a.panel", "b.panel"]
    found = find(["drafts/new.panel"], Ignored())
    assert found.left_out == [("drafts/new.panel", "panellint.yaml: drafts/")]


def test_a_link_to_a_folder_is_not_followed(here):
    os.symlink(here, here / "dogs" / "loop")
    assert len(paths(".")) == 5


def test_standard_input_takes_a_name(monkeypatch):
    class Input:
        class buffer:
            @staticmethod
            def read(most: int) -> bytes:
                return b"Ingredients: duck\n"

    monkeypatch.setattr("sys.stdin", Input)
    assert source_of("-", "labels/new.panel").path == "labels/new.panel"
    assert source_of("-").path == "-"


def test_what_is_no_text_is_told_with_its_place(here):
    Path("bad.panel").write_bytes(b"duck\n\xff\xfe")
    with pytest.raises(InputError, match=r"^bad\.panel:2:1: not text"):
        source_of("bad.panel")
