"""What unread words may be, and where what was read ends."""

from __future__ import annotations

import pytest

from panellint.core.source import Source
from panellint.label.evidence import maybe
from panellint.label.ledger import Fate
from panellint.label.reader import read_label


@pytest.mark.parametrize(
    ("words", "section", "part"),
    [
        ("C0mplete wet pet f0od f0r cats", "product-name", "adequacy"),
        ("Manglme c0mplet0 per canl", "product-name", "adequacy"),
        ("Working Dog Muesli 1S kg", "product-name", "net-contents"),
        ("l20 g", "guarantees", "net-contents"),
        ("CAL0RIES (ca1culated): 3,90O kca1/kg", "guarantees", "calories"),
        ("4 kg 20O g arn Tag", "additives", "feeding"),
        ("M0lenpad 6", "lot", "maker"),
    ],
)
def test_what_a_scanner_has_spoilt_may_be_the_part_that_it_was(
    words: str, section: str, part: str
) -> None:
    assert part in maybe(words, section)


@pytest.mark.parametrize("words", ["Complete joy in a bowl", "Beef 3lbs", "A 3 kg bag of joy"])
def test_sound_words_are_no_spoilt_ones(words: str) -> None:
    assert not maybe(words, "product-name")


def read_in(text: str, words: str) -> bool:
    """Returns whether words stand in a stretch that was read."""
    start = text.index(words)
    return any(
        stretch.fate is Fate.READ and stretch.span.start <= start < stretch.span.end
        for stretch in read_label(Source(text)).ledger.stretches
    )


def test_an_additive_with_its_amount_begins_behind_the_words_before_it() -> None:
    text = "Additives per kg: qwqqk z (vzv) wzx, vitamin D3 (3a671) 1000 IU."
    assert read_in(text, "vitamin D3")
    assert not read_in(text, "qwqqk")


def test_a_row_of_a_table_does_not_go_on_with_the_one_above() -> None:
    text = "Feeding\n6-8 lbs: 1/3 cup daily\nx-xv xxx: q/x wxx wxvwk\n"
    assert read_in(text, "6-8 lbs")
    assert not read_in(text, "x-xv xxx")


def test_a_guarantee_begins_behind_a_figure_that_is_spoilt() -> None:
    label = read_label(Source("Guaranteed analysis: Flbre (max) l%; Moisture (max) 82%"))
    assert [guarantee.printed for guarantee in label.guarantees] == ["Moisture"]
