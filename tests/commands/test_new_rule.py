"""`rule --new` and `rule --checks`: what a nutritionist types and gets."""

from __future__ import annotations

import json
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from panellint.cli import cli
from panellint.commands.new_rule import SUBJECTS, Questions, write_rule
from panellint.core.errors import InputError
from panellint.rulepacks import registry
from panellint.rulepacks.new_rule import id_of

POTATO = {
    "check": "1",
    "which": "white potato, moon dust",
    "among-first": "5",
    "title": "No potato among the first five",
    "because": "A promise of the house.",
    "passes": "Ingredients: duck, millet",
    "fails": r"Product name: Duck Dinner\nIngredients: duck, moon dust",
}


def answers(**changed: str) -> list[str]:
    given = POTATO | {key.replace("_", "-"): value for key, value in changed.items()}
    return [f"--answer={key}={value}" for key, value in given.items()]


def invoke(*arguments: str):
    result = CliRunner().invoke(cli, ["rule", *arguments])
    assert result.exception is None or isinstance(result.exception, SystemExit)
    return result


def test_a_new_rule_is_one_that_trying_the_pack_accepts(tmp_path: Path) -> None:
    pack = tmp_path / "packs" / "house.yaml"
    made = invoke("--new", str(pack), *answers())
    assert made.exit_code == 0
    assert "“moon dust”" in made.stdout
    tried = json.loads(invoke("--try", str(pack), "--format", "json").stdout)
    assert [(one["rule"], one["kind"], one["problem"]) for one in tried] == [
        ("no-potato-among-the-first-five", "passes", ""),
        ("no-potato-among-the-first-five", "fails", ""),
    ]
    text = pack.read_text(encoding="utf-8")
    assert "- id: [potato]" in text
    assert "- words: [moon dust]" in text
    assert "source: {practice: true}" in text


def test_what_a_pack_holds_is_kept(tmp_path: Path) -> None:
    pack = tmp_path / "house.yaml"
    invoke("--new", str(pack), *answers())
    first = pack.read_text(encoding="utf-8")
    pack.write_text(f"# Ours.\n{first}off: [waiver-unused]  # never mind\n", encoding="utf-8")
    second = invoke(
        "--new", str(pack), *answers(id="second", document="The book", section="2", market="us")
    )
    assert second.exit_code == 0
    text = pack.read_text(encoding="utf-8")
    assert text.startswith(f"# Ours.\n{first}\n  - id: second\n")
    assert "source: {document: The book, section: '2', seen: true}" in text
    assert text.endswith("\noff: [waiver-unused]  # never mind\n")
    assert invoke("--try", str(pack)).exit_code == 0


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"fails": "Ingredients: duck, millet"}, "finds no fault"),
        ({"passes": "Ingredients: potato"}, "finds fault with `potato`"),
        ({"check": "barred-ingredent"}, "did you mean `barred-ingredient`?"),
        ({"among_first": "five"}, "among-first: "),
        ({"severity": "grave"}, "error, warning, information, hint or off"),
        ({"id": "waiver-unused"}, "is there already"),
        ({"wich": "duck"}, "no question has this key"),
    ],
)
def test_a_faulty_answer_is_refused_and_nothing_written(
    tmp_path: Path, changed: dict[str, str], words: str
) -> None:
    pack = tmp_path / "house.yaml"
    result = invoke("--new", str(pack), *answers(**changed))
    assert result.exit_code == 2
    assert words in result.stderr
    assert not pack.exists()


def test_without_a_terminal_a_missing_answer_is_named(tmp_path: Path) -> None:
    given = [one for one in answers() if "because" not in one]
    result = invoke("--new", str(tmp_path / "house.yaml"), *given)
    assert result.exit_code == 2
    assert "--answer because=..." in result.stderr


def test_on_a_terminal_a_faulty_answer_is_asked_for_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    typed = iter(
        "9|2|superfood, miracle|No miracles||||House policy.|||Ingredients: duck|"
        "Ingredients: duck, miracle berry".split("|")
    )

    def prompt(question: str, default: str | None = None, **_: object) -> str:
        return next(typed) or default or ""

    monkeypatch.setattr(click, "prompt", prompt)
    done = write_rule(str(tmp_path / "house.yaml"), Questions((), is_terminal=True))
    assert "`no-miracles`" in done
    assert "“miracle”" in done
    with pytest.raises(StopIteration):
        next(typed)


def test_the_subjects_are_checks_and_their_rules_can_be_asked_for() -> None:
    assert set(SUBJECTS.values()) <= set(registry.names())
    with pytest.raises(InputError, match="no answer"):
        Questions((), is_terminal=False).ask("title", "What")


@pytest.mark.parametrize(
    ("title", "made"),
    [
        ("No potato!", "no-potato"),
        ("5 of the", "rule"),
        ("…", "rule"),
        ("Sugar is in the", "sugar"),
    ],
)
def test_an_id_is_made_of_the_title(title: str, made: str) -> None:
    assert id_of(title) == made


def test_checks_are_listed_with_what_they_take() -> None:
    listed = json.loads(invoke("--checks", "--format", "json").stdout)
    assert [one["check"] for one in listed] == list(registry.names())
    assert all(one["title"].endswith(".") for one in listed)
    (one,) = json.loads(invoke("--checks", "split-family", "--format", "json").stdout)
    within = next(each for each in one["parameters"] if each["name"] == "within")
    assert (within["type"], within["unit"], within["required"]) == (
        "a whole number",
        "entries",
        True,
    )
    text = invoke("--checks", "split-family").stdout
    assert "within: a whole number, entries" in text
    assert invoke("--checks", "split-famly").exit_code == 2
    assert invoke("--checks", "--try", "pack.yaml").exit_code == 2
