"""What a newcomer meets: init, help, worked examples, completion."""

import os
import shlex
import shutil
import subprocess
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner

from panellint.cli import COMMANDS, cli
from panellint.commands.examples import EXAMPLES

ROOT = Path(__file__).parents[2]
CORPUS = ROOT / "corpus"
DUCK = """Product name: Quillbrook Larder Duck Dinner for Dogs
Species: dog
Form: kibble
Ingredients: duck, brown rice, peas, salt
Guaranteed analysis
  Crude protein (min.) 26.0%
  Crude fat (min.) 14.0%
  Crude fiber (max.) 5.0%
  Moisture (max.) 10.0%
Calorie content (calculated): 3,520 kcal/kg, 380 kcal/cup
Nutritional adequacy: for intermittent or supplemental feeding only
"""
#: Commands that wait for someone, and need no example.
WAITING = {"serve", "desk"}


def invoke(*arguments: str):
    return CliRunner().invoke(cli, list(arguments))


@pytest.fixture
def shop(tmp_path, monkeypatch):
    """A folder in which every example can be run."""
    monkeypatch.chdir(tmp_path)
    # Short lists, so that the estimates of shares cost little.
    Path("duck.panel").write_text(DUCK)
    Path("wet.panel").write_text(DUCK.replace("Duck", "Beef").replace("duck, ", "beef, "))
    shutil.copy(CORPUS / "sheets/duck-millet-freeze-dried.csv", "batch.csv")
    for premix in ("larder-minerals.csv", "larder-vitamins.csv"):
        shutil.copy(CORPUS / "sheets" / premix, premix)
    Path("labels").mkdir()
    shutil.copy("duck.panel", "labels/duck.panel")
    git = ["git", "-c", "user.name=Label Desk", "-c", "user.email=labels@quillbrook.example"]
    for command in (["init", "-q"], ["add", "-A"], ["commit", "-qm", "labels"]):
        subprocess.run([*git, *command], check=True)
    return tmp_path


def test_every_command_has_an_example_and_shows_it():
    assert EXAMPLES.keys() == COMMANDS.keys() - WAITING
    for name, examples in EXAMPLES.items():
        text = invoke(name, "--help").stdout
        for one in examples:
            assert f"  {one}\n" in text


@pytest.mark.parametrize(
    "line",
    # The site has a test of its own.
    [line for name, lines in EXAMPLES.items() for line in lines if name != "pages"],
    ids=lambda line: line,
)
def test_each_example_works(shop, line):
    program, *arguments = shlex.split(line)
    assert program == "panellint"
    result = invoke(*arguments)
    assert result.exit_code in (0, 1), result.output
    assert "Traceback" not in result.output


def test_help_of_a_command_and_of_none():
    assert invoke("help", "shares").stdout.startswith("Usage: ")
    assert "Show the least and the most" in invoke("help", "shares").stdout
    assert "Commands:" in invoke("help").stdout
    result = invoke("help", "shars")
    assert result.exit_code == 2
    assert "Did you mean shares?" in result.output


@pytest.mark.parametrize("service", ["github", "gitlab", "none"])
def test_init_writes_what_works(tmp_path, monkeypatch, service):
    monkeypatch.chdir(tmp_path)
    result = invoke("init", "shop", "--ci", service, "--market", "us")
    assert result.exit_code == 0, result.output
    lint = invoke("lint", "shop")
    assert lint.exit_code == 0, lint.output
    assert "nothing found" in lint.output
    for path in Path("shop").rglob("*.y*ml"):
        assert yaml.safe_load(path.read_text())
    assert "market: us" in Path("shop/panellint.yaml").read_text()
    assert Path("shop/.gitlab-ci.yml").exists() == (service == "gitlab")
    Path("shop/panellint.yaml").write_text("market: eu\n")
    again = invoke("init", "shop", "--ci", service)
    assert "stays as it is" in again.output
    assert Path("shop/panellint.yaml").read_text() == "market: eu\n"
    assert invoke("init", "x", "--market", "uss").exit_code == 2


@pytest.mark.parametrize("name", ["action.yml", "gitlab.yml"])
def test_the_ci_files_are_yaml_and_use_options_that_exist(name):
    text = (ROOT / "panellint/editors/ci" / name).read_text()
    assert yaml.safe_load(text)
    words = text.replace("=", " ").replace("(", " ").split()
    used = {word.strip('")') for word in words if word.startswith("--")}
    known = {
        option
        for command in ("lint", "changes")
        for param in cli.get_command(None, command).params
        for option in param.opts
    }
    of_others = {"--", "--quiet", "--name-only", "--diff-filter"}
    assert used - of_others <= known


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_each_shell_gets_its_script(shell):
    result = CliRunner().invoke(
        cli, [], prog_name="panellint", env={"_PANELLINT_COMPLETE": f"{shell}_source"}
    )
    assert "_PANELLINT_COMPLETE" in result.output


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("panellint li", "plain,lint"),
        ("panellint rule name-q", "plain,name-quarter"),
        ("panellint lint --select misspelt-name,calorie-li", "plain,misspelt-name,calorie-line"),
        ("panellint lint --market u", "plain,uk"),
        ("panellint lint -f sar", "plain,sarif"),
        ("panellint ingredient xyl", "plain,xylitol"),
        ("panellint ingredient pumpki", "plain,pumpkin"),
        ("panellint lint du", "file,du"),
        ("panellint shares du", "file,du"),
        ("panellint lint --config pa", "file,pa"),
    ],
)
def test_words_are_completed(words, expected):
    asked = {
        **os.environ,
        "COMP_WORDS": words,
        "COMP_CWORD": str(len(words.split()) - 1),
        "_PANELLINT_COMPLETE": "bash_complete",
    }
    result = CliRunner().invoke(cli, [], prog_name="panellint", env=asked)
    assert expected in result.output.splitlines()
