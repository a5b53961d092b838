"""Blocks that stand without a heading are told by evidence."""

from __future__ import annotations

import pytest

from panellint.core.source import Source
from panellint.label.languages import language_of
from panellint.label.reader import read_label

_NAMES = frozenset("quail millet salt kelp oats egg rice".split())
_PASTED = """\
Larder Quail Bowl
For cats

Quail 40 %, millet, salt, kelp

Crude protein (min) 24%, crude fat (min) 9%

Give 3 spoons a day to a cat of 4 kg.

400 g (14 oz)
Quail Larder Ltd, 4 Quail Row, Quailton, VT 05099
Tel. 0800 555 0142
"""


def is_name(words: str) -> bool:
    return words.lower() in _NAMES


def read(text: str) -> list[tuple[str, str]]:
    label = read_label(Source(text), is_name)
    return [(section.kind, section.text.partition("\n")[0]) for section in label.sections]


def test_a_pasted_text_without_headings_reads_like_one_with_them() -> None:
    assert read(_PASTED) == [
        ("product-name", "Larder Quail Bowl"),
        ("declaration", "Quail 40 %, millet, salt, kelp"),
        ("guarantees", "Crude protein (min) 24%, crude fat (min) 9%"),
        ("feeding", "Give 3 spoons a day to a cat of 4 kg."),
        ("net-contents", "400 g (14 oz)"),
        ("maker", "Quail Larder Ltd, 4 Quail Row, Quailton, VT 05099"),
        ("contact", "Tel. 0800 555 0142"),
    ]


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        # One name alone is a list where the guarantees follow, or after what is no name.
        ("Quail Bowl\nComplete pet food for cats\nQuail\n", "declaration"),
        ("Quail Bowl\nFor cats\nQuail\nCrude protein 24%, crude fat 9%\n", "declaration"),
        ("Quail Bowl\nComplete pet food for cats\n100 % quail\n", "declaration"),
        # Names beside the product's name are no list; nor are sentences that hold names.
        ("Larder\nQuail & rice\nQuail, rice\nGuaranteed analysis\nCrude fat 9%\n", "declaration"),
        ("Quail Bowl\nComplete pet food for cats\nMade with quail, rice, egg\n", ""),
        ("Quail Bowl\nComplete pet food for cats\nNo quail, no rice\n", ""),
    ],
)
def test_a_list_is_told_by_the_known_names(words: str, kind: str) -> None:
    assert [k for k, _ in read(words) if k == "declaration"] == ([kind] if kind else [])


def test_a_list_with_a_heading_stands_alone() -> None:
    text = "Quail Bowl\nFor cats\n\nQuail, rice, egg, salt\n\nIngredients: quail, rice, egg, salt\n"
    assert [k for k, _ in read(text)].count("declaration") == 1


@pytest.mark.parametrize(
    ("lines", "kind"),
    [
        ("Net weight: 400 g\nQuail Larder GmbH\nQuailweg 4\n01234 Quailstadt", "maker"),
        ("Lot: see base\nQuail Larder SARL, 4 rue du Quail, 00420 Quailville", "maker"),
        ("Additives: preservatives.\n2-3 sticks a day for a dog of 10 kg.", "feeding"),
        ("Feeding: 3 spoons a day.\n\n400 g", "net-contents"),
        ("Storage: keep cool.\n\nwww.quail.example", "contact"),
    ],
)
def test_a_section_ends_where_its_lines_are_of_another_kind(lines: str, kind: str) -> None:
    found = read(f"Ingredients: quail, rice\n\n{lines}\n")
    assert [k for k, _ in found][-1] == kind


@pytest.mark.parametrize(
    "lines",
    [
        "Feeding:\n5 kg: 80 g\n10 kg: 130 g\nAlways provide fresh water.",
        "Feeding: 3 spoons a day.\nMore for cats that go out.",
        "Additives (per kg):\nVitamin A 15 000 IU\nTaurine 1 000 mg",
        "Guaranteed analysis\nCrude protein 24%\nCrude fat 9%\nTaurine 0.1%",
        "Nutritional adequacy: Quail Bowl is formulated to meet the levels of the AAFCO\n"
        "Nutrient Profiles for maintenance.",
    ],
)
def test_a_section_goes_on_over_lines_of_its_own_kind(lines: str) -> None:
    assert len(read(f"Ingredients: quail, rice\n\n{lines}\n")) == 2


