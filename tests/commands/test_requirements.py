"""`panellint requirements`: the sheet in each form, the letter, and the exit status."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from panellint import api
from panellint.cli import cli

CORPUS = Path(__file__).parents[2] / "corpus"
SOUND = str(CORPUS / "beef-carrot-dehydrated.panel")
FAULTY = str(CORPUS / "lamb-guarantees-missing.panel")


def run(*arguments: str) -> tuple[int, str]:
    done = CliRunner().invoke(cli, ["requirements", *arguments])
    return done.exit_code, done.output


def test_the_json_is_what_the_interface_gives() -> None:
    status, output = run(FAULTY, "--format", "json")
    assert status == 1
    data = json.loads(output)
    del data["version"]
    assert data == api.requirements(Path(FAULTY).read_text("utf-8"), FAULTY)
    one = next(r for r in json.loads(output)["requirements"] if r["id"] == "guarantees")
    assert one["state"] == "missing"
    assert one["findings"][0]["rule"] == "guarantee-missing"
    assert set(one["start"]) == {"line", "column"}


def test_a_sound_label_passes() -> None:
    status, output = run(SOUND)
    assert status == 0
    assert "To put right" not in output


@pytest.mark.parametrize("form", ["text", "markdown", "html"])
def test_every_form_has_the_points_and_the_clauses(form: str) -> None:
    status, output = run(FAULTY, "--format", form)
    assert status == 1
    words = " ".join(output.replace("\\", "").split())
    assert "lacks crude fiber (max)" in words
    assert "R 285.635.3(c)" in words


def test_the_letter_lists_what_has_to_be_put_right_and_nothing_else() -> None:
    _, output = run(FAULTY, "--format", "letter")
    words = " ".join(output.split())
    assert "lacks crude fiber (max)" in words
    assert "the adequacy statement is about a cat" in words
    assert "What is asked: The mandatory guarantees stand there" in words
    assert "(Michigan" in words
    assert "Please add the guarantees that are lacking." in words
    assert "R 285.635.3(c); Michigan" not in words
    assert "Reviewed by" in words
    _, sound = run(SOUND, "--format", "letter")
    assert "nothing in it that needs correction" in " ".join(sound.split())


def test_several_labels_stand_in_one_sheet() -> None:
    status, output = run(SOUND, FAULTY, "--format", "json")
    assert status == 1
    assert [one["path"] for one in json.loads(output)["labels"]] == [SOUND, FAULTY]


def test_an_edition_that_is_not_known_is_refused() -> None:
    status, output = run(SOUND, "--edition", "next")
    assert status == 2
    assert "legacy" in output


def test_a_state_gives_the_clauses_of_its_own_text() -> None:
    sheet = api.requirements(Path(SOUND).read_text("utf-8"), SOUND, state="north dakota")
    assert sheet["edition"] == "modernised"
    by_id = {one["id"]: one for one in sheet["requirements"]}
    assert by_id["name-quarter"]["clause"].startswith("N.D. Admin. Code, 7-17-03-01(3)(b)")
    assert "North Dakota on it was not read" in by_id["guarantees"]["clause"]
    status, output = run(SOUND, "--state", "Ohio")
    assert run(SOUND, "--state", "oh") == (status, output)
    assert status == 0
    assert "19 April 2024" in " ".join(output.split())


def test_a_state_says_which_of_its_clauses_are_not_confirmed() -> None:
    sheet = api.requirements(Path(SOUND).read_text("utf-8"), SOUND, state="Kentucky")
    by_id = {one["id"]: one["clause"] for one in sheet["requirements"]}
    assert by_id["maker"].startswith("12 KAR, 3:012 section 4, the text before 2018 (the text in")
    assert "was not read" not in by_id["ingredient-order"]


def test_a_state_of_which_nothing_was_read_is_refused() -> None:
    assert run(SOUND, "--state", "Texas")[0] == 2
    assert run(str(CORPUS / "lamb-kibble-eu.panel"), "--state", "Ohio")[0] == 2
