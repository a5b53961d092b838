"""Sure corrections: what is corrected, and what is left to the maker."""

from pathlib import Path

import pytest

from panellint.core.source import Source, encoded_like, read
from panellint.lint.fix import corrected, difference
from panellint.rulepacks.settings import Settings

CORPUS = Path(__file__).parents[2] / "corpus"


def fixed(text: str) -> str:
    return corrected(Source(text), Settings())[0]


@pytest.mark.parametrize(
    ("text", "after"),
    [
        ("Ingredients: duck, brocoli, salt", "Ingredients: duck, broccoli, salt"),
        ("Ingredients: duck, RIBLOFLAVIN, salt", "Ingredients: duck, RIBOFLAVIN, salt"),
        ("Ingredients: duck,, millet", "Ingredients: duck, millet"),
        ("Ingredients: duck, , millet", "Ingredients: duck, millet"),
        ("Ingredients: duck duck, millet", "Ingredients: duck, millet"),
        (
            "Ingredients: duck, minerals (zinc oxide, salt]",
            "Ingredients: duck, minerals (zinc oxide, salt)",
        ),
        ("Ingredients: duck, millet, salt (iodized.", "Ingredients: duck, millet, salt (iodized)."),
        ("Ingredients: duck duck,, brocoli", "Ingredients: duck, broccoli"),
    ],
)
def test_what_has_one_correction_is_corrected(text, after):
    assert fixed(text) == after
    assert fixed(after) == after


@pytest.mark.parametrize(
    "text",
    [
        "Ingredients: mahi mahi, duck",  # a fish
        "Ingredients: duck, milet, salt",  # millet, or the fish mullet
        "Ingredients: duck, minerals (zinc oxide, salt, millet",  # three places for the bracket
        "Ingredients: duck, zinc oxide, salt), millet",
        "Ingredients: oats pearled barley, duck",  # two names or one
        "Ingredients: duck, xylophone powder",
    ],
)
def test_what_has_several_is_left_to_the_maker(text):
    assert fixed(text) == text


def test_a_difference_is_unified():
    text = difference(Source("Ingredients: duck,\n  brocoli, salt", "x.panel"), Settings())
    assert text.splitlines() == [
        "--- x.panel",
        "+++ x.panel",
        "@@ -1,2 +1,2 @@",
        " Ingredients: duck,",
        "-  brocoli, salt",
        "+  broccoli, salt",
    ]


def test_only_what_is_wanted():
    text = "Ingredients: duck,, brocoli"
    after, made = corrected(Source(text), Settings(), "misspelt-name".__eq__)
    assert (after, made) == ("Ingredients: duck,, broccoli", 1)


@pytest.mark.parametrize("path", sorted(CORPUS.glob("*.panel")), ids=lambda path: path.stem)
def test_a_corrected_label_of_the_corpus_needs_no_other_correction(path):
    source = read(path)
    settings = Settings.for_path(path)
    once, made = corrected(source, settings)
    assert corrected(Source(once, str(path)), settings) == (once, 0)
    assert (once == source.text) == (made == 0)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-32"])
def test_a_text_keeps_its_encoding(encoding):
    data = "é, \U0001f986\r\n".encode(encoding)
    assert encoded_like(data, "é, \U0001f986\r\n") == data
