from pathlib import Path

from click.testing import CliRunner

from panellint.cli import cli

LABEL = "Product name: Duck Recipe for Dogs\nIngredients: Duck, organic millet*, flurbite.\n"


def invoke(*arguments, **given):
    return CliRunner().invoke(cli, ["outline", *arguments], **given)


def test_the_tree_of_standard_input():
    result = invoke("-", "--as", "duck.panel", "--market", "us", input=LABEL)
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert lines[0] == "duck.panel"
    assert lines[1].startswith("  Read as: market us")
    tree = lines[: lines.index("At a glance")]
    assert [line.split() for line in tree if line.startswith("   ")][-3:] == [
        ["1", "Duck", "duck"],
        ["2", "organic", "millet*", "millet"],
        ["3", "flurbite", "not", "in", "the", "catalogue"],
    ]


def test_what_cannot_be_read_is_told(tmp_path):
    result = invoke(str(tmp_path / "nowhere.panel"))
    assert result.exit_code == 2
    assert "nowhere.panel: cannot be read: No such file or directory" in result.stderr


def test_an_output_file(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    result = invoke("-", "--output", "out.txt", input=LABEL)
    assert (result.exit_code, result.stdout) == (0, "")
    assert Path("out.txt").read_text().startswith("-\n  Read as: ")
