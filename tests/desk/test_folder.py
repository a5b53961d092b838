"""The folder of a desk: plain names inside it, whole files, nothing lost."""

from __future__ import annotations

import os

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.errors import InputError
from panellint.desk.folder import Folder


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "desk").mkdir()
    (tmp_path / "secret.panel").write_text("Ingredients: secret\n")
    return Folder(str(tmp_path / "desk"))


@pytest.mark.parametrize(
    "name",
    [
        "../secret.panel", "..\\secret.panel", "/etc/passwd", "a/b.panel", ".hidden.panel",
        "a.txt", "a.panel\x00", "a.panel/..", "", ".panel", "con\n.panel", "%2e%2e/secret.panel",
        "a" * 200 + ".panel",
    ],
)  # fmt: skip
def test_no_name_leaves_the_folder(folder, name):
    for use in (folder.read, lambda one: folder.save(one, "x", "")):
        with pytest.raises(InputError, match="no name for a label"):
            use(name)
    assert list(folder.path.iterdir()) == []


@given(st.text(max_size=30))
def test_any_name_stands_in_the_folder_or_nowhere(tmp_path_factory, name):
    folder = Folder(str(tmp_path_factory.getbasetemp()))
    try:
        place = folder.place(name)
    except InputError:
        return
    assert os.path.dirname(os.path.realpath(place)) == str(folder.path)


def test_a_link_is_not_followed(folder, tmp_path):
    (folder.path / "link.panel").symlink_to(tmp_path / "secret.panel")
    with pytest.raises(InputError):
        folder.read("link.panel")
    with pytest.raises(InputError):
        folder.save("link.panel", "x", "")
    assert folder.names() == []
    assert (tmp_path / "secret.panel").read_text() == "Ingredients: secret\n"


def test_a_label_is_kept_and_read_again(folder):
    mark = folder.save("Duck & Co.panel".replace(" & ", " "), "Ingredients: Entenbrühe, 鴨\n", "")
    assert folder.names() == ["Duck Co.panel"]
    assert folder.read("Duck Co.panel") == ("Ingredients: Entenbrühe, 鴨\n", mark)
    again = folder.save("Duck Co.panel", "Ingredients: duck\n", mark)
    assert again != mark


def test_what_something_else_changed_is_not_overwritten(folder):
    mark = folder.save("a.panel", "one\n", "")
    (folder.path / "a.panel").write_text("two\n")
    with pytest.raises(InputError, match="changed by something else"):
        folder.save("a.panel", "three\n", mark)
    with pytest.raises(InputError, match="is there already"):
        folder.save("a.panel", "three\n", "")
    assert (folder.path / "a.panel").read_text() == "two\n"


def test_a_folder_that_is_none_is_an_error(tmp_path):
    with pytest.raises(InputError, match="is no folder"):
        Folder(str(tmp_path / "gone"))
