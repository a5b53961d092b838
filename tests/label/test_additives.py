"""Additives with their amounts, in the orders and layouts that packs print them in."""

from __future__ import annotations

import random
from decimal import Decimal

import pytest

from panellint.analysis.additive_register import share_of
from panellint.core.source import Source
from panellint.label.additives import read_additives
from panellint.label.reader import read_label


@pytest.mark.parametrize(
    ("printed", "read"),
    [
        ("vitamina A (3a672a) UI 13.000; rame (3b406) mg 8", [("3a672a", 13000), ("3b406", 8)]),
        ("3b405 Kupfer 8 mg, 3b603 Zink 75 mg", [("3b405", 8), ("3b603", 75)]),
        ("vit. E: 30 mg; 3a370 taurine: 700 mg", [(None, 30), ("3a370", 700)]),
        ("15.000 IE Vitamin A (3a672a), 75 mg Zink\n(3b605)", [("3a672a", 15000), ("3b605", 75)]),
        ("[3a671] Vitamin D3 250 IE\n[3b605] Zink 75 mg", [("3a671", 250), ("3b605", 75)]),
        ("E 1 (Fe) 60 mg, E 8 (Se) 0,1 mg", [("E 1", 60), ("E 8", "0.1")]),
        ("tocopherol extracts (1b306(i)) 50 mg", [("1b306(i)", 50)]),
        ("zinc (mg/kg) 75, vitamin D3 (IU) 1 200", [(None, 75), (None, 1200)]),
        ("3b202 calcium iodate, anhydrous 2 mg", [("3b202", 2)]),
        ("zinc 75 mg (3b605 zinc sulphate\nmonohydrate), iodine 2 mg", [("3b605", 75), (None, 2)]),
    ],
)
def test_number_and_amount_stand_in_any_order(printed: str, read: list) -> None:
    amounts = read_additives("", printed, 0)
    assert [(given.number, given.value) for given in amounts] == [
        (number, Decimal(value)) for number, value in read
    ]


_ADDITIVES = [
    ("Vitamin A", "3a672a", "15000", "IE"),
    ("Vitamin D3", "3a671", "1200", "IE"),
    ("Vitamin B12", "", "0,05", "mg"),
    ("Eisen", "3b103", "60", "mg"),
    ("Jod", "3b202", "1,5", "mg"),
    ("Selen", "3b801", "0,1", "mg"),
    ("Taurin", "3a370", "2500", "mg"),
]
_FORMS = [
    "{name} ({number}) {amount} {unit}",
    "{number} ({name}): {amount} {unit}",
    "{name} ({number}: {amount} {unit})",
    "{amount} {unit} {name} ({number})",
    "{name} {amount} {unit} [{number}]",
    "{number} - {name} = {amount} {unit}",
    "{name} ({number}) ({unit}) {amount}",
    "{name} ({number}) {amount}{unit}/kg",
]
_JOINTS = [", ", "; ", " | ", " / ", ". ", "\n", "\n• ", ",\nSpurenelemente: ", "\nAminosäuren: "]


@pytest.mark.parametrize("seed", range(40))
def test_what_was_printed_is_read_again(seed: int) -> None:
    draw = random.Random(seed)
    drawn = sorted(draw.sample(_ADDITIVES, 4), key=_ADDITIVES.index)
    form, joint, ends = draw.choice(_FORMS), draw.choice(_JOINTS), draw.choice(" \n")
    items = [
        form.format(name=name, number=number, amount=amount, unit=unit)
        for name, number, amount, unit in drawn
        if number
    ]
    printed = f"{joint.join(items[:-1])}{draw.choice([', ', joint])}{items[-1]}"
    text = (
        "Zusammensetzung: Huhn, Reis.\nAnalytische Bestandteile: Rohprotein 24 %.\n"
        f"Ernährungsphysiologische Zusatzstoffe je kg:{ends}{printed}\n"
        "Technologische Zusatzstoffe: Antioxidationsmittel."
    )
    amounts = read_label(Source(text)).additives
    assert [(given.printed, given.number, given.value) for given in amounts] == [
        (name, number, Decimal(amount.replace(",", ".")))
        for name, number, amount, _ in drawn
        if number
    ]


def test_additives_of_a_sentence_are_read_without_their_heading() -> None:
    text = (
        "Composition: duck, rice.\n\nPer kilogram we add these nutritional additives: 1,500 IU of "
        "vitamin D3 (3a671), 75 mg of zinc from zinc oxide (3b603).\n"
    )
    amounts = read_label(Source(text)).additives
    assert [given.printed for given in amounts] == ["vitamin D3", "zinc from zinc oxide"]
    # 75 mg are of the element, as "zinc (zinc oxide)" would say it, and not of the oxide.
    assert share_of("zinc", amounts[1].printed) == 1
    assert share_of("zinc", "zinc oxide") < 1
