"""Words of the packs in texts whose accents a program has lost."""

from __future__ import annotations

import pytest

from panellint.core.text import without_accents
from panellint.core.wording import Wording, regex


@pytest.mark.parametrize(
    ("words", "text", "stands"),
    [
        ("analytické složky", "Analyticke slozky: hruby protein 10 %", True),
        ("pełnoporcjowa karma", "PELNOPORCJOWA KARMA DLA PSOW", True),
        ("Sammansättning", "Sammansattning: kyckling", True),
        ("Sammansättning", "Sammansättning: kyckling", True),
        ("für Hunde", "fur Hunde", False),
        ("thé", "the food", False),
        ("thé", "thé vert", True),
    ],
)
def test_a_word_is_found_without_its_accents(words: str, text: str, stands: bool) -> None:
    assert (Wording(words).search(text) is not None) is stands


def test_classes_of_letters_and_escapes_stay_as_they_are() -> None:
    assert regex(r"\bstruvit[éè]\b").search("struvité")
    assert not regex(r"\bstruvit[éè]\b").search("struvite")
    assert regex(r"\bpříchuť\b").search("prichut")


def test_letters_are_taken_one_for_one() -> None:
    assert without_accents("Łosoś, kød, Ergänzung, œuf") == "Losos, kod, Erganzung, œuf"
