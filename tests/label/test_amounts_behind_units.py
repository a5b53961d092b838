"""Amounts of additives with the unit in front, as Italian packs print them."""

from __future__ import annotations

from decimal import Decimal

import pytest

from panellint.label.statements import read_additives


@pytest.mark.parametrize(
    ("printed", "read"),
    [
        ("vitamina A (3a672a) UI 13.000; rame (3b406) mg 8", [("3a672a", 13000), ("3b406", 8)]),
        ("3b405 Kupfer 8 mg, 3b603 Zink 75 mg", [("3b405", 8), ("3b603", 75)]),
        ("vit. E: 30 mg; 3a370 taurine: 700 mg", [(None, 30), ("3a370", 700)]),
    ],
)
def test_the_unit_stands_on_either_side(printed: str, read: list) -> None:
    amounts = read_additives("", printed, 0)
    assert [(given.number, given.value) for given in amounts] == [
        (number, Decimal(value)) for number, value in read
    ]
