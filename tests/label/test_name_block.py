"""The product's name where no heading stands over it."""

from __future__ import annotations

import pytest

from panellint.core.source import Source
from panellint.label.reader import read_label

_REST = "\nIngredients: quail, millet\n"


@pytest.mark.parametrize(
    ("first", "name"),
    [
        ("Quail Bowl\nfor cats", "Quail Bowl for cats"),
        ("Larder\nQuail Bowl\nCat treats", "Larder Quail Bowl Cat treats"),
        ("# Quail Bowl\n\n**Cat food** · Net Wt 4 oz (113 g)", "Quail Bowl ** **Cat food"),
        ("Shop > Cats > Wet\nQuail Bowl\n$3.20", "Quail Bowl"),
        ("Quail Bowl | Cat food | 4 oz (113 g)", "Quail Bowl | Cat food"),
        ("Tray » Cats » Wet\nQuail «Bowl»", "Quail «Bowl»"),
        ("Quail »Bowl« for cats", "Quail »Bowl« for cats"),
        ("Quail Bowl\nCooked slowly, every day, with care.", "Quail Bowl"),
        ("Net Wt 4 oz\nQuail Bowl", "Quail Bowl"),
        ("Case of 12 – 5.5 oz (156 g) cans\n\nQuail Bowl", "Quail Bowl"),
        ("Best by 03/2027\nNet Wt 4 oz (113 g)\nQuail Bowl", "Quail Bowl"),
        ("Quail Bowl\n12 x 3 oz. 85 g trays, Net Wt 36 oz. (1.02 kg)", "Quail Bowl"),
        ("LARDER CO.\nQuail Bowl", "LARDER CO. Quail Bowl"),
        ("Larder Co. Quail Bowl. Baked dog treats.", "Larder Co. Quail Bowl"),
        ("Market: us\nQuail Bowl\nfor cats", "Quail Bowl for cats"),
        ("Market: eu\nForm: wet\n\nLarder\nQuail Bowl", "Larder Quail Bowl"),
        ("Quail Bowl\nfor cats\n\n✓ Real quail is first", "Quail Bowl for cats"),
        ("• Quail Bowl\n- made with real quail", "Quail Bowl"),
        ("Complete pet food for adult cats\nQuail Bowl\nwith millet", "Quail Bowl with millet"),
        ("Complete pet food\nfor adult cats.\n\nQuail Bowl", "Quail Bowl"),
        ("400 g\nQuail Bowl", "Quail Bowl"),
        ("Quail Bowl L.I.D.\nfor cats", "Quail Bowl L.I.D. for cats"),
        ("Quail Bowl | 3 kg | €21.99\nSKU 90-114 | In stock", "Quail Bowl"),
        ("Huhn / Poulet / Pollo 400 g", "Huhn / Poulet / Pollo"),
        ("Product name;Quail Bowl\nBrand;Larder\nSpecies;cat", "Quail Bowl"),
        ("| Product name | Quail Bowl |\n| Variety | wet |", "Quail Bowl"),
        ("Hi Dana,\nhere is the text for the lid.\n\nLarder\nQuail Bowl", "Larder Quail Bowl"),
        ("Artikelnummer AB-7\nQuail Bowl", "Quail Bowl"),
        ("Your order 100-4471\n\nQuail Bowl, 2 kg", "Quail Bowl"),
        ("Jouw recept voor Moos (12 kg, matig actief)\n\nQuail Bowl, 2 kg", "Quail Bowl"),
        ("Quail Bowl\n★★★★☆ 4,6 (213 Bewertungen)", "Quail Bowl"),
        ("Quail Bowl for Dogs\t12.5 oz (354 g)", "Quail Bowl for Dogs"),
        ("Waive calorie-line until 2027-03-01: due\nQuail Bowl", "Quail Bowl"),
        ("Small town bakery · spring edition!\nQuail Bowl", "Quail Bowl"),
        (
            "L A R D E R   O F   T H E   Q U A I L S\nQuail Bowl",
            "L A R D E R O F T H E Q U A I L S Quail Bowl",
        ),
        ("Name EN: Quail Bowl\nName FR: Bol de caille", "Quail Bowl"),
    ],
)
def test_the_first_lines_are_the_name_but_for_what_is_no_name(first: str, name: str) -> None:
    read = read_label(Source(first + "\n" + _REST, "label"))
    assert " ".join(read.product_name.replace("*", "").split()) == " ".join(
        name.replace("*", "").split()
    )
    span = read.product_name_span
    printed = (first + _REST)[span.start : span.end]
    assert " ".join(printed.replace("*", "").split()) == read.product_name.replace("*", "")


