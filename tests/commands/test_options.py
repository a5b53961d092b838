"""Options that commands share: an output that never replaces an input."""

import pytest
from click.testing import CliRunner

from panellint.cli import cli
from panellint.core.cache import forget_folder
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


def test_no_output_replaces_a_file_that_an_input_names_even_with_force(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "a.panel").write_text(f"{LABEL}Batch sheet: a.csv\n", encoding="utf-8")
    sheet = "Ingredient,kg,Sheet\nDuck,60,\nMillet,39,\nMinerals,1,premix.csv\n"
    (tmp_path / "a.csv").write_text(sheet, encoding="utf-8")
    (tmp_path / "premix.csv").write_text("Ingredient,kg\nsalt,1\n", encoding="utf-8")
    for arguments in (
        ["report", "a.panel", "--output", "a.csv"],
        ["lint", ".", "--output", "a.csv", "--force"],
        ["reconcile", "a.panel", "--output", "a.csv", "--force"],
        ["declare", "a.csv", "--output", "premix.csv", "--force"],
    ):
        done = CliRunner().invoke(cli, arguments)
        assert done.exit_code == 2 or isinstance(done.exception, InputError)
        assert "input" in done.output + str(done.exception)
    assert (tmp_path / "a.csv").read_text(encoding="utf-8") == sheet


def test_another_file_is_replaced_with_force_or_as_an_earlier_output(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PANELLINT_CACHE", str(tmp_path / "cache"))
    forget_folder()
    (tmp_path / "a.panel").write_text(LABEL, encoding="utf-8")
    out = tmp_path / "out.json"
    out.write_text("before", encoding="utf-8")
    arguments = ["nutrition", "a.panel", "--format", "json", "--output", "out.json"]
    refused = CliRunner().invoke(cli, arguments)
    assert "is there already; --force replaces it" in refused.output + str(refused.exception)
    assert out.read_text(encoding="utf-8") == "before"
    assert CliRunner().invoke(cli, [*arguments, "--force"]).exit_code == 0
    assert "bases" in out.read_text(encoding="utf-8")
    assert CliRunner().invoke(cli, arguments).exit_code == 0
    other = CliRunner().invoke(cli, ["outline", *arguments[1:]])
    assert "is there already" in other.output + str(other.exception)
    out.write_text("changed by hand", encoding="utf-8")
    again = CliRunner().invoke(cli, arguments)
    assert "is there already" in again.output + str(again.exception)
    forget_folder()


def test_a_rule_that_is_selected_though_it_is_off_is_no_pass(tmp_path):
    label = tmp_path / "a.panel"
    label.write_text("Species: dog\nForm: kibble\nIngredients: chicken, white rice, salt\n")
    run = CliRunner().invoke(cli, ["lint", str(label), "--select", "high-glycaemic-starch"])
    assert run.exit_code == 0
    assert "high-glycaemic-starch is off" in run.stderr
    settings = tmp_path / "panellint.yaml"
    settings.write_text("rules: {high-glycaemic-starch: {severity: warning}}\n")
    run = CliRunner().invoke(cli, ["lint", str(label), "--select", "high-glycaemic-starch"])
    assert run.exit_code == 1
    assert run.stderr == ""
