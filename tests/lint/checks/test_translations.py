"""A pack in several languages is one food said several times; what departs is found there."""

from __future__ import annotations

import re

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.source import Source
from panellint.label.languages import language_marks
from panellint.label.reader import read_label
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings
from tests.labels.labels import faultless

PACKS = {label.id: label.text for label in faultless() if label.id.startswith("pack-")}
#: The pack of five languages with marks, in which each fault is planted.
FIVE = "pack-five-marked"


def differences(text: str) -> list[tuple[str, str]]:
    """What `lists-differ` marks and says."""
    found = lint(Source(text, "pack"), Settings().with_market("eu")).findings
    return [
        (text[one.span.start : one.span.end], one.message)
        for one in found
        if one.rule == "lists-differ"
    ]


@pytest.mark.parametrize("name", PACKS)
def test_a_pack_is_read_once_in_each_of_its_languages(name: str) -> None:
    label = read_label(Source(PACKS[name]))
    assert len(label.translations) == (5 if "five" in name else 2)
    assert len(label.guarantees) == 4
    for one in label.translations:
        assert [len(one.guarantees), len(one.additives), len(one.adequacy)] == [4, 3, 1]
    assert not differences(PACKS[name])


#: A Canadian label with a list in English and one in French, "{lists}".
CANADIAN = """Product name: Chicken Dinner for Dogs / Souper au poulet pour chiens
Market: CA
{lists}
Guaranteed analysis / Analyse garantie: crude protein / protéines brutes (min) 24%, crude fat /
  matières grasses brutes (min) 12%, crude fibre / fibres brutes (max) 4%,
  moisture / humidité (max) 10%
Net weight / Poids net: 2 kg
Dealer / Distributeur: Quillbrook Larder, 12 Mill Lane, Tamsin, Ontario K1A 0B1
"""
LISTS = [
    "Ingredients / Ingrédients: Chicken, rice, peas, salt. Poulet, riz, pois, sel.",
    "Ingrédients / Ingredients: Poulet, riz, pois, sel. Chicken, rice, peas, salt.",
    "INGREDIENTS | INGRÉDIENTS:\nCHICKEN, RICE, PEAS, SALT\nPOULET, RIZ, POIS, SEL",
    "Ingredients - Ingrédients: Chicken, rice,\npeas, salt.\nPoulet, riz, pois, sel.",
    "Ingredients/Ingrédients:\n\nChicken, rice, peas, salt.\n\nPoulet, riz, pois, sel.\n",
    "INGREDIENTS: Chicken, rice, peas, salt. INGRÉDIENTS : Poulet, riz, pois, sel.",
]


@pytest.mark.parametrize("lists", LISTS)
def test_one_heading_over_a_list_in_each_language(lists: str) -> None:
    """Each is read, and what is left out of the French one, or added to it, is found."""

    def found(text: str) -> list[tuple[str, str]]:
        result = lint(Source(CANADIAN.format(lists=text), "pack"), Settings())
        return [(str(one.severity), one.rule) for one in result.findings]

    assert found(lists) == []
    assert found(re.sub(" riz,", "", lists, flags=re.IGNORECASE)) == [("warning", "lists-differ")]
    assert found(re.sub(r"\b(sel)\b", r"\1, persil", lists, flags=re.IGNORECASE)) == [
        ("warning", "lists-differ")
    ]


@pytest.mark.parametrize(
    "lists",
    [
        "Ingredients / Ingrédients: Chicken / Poulet, rice / riz, peas / pois, salt / sel.",
        "Ingredients / Ingrédients: Chicken, rice, salt. Vitamins, minerals, taurine, zinc oxide.",
    ],
)
def test_a_heading_in_two_languages_over_one_list(lists: str) -> None:
    label = LabelContext.of(Source(CANADIAN.format(lists=lists))).label
    assert len(label.sections_of("declaration")) == 1


@pytest.mark.parametrize(
    ("old", "new", "marked", "said"),
    [
        ("(di cui salmone 4 %)", "(di cui salmone 2 %)", "salmone", "do not agree"),
        ("cellulose brute 3 %", "cellulose brute 5 %", "cellulose brute 5 %", "do not agree"),
        (" cellulose brute 3 %,", "", "Constituants analytiques", "crude fibre"),
        (
            "Zinc (3b605) 80 mg.\nMode",
            "Zinc (3b605) 90 mg.\nMode",
            "Zinc (3b605) 90 mg",
            "do not agree",
        ),
        (", Zinco (3b605) 80 mg", "", "Additivi nutrizionali (per kg)", "Zinc"),
        ("Alleinfuttermittel", "Ergänzungsfuttermittel", "Ergänzungsfuttermittel", "complete"),
        ("voor volwassen honden", "voor volwassen katten", "katten", "dog"),
        ("davon Lachs", "davon Thunfisch", "Thunfisch", "another ingredient"),
        (", sostanze minerali.", ".", "Composizione", "minerals"),
        ("huiles et graisses, minéraux", "minéraux, huiles et graisses", "huiles", "elsewhere"),
        ("crude fibre 3 %", "crude fibre 4 %", "crude fibre 4 %", "do not agree"),
        (
            "Gebruiksaanwijzing: hond van 10 kg: 180 g per dag. Zorg altijd voor vers water.",
            "",
            "Samenstelling",
            "no part “feeding”",
        ),
    ],
)
def test_a_fault_in_one_of_five_languages_is_found_there(
    old: str, new: str, marked: str, said: str
) -> None:
    sound = PACKS[FIVE]
    assert sound.count(old) == 1
    found = differences(sound.replace(old, new))
    assert len(found) == 1, found
    assert marked in found[0][0] or found[0][0] in marked
    assert said in found[0][1]