def test_what_is_left_of_the_first_lines_is_kept_as_words_without_a_heading() -> None:
    label = read_label(Source("Quail Bowl\nCooked slowly, every day.\n" + _REST, "label"))
    assert [section.text for section in label.sections_of("untitled")] == [
        "Cooked slowly, every day."
    ]


def test_a_name_ends_where_ticked_lines_begin() -> None:
    text = "Product name:\n✓ Quail Bowl\n✓ Made with real quail\n✓ For adult cats" + _REST
    read = read_label(Source(text, "label"))
    assert read.product_name == "Quail Bowl"
    assert any("Made with real quail" in one.text for one in read.sections)


@pytest.mark.parametrize(
    ("top", "name"),
    [
        ("Leberwurst-Creme (Tube 75 g) - Ergänzungsfuttermittel für Hunde", "Leberwurst-Creme"),
        ("Darmwohl-Pulver · Ergänzungsfuttermittel für Hunde und Katzen", "Darmwohl-Pulver"),
        (
            "Ente-Menü 400 g\n\nDE Alleinfuttermittel für Hunde.\nFR Aliment complet pour chiens.",
            "Ente",
        ),
    ],
)
def test_a_name_stands_before_the_type_of_feed(top: str, name: str) -> None:
    label = read_label(Source(f"{top}\nZusammensetzung: Ente 30 %, Reis.\n"))
    assert label.product_name.startswith(name)
    assert label.adequacy


@pytest.mark.parametrize(
    ("first", "name"),
    [
        (
            "Chicken Slices, slow roasted, for dogs: nothing but chicken.",
            "Chicken Slices, slow roasted, for dogs",
        ),
        ("Freeze-Dried Raw Toppers: Rabbit", "Freeze-Dried Raw Toppers: Rabbit"),
    ],
)
def test_a_colon_in_the_first_line_makes_no_heading_of_a_name(first: str, name: str) -> None:
    label = read_label(Source(f"{first}\n\nIngredients: chicken, rabbit\n", "-"))
    assert label.product_name == name


def test_a_name_stands_below_the_sentences_of_a_mail() -> None:
    mail = "Hi Ann, this is the text for the bag, please have a look.\n\n"
    text = f"{mail}Quail Sticks – complementary pet food for dogs{_REST}"
    assert read_label(Source(text, "label")).product_name == "Quail Sticks"


def test_the_words_before_a_heading_in_one_line_are_judged_without_what_stands_behind() -> None:
    line = "Quail Bites for Cats. Dried. Ingredients: quail. Calorie content: 4,610 kcal/kg"
    assert read_label(Source(line, "label")).product_name == "Quail Bites for Cats"


@pytest.mark.parametrize(
    ("below", "name"),
    [
        ("QUAIL & MILLET", "QUAIL & MILLET"),
        ("Baked with care.", "LARDER"),
        ("Fresh and tasty", "LARDER"),
        ("100 % quail", "LARDER"),
    ],
)
def test_a_line_of_foods_below_the_type_of_feed_is_the_name_where_a_brand_is_above(
    below: str, name: str
) -> None:
    text = f"LARDER\nComplete pet food for adult dogs\n{below}{_REST}"
    label = read_label(Source(text), lambda words, *_: words.lower() in {"quail", "millet"})
    assert label.product_name == name


@pytest.mark.parametrize(
    ("above", "name"),
    [
        (
            "RAW | 8 patties x 8 oz | Net Wt 4 lb\nQuail & Millet Recipe\nraw food",
            "Quail & Millet Recipe raw food",
        ),
        (
            "PRICES, SPRING\nItem: 7\nDescription: Quail Recipe for Dogs, dry",
            "Quail Recipe for Dogs, dry",
        ),
        ("PRICES, SPRING\nItem: 7\nDescription: full of quail", "PRICES, SPRING"),
    ],
)
def test_the_name_may_stand_below_quantities_or_the_rows_of_a_sheet(above: str, name: str) -> None:
    label = read_label(
        Source(f"{above}{_REST}"), lambda words, *_: words.lower() in {"quail", "millet"}
    )
    assert label.product_name == name
