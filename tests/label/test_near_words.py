"""Words that a scanner has spoilt, or that are a slip away from known ones."""

from __future__ import annotations

import pytest

from panellint.core.source import Source
from panellint.core.text import fold
from panellint.label.near_words import KnownWords, mended, spellings
from panellint.label.reader import read_label

_KNOWN = {"moisture": "moisture", "crude ash": "ash", "feeding guide": "feeding", "ash": "ash"}


@pytest.mark.parametrize(
    ("printed", "word"),
    [
        ("Moisture", "moisture"),
        ("M0isture", "moisture"),
        ("Rnoisture", "moisture"),
        ("Feedlng gulde", "feeding guide"),
        ("Crude asb", "crude ash"),
        ("Moistures", "moisture"),
        ("Mixture", None),
        ("Asb", None),
        ("Feeding ground", None),
    ],
)
def test_nearly_the_words(printed: str, word: str | None) -> None:
    assert KnownWords(_KNOWN).near(fold(printed)) == word


@pytest.mark.parametrize(
    ("printed", "spelt"),
    [
        ("0rganic 0ats", ["organic oats", "organic oats"]),
        ("Vitam1ns", ["Vitamins", "Vitamlns"]),
        ("ca1cium 5alt", ["caicium salt", "calcium salt"]),
        ("vitamin 12", []),
        ("oats", []),
    ],
)
def test_digits_that_a_scanner_gave_for_letters(printed: str, spelt: list[str]) -> None:
    assert list(mended(printed)) == spelt


def test_words_between_two_meanings_are_neither() -> None:
    assert KnownWords({"crude fat": "fat", "crude fit": "other"}).near("crude fxt") is None


def test_a_heading_that_is_nearly_one_begins_its_section_and_is_told() -> None:
    label = read_label(Source("Quail Bowl\nlngredlents: quail, millet\nGUARANTEED ANALYS1S\n"))
    assert [entry.name for entry in label.declaration] == ["quail", "millet"]
    assert [(fault.kind, fault.words) for fault in label.faults] == [
        ("near-heading", "ingredients"),
        ("near-heading", "guaranteed analysis"),
    ]


@pytest.mark.parametrize(
    ("line", "maybe"),
    [
        ("Crude Proteln (min) 24%", "protein"),
        ("Crude protein (min) 2S.0%", "protein"),
        ("Crude protein (min) 22-24%", "protein"),
        ("Moisture (max): see bag", "moisture"),
        ("Beta-something (min) 2%", None),
        ("Crude protein (min) 24%", None),
    ],
)
def test_a_line_of_guarantees_that_may_be_one_is_kept_as_unread(
    line: str, maybe: str | None
) -> None:
    text = f"Ingredients: quail\nGuaranteed analysis\n{line}\nCrude fat (min) 9%\n"
    unread = [one for one in read_label(Source(text)).ledger.unread if one.maybe]
    assert [maybe in one.maybe for one in unread] == ([True] if maybe else [])
    assert all(text[one.span.start : one.span.end] in line for one in unread)


def test_two_columns_of_a_page_are_two_lines() -> None:
    text = (
        "Quail Bowl              Guaranteed analysis\n"
        "Cat food                Crude protein (min)   12%\n"
        "Net Wt 4 oz             Crude fat (min)        5%\n\nIngredients: quail\n"
    )
    label = read_label(Source(text))
    assert [(one.nutrient, int(one.value)) for one in label.guarantees] == [
        ("protein", 12),
        ("fat", 5),
    ]
    assert label.product_name.startswith("Quail Bowl")
    assert label.facts["net-contents"][0] == "4 oz"


@pytest.mark.parametrize(
    ("words", "language", "others"),
    [
        # Capitals lose their accents, and a stroke only where no sign for it is at hand.
        ("żółtko", "pl", ["zoltko", "zołtko"]),
        ("smørebrød", "da", ["smorebrod", "smoerebroed"]),
        ("protein", "da", []),
    ],
)
def test_words_are_known_as_their_language_spells_them_too(
    words: str, language: str, others: list[str]
) -> None:
    assert spellings(words, language) == [words, *others]
