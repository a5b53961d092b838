"""Parts of a list that stand without a heading of their own: guarantees in a paragraph, units above
amounts, a sheet of two rows, a name in a sentence."""

from decimal import Decimal

import pytest

from panellint.core.source import Source
from panellint.label.model import Label
from panellint.label.reader import read_label

FEED = "Alleinfuttermittel für Hunde. "


def _label(text: str) -> Label:
    return read_label(Source(text))


@pytest.mark.parametrize(
    "text",
    [
        "Ergänzungsfutter. Zusammensetzung: Ohren 100%. Rohprotein 81%, Rohfett 4%. Masse: 1 kg",
        "Aliment complémentaire. Composition : oreilles. Protéine brute 81 %, cendres brutes 4 %.",
        "Skład: uszy królicze 100%. Białko surowe 81%, tłuszcz surowy 4%, wilgotność 7%.",
    ],
)
def test_guarantees_follow_a_list_in_its_paragraph(text: str) -> None:
    label = _label(text)
    assert len(label.declaration) == 1
    assert label.guarantees[0].nutrient == "protein"
    assert label.guarantees[0].value == 81


@pytest.mark.parametrize(
    "additives",
    [
        "Zusatzstoffe: IE/kg: A (3a672a): 1200, D3 (3a671): 400; mg/kg: Zn (3b605): 60",
        "Zusatzstoffe: Vitamine (IE/kg): A (3a672a) 1200, D3 (3a671) 400; (mg/kg): Zn (3b605) 60",
        "Zusatzstoffe\nIE/kg:\nA (3a672a) 1 200\nD3 (3a671) 400\nmg/kg:\nZink (3b605) 60",
        "Zusatzstoffe je kg: A (3a672a) 1200 IE, D3 (3a671) 400 IE, Zink (3b605) 60 mg",
    ],
)
def test_amounts_of_additives_have_the_unit_above_them(additives: str) -> None:
    amounts = _label(f"{FEED}Zusammensetzung: Rind, Reis.\n{additives}").additives
    assert [(a.number, a.value, a.unit) for a in amounts] == [
        ("3a672a", Decimal(1200), "IU/kg"),
        ("3a671", Decimal(400), "IU/kg"),
        ("3b605", Decimal(60), "mg/kg"),
    ]


def test_a_sheet_of_one_food_is_read_by_its_columns() -> None:
    label = _label(
        "Code\tSamenstelling\tAnalytische bestanddelen\tFabrikant\n"
        "771\tzalm (28%), erwten\truw eiwit 24%, ruw vet 11%\tDuin B.V., Zeeweg 8\n"
    )
    assert [entry.name for entry in label.declaration] == ["zalm", "erwten"]
    assert [guarantee.value for guarantee in label.guarantees] == [24, 11]


FEED_OF_BEEF = "Alleinfuttermittel für Hunde\nZusammensetzung: Rind, Reis"


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Lata MIA con atún. Alimento completo.\nComposición: atún.", "Lata MIA con atún"),
        (f"Hallo Jana,\n\nanbei der Text.\n\nRind pur - {FEED_OF_BEEF}", "Rind pur"),
        ("Da: qualità\nOggetto: testi\n\nCiao Ida, ecco:\nStick. Alimento complementare.", "Stick"),
        (f"Rind mit Reis, 400 g\n\n{FEED_OF_BEEF}", "Rind mit Reis"),
        (f"Wuff!\nRind mit Reis\n{FEED_OF_BEEF}", "Rind mit Reis"),
    ],
)
def test_the_name_stands_among_other_words(text: str, name: str) -> None:
    assert _label(text).product_name == name


def test_a_number_may_stand_behind_its_amount() -> None:
    amounts = _label(
        "Zusatzstoffe je kg: Vitamin D3 1.150 IE (3a671), Mangan 28 mg (Mangan(II)-oxid, 3b502)"
    ).additives
    assert [(amount.printed, amount.number) for amount in amounts] == [
        ("Vitamin D3", "3a671"),
        ("Mangan", "3b502"),
    ]


def test_a_table_with_rules_may_begin_with_any_heading() -> None:
    label = _label(
        "| Zusammensetzung | Rind 60 %, Reis |\n| Analytische Bestandteile | Rohprotein 24 % |\n"
        "| Zusatzstoffe je kg | Vitamin A (3a672a) 12.000 IE, Zink (3b605) 60 mg |\n"
    )
    assert [entry.name for entry in label.declaration] == ["Rind", "Reis"]
    assert [guarantee.nutrient for guarantee in label.guarantees] == ["protein"]
    assert [amount.number for amount in label.additives] == ["3a672a", "3b605"]


def test_single_letters_mark_the_languages_of_a_pack() -> None:
    label = _label(
        "D Zusammensetzung: Rind 60 %, Reis. F Composition : bœuf 60 %, riz.\n"
        "I Composizione: manzo 60 %, riso.\n"
        "F Composition : bœuf 60 %, riz.\n"
    )
    assert {version.language for version in label.translations} >= {"de", "fr", "it"}
