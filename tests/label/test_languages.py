"""Each language that is read has its words in every file that holds words by language."""

from __future__ import annotations

import pytest

from panellint.catalogue import load
from panellint.core.source import Source
from panellint.label.claims import languages as claims
from panellint.label.languages import language_of, language_of_words, languages_read
from panellint.label.reader import read_label
from panellint.lint.engine import lint
from panellint.rulepacks.data import data
from panellint.rulepacks.settings import Settings

CODES = ("en", "de", "fr", "es", "it", "nl", "pl", "pt", "sv", "da", "cs", "fi")
#: Kinds of section that have no heading of their own in some languages.
ENGLISH = frozenset({"origin", *"form market life-stage language price source".split()})
ENGLISH |= {"preparation", "ash", "batch-sheet"}


def test_the_twelve_languages_are_read() -> None:
    assert set(languages_read()) == set(CODES) == set(claims())
    assert set(load().languages) == set(CODES)
    known = data("words/languages")
    for table in ("marks", "names", "statement"):
        assert set(known[table]) - {""} == set(CODES)
    assert set(data("words/evidence")["sentence"]) == set(CODES)
    assert all(set(words) == set(CODES) for words in data("words/bounds").values())
    assert set(data("words/statutory")["languages"]) == set(CODES) - {"en"}


@pytest.mark.parametrize("code", CODES)
def test_a_language_has_headings_categories_and_constituents(code: str) -> None:
    for heading in data("words/headings")["headings"]:
        assert heading["kind"] in ENGLISH or heading["words"].get(code), heading["kind"]
    assert all(one["names"].get(code) for one in data("words/categories")["categories"])
    rows = {one["id"]: one["names"] for one in data("nutrients/nutrients")["nutrients"]}
    four = ("protein", "fat", "fibre", "ash", "moisture", "calcium", "phosphorus", "sodium")
    assert all(rows[nutrient].get(code) for nutrient in four)


@pytest.mark.parametrize("code", CODES)
def test_the_small_words_of_a_language_are_no_letters(code: str) -> None:
    letters = {word for word in data("words/evidence")["sentence"][code] if len(word) == 1}
    assert letters <= {"en": {"a"}, "fr": {"à"}, "es": {"y", "o"}, "it": {"e", "è", "o"}}.get(
        code, set()
    )


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("Karma pełnoporcjowa dla psów\nSkład: kaczka, ryż\n", "pl"),
        ("Alimento completo para cães\nComposição: pato, arroz\n", "pt"),
        ("Helfoder för hundar\nSammansättning: anka, ris\n", "sv"),
        ("Fuldfoder til hunde\nSammensætning: kylling, ris\n", "da"),
        ("Kompletní krmivo pro psy\nSložení: kachna, rýže\n", "cs"),
        ("Täysrehu koirille\nKoostumus: ankka, riisi\n", "fi"),
    ],
)
def test_a_label_is_read_in_its_language(text: str, code: str) -> None:
    label = read_label(Source(text))
    assert language_of(label) == code
    assert [(one.route, one.species) for one in label.adequacy] == [("complete", "dog")]
    assert [entry.name for entry in label.declaration][1:]


@pytest.mark.parametrize("code", ["it", "es", "pl", "pt", "sv", "da", "cs", "fi"])
def test_what_rests_on_words_of_memory_is_a_warning_at_most(code: str) -> None:
    heading = data("words/statutory")["languages"][code]
    text = (
        f"Quillbrook Larder\n{heading['composition']}: 120 % salt\n{heading['constituents']}: 5 %\n"
    )
    found = lint(Source(text), Settings().with_market("eu")).findings
    assert found
    assert "error" not in {str(one.severity) for one in found}


@pytest.mark.parametrize(
    ("words", "usual", "language"),
    [
        ("Alleinfuttermittel für Hunde und Katzen", "en", "de"),
        ("Alleinfuttermittel für Hunde und Katzen", "de", "de"),
        ("Duck 4711", "fr", "fr"),
    ],
)
def test_a_sentence_is_in_the_language_of_its_words(words: str, usual: str, language: str) -> None:
    assert language_of_words(words, usual) == language
