"""What an index page and other systems need: metadata, folders, encodings, drives."""

import io
import os
import sys
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

from panellint.cli import cli
from panellint.core import cache
from panellint.core.files import relative
from panellint.output.cells import page_text

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def test_the_metadata_are_complete():
    trove = pytest.importorskip("trove_classifiers")
    assert PROJECT["license"] == "MIT"
    assert all((ROOT / name).is_file() for name in PROJECT["license-files"])
    assert set(PROJECT["classifiers"]) <= trove.classifiers
    assert {f"Programming Language :: Python :: 3.{minor}" for minor in range(11, 15)} <= set(
        PROJECT["classifiers"]
    )
    assert PROJECT["keywords"]
    assert (ROOT / "panellint" / "py.typed").is_file()


def test_every_extra_is_in_the_test_extra():
    """So that no test is skipped for want of a library."""

    def names(extra: str) -> set[str]:
        return {one.partition(">")[0] for one in PROJECT["optional-dependencies"][extra]}

    for extra in PROJECT["optional-dependencies"].keys() - {"test"}:
        assert names(extra) <= names("test"), extra


@pytest.mark.parametrize("system", ["darwin", "win32"])
def test_the_cache_is_where_a_system_keeps_such_folders(monkeypatch, tmp_path, system):
    import platformdirs

    monkeypatch.delenv("PANELLINT_CACHE", raising=False)
    monkeypatch.setattr(platformdirs, "user_cache_path", lambda name, **_: tmp_path / "own" / name)
    cache.forget_folder()
    with monkeypatch.context() as patched:
        patched.setattr(sys, "platform", system)
        folder = cache.cache_folder()
    cache.forget_folder()
    assert folder is not None
    assert folder.parent == tmp_path / "own" / "panellint"


def test_a_path_on_another_drive_is_itself(monkeypatch):
    def fails(path, start=None):
        raise ValueError("path is on mount 'D:', start on mount 'C:'")

    monkeypatch.setattr(os.path, "relpath", fails)
    assert relative("D:/labels/duck.panel") == "D:/labels/duck.panel"


def test_a_page_is_utf_8_whatever_the_streams_encoding():
    for encoding in ("cp1252", "ascii", "utf-8"):
        stream = io.TextIOWrapper(io.BytesIO(), encoding=encoding)
        stream.write(page_text("<p>é ● “x”</p>", stream))
        stream.flush()
        text = stream.buffer.getvalue().decode("utf-8")
        assert text in ("<p>é ● “x”</p>", "<p>&#233; &#9679; &#8220;x&#8221;</p>")


def test_a_report_goes_to_a_pipe_of_another_encoding():
    runner = CliRunner(charset="cp1252")
    result = runner.invoke(
        cli, ["report", "--format", "html", str(ROOT / "corpus/pumpkin-topper.panel")]
    )
    assert result.exit_code == 0
    assert b"</html>" in result.stdout_bytes
    result.stdout_bytes.decode("utf-8")