@pytest.mark.parametrize(
    ("text", "language"),
    [
        ("Ente mit Reis\nAlleinfuttermittel für Hunde\n10 kg 400 g am Tag.\n", "de"),
        ("Canard et riz\nAliment complet pour chiens\nTenir au frais dans le sac.\n", "fr"),
        ("Duck with rice\nComplete pet food for dogs\n", "en"),
        ("duck, rice", "en"),
    ],
)
def test_the_language_of_a_text_without_headings_is_told_by_its_small_words(
    text: str, language: str
) -> None:
    assert language_of(read_label(Source(text))) == language


def test_a_block_with_two_near_readings_is_unread_with_both_guesses() -> None:
    text = _PASTED.replace("Give 3 spoons a day to a cat of 4 kg.", "Store 2 cups per day")
    label = read_label(Source(text), is_name)
    assert not label.sections_of("feeding")
    assert not label.sections_of("storage")
    guesses = {text[slice(*one.span)]: one.maybe for one in label.ledger.unread}
    assert guesses["Store 2 cups per day"] == ("feeding", "storage")


def test_a_remark_below_the_full_stop_of_a_list_is_no_part_of_it() -> None:
    text = "Quail Bowl\nIngredients: quail, millet, salt.\nCertified organic by Hollow Hill\n"
    assert ("untitled", "Certified organic by Hollow Hill") in read(text)


def test_a_list_of_many_names_under_an_unknown_heading_is_the_declaration() -> None:
    names = ("quail", "millet", "oats", "kale", "salt", "kelp", "flaxseed", "apples")
    text = f"Quail Bowl\nWhat is in the bag: {', '.join(names)}.\nNet Wt 4 oz (113 g)"
    label = read_label(Source(text), lambda name: name.lower() in names)
    assert [entry.name for entry in label.declaration] == list(names)
    assert not [fault for fault in label.faults if fault.kind == "unknown-heading"]
    few = read_label(
        Source("Quail Bowl\nSources of protein: quail, millet, oats.\nNet Wt 4 oz (113 g)"),
        lambda name: name.lower() in names,
    )
    assert not few.declaration


def test_a_heading_in_brackets_behind_other_words_is_one() -> None:
    text = "Quail Bowl\nIngredients: quail, rice\nIn numbers (guaranteed analysis): Crude fat 9 %\n"
    assert read(text)[-1] == ("guarantees", "Crude fat 9 %")


@pytest.mark.parametrize("bar", [" · ", " | ", " / ", " – "])
@pytest.mark.parametrize("order", ["nlbmac", "mancbl", "lbnmac", "cbamln"])
def test_parts_of_the_small_print_share_a_line(bar: str, order: str) -> None:
    given = {
        "n": ("net-contents", "85 g"),
        "l": ("lot", "L2047"),
        "b": ("best-before", "10/2027"),
        "m": ("maker", "Quail Larder GmbH, Mühlenweg 4, 01234 Quellbrück"),
        "a": ("maker", "DE QB 00042"),
        "c": ("contact", "0800 5550142"),
    }
    before = {"l": "Charge ", "b": "MHD: ", "a": "Zulassungsnummer: ", "c": "Tel. "}
    line = bar.join(before.get(part, "") + given[part][1] for part in order)
    label = read_label(Source(f"Quail Bowl\nZusammensetzung: quail, rice.\n{line}"), is_name)
    for kind, words in given.values():
        printed = [section.text for section in label.sections_of(kind)]
        assert any(words in text for text in printed), (kind, label.sections)
        assert kind == "maker" or all(len(text) < len(words) + 8 for text in printed)


@pytest.mark.parametrize("part", ["\t", " | ", "    "])
def test_a_row_of_names_over_a_row_of_figures_stands_without_a_heading(part: str) -> None:
    names, figures = (
        part.join(["Protein", "Rohfett", "Rohasche"]),
        part.join(["24 %", "9 %", "7 %"]),
    )
    text = f"Quail Bowl\nZusammensetzung: quail, rice.\n\n{names}\n{figures}\n"
    label = read_label(Source(text), is_name)
    assert [str(given.value) for given in label.guarantees] == ["24", "9", "7"]
    assert [given.nutrient for given in label.guarantees] == ["protein", "fat", "ash"]
    assert not label.ledger.unread


def test_a_part_behind_a_bar_keeps_its_heading() -> None:
    maker = "made by Quillbrook Larder, Mill Lane 4"
    source = Source(f"Ingredients: duck\nNet Wt 4 oz (113 g) | storage: keep dry | {maker}\n")
    last = read_label(source).sections[-1]
    assert (last.kind, source.slice(last.heading)) == ("maker", "made by")
