"""What an editor, a hook or CI hands over is never passed in silence, nor said in two ways."""

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from panellint import api
from panellint.cli import cli
from panellint.core.source import read

CORPUS = Path(__file__).parents[2] / "corpus"


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("empty.panel", ""),
        ("blank.panel", " \n\t\n"),
        ("panellint.yaml", "market: us\n"),
        ("notes.panel", "zzz qqq vvv\n"),
    ],
)
def test_a_file_that_is_no_label_fails_the_run(tmp_path, name, text):
    (tmp_path / name).write_text(text)
    done = CliRunner().invoke(cli, ["lint", str(tmp_path / name)])
    assert done.exit_code == 1, done.output
    assert "label-not-read" in done.output


def test_what_is_to_be_written_stands_between_backticks():
    titles = {
        remedy["title"]
        for path in sorted(CORPUS.glob("*.panel"))
        for finding in api.lint(read(str(path)).text, path.name)["findings"]
        for remedy in finding["remedies"]
        if remedy["title"].startswith("Write ")
    }
    assert titles
    assert all(re.fullmatch("Write `[^`]+`", title) for title in titles), titles
