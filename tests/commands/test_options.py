"""Options that commands share: an output that never replaces an input."""

import pytest
from click.testing import CliRunner

from panellint.cli import cli
from panellint.core.errors import InputError

LABEL = (
    "Product name: Duck Recipe for Dogs\nForm: kibble\nIngredients: duck, millet, oats.\n"
    "Guaranteed analysis: crude protein (min) 26%, crude fat (min) 14%, crude fiber (max) 5%, "
    "moisture (max) 10%\n"
)


@pytest.mark.parametrize(
    "arguments",
    [
        ["lint", "a.panel"],
        ["lint", "."],
        ["lint", "*.panel"],
        ["outline", "a.panel"],
        ["shares", "./a.panel"],
        ["nutrition", "a.panel"],
        ["compare", "b.panel", "a.panel"],
        ["blend", "b.panel", "a.panel", "--target", "protein >= 5 %"],
        ["changes", "b.panel", "a.panel"],
        ["report", "a.panel"],
    ],
)
def test_no_output_replaces_an_input(arguments, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for name in ("a.panel", "b.panel"):
        (tmp_path / name).write_text(LABEL, encoding="utf-8")
    done = CliRunner().invoke(cli, [*arguments, "--output", "a.panel"])
    said = done.output + str(done.exception)
    assert "is an input of this command" in said
    assert done.exit_code == 2 or isinstance(done.exception, InputError)
    assert (tmp_path / "a.panel").read_text(encoding="utf-8") == LABEL


def test_another_file_is_replaced(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "a.panel").write_text(LABEL, encoding="utf-8")
    (tmp_path / "out.json").write_text("before", encoding="utf-8")
    arguments = ["nutrition", "a.panel", "--format", "json", "--output", "out.json"]
    assert CliRunner().invoke(cli, arguments).exit_code == 0
    assert "bases" in (tmp_path / "out.json").read_text(encoding="utf-8")
