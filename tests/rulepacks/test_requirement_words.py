"""The words of the requirements in each language: the same keys, every state, nothing left out."""

from __future__ import annotations

import re

import pytest

from panellint import api
from panellint.core.errors import InputError
from panellint.core.findings import State
from panellint.output.document_template import view
from panellint.rulepacks.data import data
from panellint.rulepacks.requirements import requirements
from panellint.rulepacks.settings import Settings

LANGUAGES = ("de", "fr", "it", "es", "nl")
ASKED = {row.id: row for market in ("eu", "uk") for row in requirements(market)}
LABEL = "Product name: Lamb Menu\nComplete pet food for adult dogs\nComposition: lamb 60 %, rice\n"


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_language_has_the_same_keys(language: str) -> None:
    words = data(f"words/requirements/{language}")
    assert set(words["asked"]) == set(ASKED)
    assert set(words["parts"]) == {row.part for row in ASKED.values()}
    assert set(words["words"]) == set(data("words/requirements/en")["words"])
    for part in ("animals", "notes"):
        assert set(words[part]) == set(data("words/requirements/en")[part])
    assert set(words["markets"]) == {"eu", "uk"}
    assert len(set(words["asked"].values())) == len(ASKED)
    figures = {key: re.findall(r"\d+", text) for key, text in words["asked"].items()}
    assert figures == {key: re.findall(r"\d+", row.what) for key, row in ASKED.items()}


@pytest.mark.parametrize("language", ["en", *LANGUAGES])
def test_a_language_names_each_state_in_its_own_way(language: str) -> None:
    states = data(f"words/requirements/{language}")["states"]
    assert set(states) == {str(state) for state in State}
    assert len(set(states.values())) == len(State)


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_sheet_is_in_the_language_asked(language: str) -> None:
    settings = Settings().with_market("eu")
    sheet = api.requirements(LABEL, settings=settings, language=language)
    english = api.requirements(LABEL, settings=settings)
    keys = ("id", "state", "clause", "start")
    rows, own = sheet["requirements"], english["requirements"]
    assert [[row[key] for key in keys] for row in rows] == [
        [row[key] for key in keys] for row in own
    ]
    assert not {row["what"] for row in rows} & {row["what"] for row in own}
    printed = " ".join(str(block) for block in view("requirements")([sheet]))
    words = data(f"words/requirements/{language}")
    assert words["states"]["met"] in printed
    assert words["states"]["not-visible"] in printed
    assert words["words"]["note"] in printed
    assert words["words"]["caution"][1] in printed
    assert f"{words['markets']['eu']}, {words['animals']['dog']}" in printed
    assert f", {words['words']['line']} 1" in printed
    for english in (
        "food for dogs",
        "line 1",
        "To settle",
        "nothing on the label",
        "there is no",
        "Caution",
    ):
        assert english not in printed, english


def test_what_was_not_put_in_a_language_is_refused() -> None:
    with pytest.raises(InputError, match="the market us was not put in the language `de`"):
        api.requirements(LABEL, settings=Settings().with_market("us"), language="de")
    with pytest.raises(InputError, match="`xx`"):
        api.requirements(LABEL, settings=Settings().with_market("eu"), language="xx")
