import json

from click.testing import CliRunner

from panellint.cli import cli


def invoke(*arguments):
    return CliRunner().invoke(cli, ["ingredient", *arguments])


def test_what_is_known_is_told_with_its_sources():
    result = invoke("organic duck")
    assert result.exit_code == 0
    assert result.stdout.startswith("organic duck: duck, qualified as organic\n")
    assert "  sources\n    [1] " in result.stdout
    data = json.loads(invoke("duck", "--format", "json").stdout)
    assert data["known_as"] == "duck"
    assert all(figure["source"] for figure in data["figures"].values())


def test_an_unknown_name_has_its_nearest_names():
    result = invoke("dried chiken")
    assert result.exit_code == 2
    assert result.stdout == ""
    assert "the catalogue knows no 'dried chiken'; nearest: dried chicken" in result.stderr


def test_a_faulty_market_is_told():
    result = invoke("duck", "--market", "moon")
    assert result.exit_code == 2
    assert "unknown market" in result.stderr