def test_a_single_code_or_one_word_in_capitals_marks_no_language() -> None:
    assert not language_marks(Source("NO ADDED SUGAR\nIT IS GOOD\nDE luxe"))
    assert not language_marks(Source("EN Complete food\nEN 71"))
    marks = language_marks(Source("EN Complete food\nDE/AT: Alleinfuttermittel\nBE gras"))
    assert list(marks.values()) == ["en", "de", ""]


def test_groups_that_are_parted_otherwise_and_a_line_in_two_languages_are_no_difference() -> None:
    text = (
        "Product name: Turkey Recipe for Cats\nMarket: CA\n"
        "Ingredients: turkey, oats, vitamins (vitamin E supplement, niacin).\n"
        "Ingrédients : dinde, avoine, vitamines (quelque chose, niacine).\n"
        "Guaranteed Analysis / Analyse garantie\nCrude Protein / Protéines brutes (min) 34 %\n"
        "Feeding: 4 kg cat 1/2 cup per day / Chat de 4 kg : 1/2 tasse par jour\n"
    )
    assert not differences(text)


#: The four statements of a Canadian pack, and the orders that they stand in.
STATEMENTS = {
    "list EN": "Ingredients: chicken, whole oats, peas, chicken fat, salt",
    "list FR": "Ingrédients : poulet, avoine entière, pois, gras de poulet, sel",
    "analysis EN": "Guaranteed Analysis\nCrude protein (min) 26%\nCrude fat (min) 14%\n"
    "Crude fibre (max) 4%\nMoisture (max) 10%",
    "analysis FR": "Analyse garantie\nProtéines brutes (min.) 26 %\n"
    "Matières grasses brutes (min.) 14 %\nFibres brutes (max.) 4 %\nHumidité (max.) 10 %",
}
ORDERS = (
    ("list EN", "list FR", "analysis EN", "analysis FR"),
    ("list FR", "list EN", "analysis EN", "analysis FR"),
    ("analysis EN", "analysis FR", "list EN", "list FR"),
    ("list EN", "analysis EN", "list FR", "analysis FR"),
)


@pytest.mark.parametrize("order", ORDERS, ids=", ".join)
def test_two_lists_before_two_analyses_are_compared_pair_by_pair(order: tuple[str, ...]) -> None:
    """Whichever statement comes first, what one language says otherwise is found at its place."""
    name = "Chicken & Oat Recipe for Dogs / Recette au poulet et à l'avoine pour chiens"
    end = "Net weight / Poids net: 6 kg\nQuillbrook Larder, 4 Millrace Lane, Quillbrook, ON K0K 0K0"

    def marked(old: str = "", new: str = "") -> list[str]:
        parts = [name, *(STATEMENTS[part] for part in order), end]
        text = "\n".join(parts).replace(old, new) if old else "\n".join(parts)
        findings = lint(Source(text, "pack"), Settings().with_market("ca")).findings
        assert {finding.rule for finding in findings} <= {"lists-differ"}
        return [text[finding.span.start : finding.span.end] for finding in findings]

    first_is_english = order.index("list EN") < order.index("list FR")
    assert marked() == []
    assert marked("Fibres brutes (max.) 4 %", "Fibres brutes (max.) 5 %") == [
        "Fibres brutes (max.) 5 %" if first_is_english else "Crude fibre (max) 4%"
    ]
    assert marked("gras de poulet, ", "") == ["Ingrédients" if first_is_english else "chicken fat"]


#: One line for each part, a slash between the languages.
SLASHED = """Quillbrook Larder Tuna Cat Food / Nourriture pour chats au thon
Ingredients / Ingrédients: Tuna, water, tapioca starch, guar gum, taurine, vitamins and minerals / \
Thon, eau, amidon de tapioca, gomme de guar, taurine, vitamines et minéraux
Guaranteed Analysis / Analyse garantie: Crude protein / Protéines brutes min 11%, Crude fat / \
Matières grasses brutes min 1.5%, Crude fibre / Fibres brutes max 1%, Moisture / Humidité max 84%
Feeding: 1 can per day for a 4 kg cat / Mode d'emploi : 1 boîte par jour pour un chat de 4 kg
85 g. Quillbrook Larder, Quillbrook ON K0K 9Z9. Product of Canada / Produit du Canada
"""


def test_a_slash_parts_a_list_from_its_translation() -> None:
    text = SLASHED.replace("\\\n", "")
    label = LabelContext.of(Source(text)).label
    assert [len(each.declaration) for each in label.translations] == [6, 6]
    found = lint(Source(text, "pack"), Settings().with_market("ca")).findings
    assert not [one.message for one in found if one.severity in ("error", "warning")]
