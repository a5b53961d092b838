"""Sections of US and EU labels, in the shapes in which people paste them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.source import Source
from panellint.label.model import Label
from panellint.label.reader import read_label


def label_of(text: str) -> Label:
    return read_label(Source(text))


def kinds(text: str) -> list[str]:
    return [section.kind for section in label_of(text).sections]


def names(label: Label) -> list[str]:
    return [entry.name for entry in label.declaration]


def test_a_whole_us_label() -> None:
    label = label_of(
        "Product name: Quillbrook Larder Duck Recipe\n"
        "Ingredients: Duck, millet,\n  salt. *Certified organic\n\n"
        "Guaranteed Analysis\nCrude protein (min.) .... 26.0%\n"
        "Calorie content (calculated): 3,500 kcal/kg, 390 kcal per cup\n"
        "Claims: no by-products\n"
        "Feeding directions: Adult dogs: 1 cup.\n"
        "Net weight 14 oz (397 g)\n"
        "Made by Quillbrook Larder, Quillbrook\n"
        "Best by: see lid\n"
        "Waive calorie-line until 2027-03-01: laboratory value expected\n"
    )
    assert [section.kind for section in label.sections] == [
        "product-name", "declaration", "guarantees", "calories", "claims", "feeding",
        "net-contents", "maker", "best-before", "waiver",
    ]  # fmt: skip
    assert names(label) == ["Duck", "millet", "salt"]
    assert label.product_name == "Quillbrook Larder Duck Recipe"
    assert label.facts["maker"][0] == "Quillbrook Larder, Quillbrook"
    assert not label.bare
    assert label.waivers[0].rule == "calorie-line"
    assert str(label.waivers[0].until) == "2027-03-01"
    assert label.waivers[0].reason == "laboratory value expected"


def test_everything_on_one_line() -> None:
    label = label_of(
        "Quillbrook Larder Beef Dinner\nINGREDIENTS: Beef, rice, peas. GUARANTEED ANALYSIS: Crude "
        "Protein 10% min, Crude Fat 5% min. Calorie Content: 950 kcal/kg."
    )
    assert label.product_name == "Quillbrook Larder Beef Dinner"
    assert names(label) == ["Beef", "rice", "peas"]
    assert [g.nutrient for g in label.guarantees] == ["protein", "fat"]
    assert label.energy is not None


def test_any_order_and_case_without_colons() -> None:
    text = (
        "NET WT 4 LB\nGUARANTEED ANALYSIS\ncrude protein not less than 20%\n"
        "INGREDIENTS\nbeef, rice\n"
    )
    assert kinds(text) == ["net-contents", "guarantees", "declaration"]


def test_an_eu_label() -> None:
    label = label_of(
        "Quillbrook Larder Terrine\nComplete pet food for adult cats.\n"
        "Composition: meat and animal derivatives (of which chicken 4 %), cereals.\n"
        "Analytical constituents (%): crude protein 8,5; crude fat 5,5; moisture 80\n"
        "Additives per kg: Nutritional additives: vitamin A (3a672a) 15 000 IU, vitamin D3: 200 IU,"
        " zinc (zinc sulphate, monohydrate) 15 mg.\n"
        "Best before / batch number: see base\n"
    )
    assert [section.kind for section in label.sections] == [
        "product-name", "adequacy", "declaration", "guarantees", "additives", "best-before",
    ]  # fmt: skip
    assert [(g.nutrient, str(g.value), g.bound) for g in label.guarantees] == [
        ("protein", "8.5", "declared"),
        ("fat", "5.5", "declared"),
        ("moisture", "80", "declared"),
    ]
    assert [(a.printed, a.number, str(a.value), a.unit) for a in label.additives] == [
        ("vitamin A", "3a672a", "15000", "IU/kg"),
        ("vitamin D3", None, "200", "IU/kg"),
        ("zinc (zinc sulphate, monohydrate)", None, "15", "mg/kg"),
    ]
    assert (label.adequacy[0].route, label.adequacy[0].species) == ("complete", "cat")


@pytest.mark.parametrize(
    ("heading", "kind"),
    [
        ("Zusammensetzung: Huhn, Reis", "declaration"),
        ("Analytische Bestandteile: Rohprotein 20 %", "guarantees"),
        ("Constituants analytiques : protéine brute 20 %", "guarantees"),
        ("Composición: pollo", "declaration"),
        ("Componenti analitici: proteina grezza 8 %", "guarantees"),
        ("Toevoegingsmiddelen per kg: vitamine A 100 IE", "additives"),
    ],
)
def test_headings_of_other_languages(heading: str, kind: str) -> None:
    assert kinds(f"Product name: Quillbrook\n{heading}\n")[-1] == kind


def test_a_bare_declaration() -> None:
    label = label_of("Chicken, rice,\nsalt\n")
    assert label.bare
    assert names(label) == ["Chicken", "rice", "salt"]
    waived = label_of("Chicken, rice\nWaive unknown-name until 2027-01-01: new supplier\n")
    assert waived.bare
    assert names(waived) == ["Chicken", "rice"]
    assert len(waived.waivers) == 1


def test_an_unknown_heading_is_told_and_not_read_as_ingredients() -> None:
    label = label_of("Ingredients: beef, rice.\nSustainability: trees, bees\nClaims: raw\n")
    assert names(label) == ["beef", "rice"]
    assert [(f.kind, f.words) for f in label.faults] == [("unknown-heading", "Sustainability")]


def test_a_list_that_goes_on_is_no_heading() -> None:
    label = label_of("Ingredients: beef, rice,\nGravy: water, starch\nVitamins: niacin, biotin.\n")
    assert names(label) == ["beef", "rice", "Gravy", "Vitamins"]
    assert not label.faults


def test_a_wrapped_list_is_no_guarantee() -> None:
    label = label_of("Composition: beef (26 %),\nglucosamine (0.04 %), rice\n")
    assert names(label) == ["beef", "glucosamine", "rice"]
    assert not label.guarantees


def test_a_second_declaration_is_told() -> None:
    label = label_of("Ingredients: beef\nIngredients: lamb\n")
    assert names(label) == ["beef"]
    assert [f.kind for f in label.faults] == ["repeated-section"]


def test_an_adequacy_statement_that_runs_over_a_line_end() -> None:
    label = label_of(
        "Ingredients: beef.\nQuillbrook Beef is formulated to\n  meet the nutritional levels "
        "established by the AAFCO Dog Food Nutrient Profiles for all life stages including growth "
        "of large-size dogs (70 lb or more as an adult).\n"
    )
    statement = label.adequacy[0]
    assert statement.route == "formulated"
    assert statement.species == "dog"
    assert statement.stages == ("all life stages",)
    assert statement.large_size == "included"


@pytest.mark.parametrize(
    ("words", "route"),
    [
        ("Animal feeding tests using AAFCO procedures substantiate that X provides", "trial"),
        ("X is comparable in nutritional adequacy to a product which has been", "family"),
        ("This product is intended for intermittent or supplemental feeding only.", "intermittent"),
        ("Complementary pet food for adult dogs", "complementary"),
        ("Complete Food for Puppies", "complete"),
        ("Alleinfuttermittel für ausgewachsene Hunde", "complete"),
        ("Aliment complémentaire pour chats", "complementary"),
        ("Volledig diervoeder voor volwassen katten", "complete"),
    ],
)
def test_routes_of_adequacy(words: str, route: str) -> None:
    label = label_of(f"Ingredients: beef\nNutritional adequacy: {words}\n")
    assert [statement.route for statement in label.adequacy] == [route]


FIGURES = [
    ("Crude Protein (min.) ...... 26.0%", "protein min 26.0 %"),
    ("Crude protein, not less than 26 %", "protein min 26 %"),
    ("Crude Fat 14% min", "fat min 14 %"),
    ("Crude fibre max. 5,5 %", "fibre max 5.5 %"),
    ("Moisture … 78% Max.", "moisture max 78 %"),
    ("Vitamin B12 (min) 0.05 mg/kg", "vitamin-b12 min 0.05 mg/kg"),
    ("Vitamin E not less than 1,200 IU/kg", "vitamin-e min 1200 IU/kg"),
    ("Omega-3 fatty acids* (min) 0.5%", "omega-3 min 0.5 %"),
    ("crude oils and fats 15 %", "fat declared 15 %"),
    ("Calcium (min) 1.0% (max) 1.8%", "calcium min 1.0 %; calcium max 1.8 %"),
    ("Crude protein ≥ 30%", "protein min 30 %"),
    ("Taurine 1 000 mg/kg", "taurine declared 1000 mg/kg"),
    ("Crude protein (min)....26.0%", "protein min 26.0 %"),
    ("Crude protein / Protéines brutes (min) 26%", "protein min 26 %"),
    ("Inorganic\n  matter 5.5%", "ash declared 5.5 %"),
    ("Crude protein (min) 20%, crude fat (min) 9% (DM basis)",
     "protein min 20 %; fat min 9 % dry matter"),
    ("Crude fat (min) .....\nCrude fiber (max) 4%", "fibre max 4 %"),
    ("Not less than\nCrude protein 26 %", "protein min 26 %"),
]  # fmt: skip


@pytest.mark.parametrize(("printed", "read"), FIGURES)
def test_guarantees_as_printed(printed: str, read: str) -> None:
    found = label_of(f"Guaranteed analysis\n{printed}\n").guarantees
    said = [
        f"{g.nutrient} {g.bound.value} {g.value} {g.unit}"
        + (f" {g.basis}" if g.basis != "as fed" else "")
        for g in found
    ]
    assert "; ".join(said) == read


@pytest.mark.parametrize(
    ("line", "figures", "method"),
    [
        ("(calculated): 3,500 kcal/kg, 390 kcal per cup", ["3500 kg", "390 cup"], "calculated"),
        (": 1,165 kcal ME/kg (fed); 99 kcal per 3 oz can", ["1165 kg", "99 can"], "fed"),
        (": 420 kcal/cup calculated", ["420 cup"], "calculated"),
        (": 420 kcal per cup as fed", ["420 cup"], None),
        (": 380 kcal/100 g", ["380 100g"], None),
        (": 26 kcal/biscuit (8 g)", ["26 biscuit"], None),
        (": -3,500 kcal/kg", ["-3500 kg"], None),
        (": 3,400-3,500 kcal/kg", ["3500 kg"], None),
        (": 15.2 mj/kg", ["15200.0 kg"], None),
    ],
)
def test_calorie_lines(line: str, figures: list[str], method: str | None) -> None:
    energy = label_of(f"Ingredients: oats\nCalorie content {line}\n").energy
    assert energy is not None
    assert [f"{f.value} {f.per}" for f in energy.figures] == figures
    assert energy.method == method


def test_the_modernised_us_box() -> None:
    label = label_of(
        "Ingredients: turkey\nPet Nutrition Facts\n1 cup (240 g)\nCalories per cup†: 333\n"
        "From: Protein 118, Fat 162, Carbohydrate 53\nCrude Protein (min) 13.5%\n"
        "Total Carbohydrate (max) 7.5%\nCalorie content† 1,385 kcal/kg\n†Calculated\n"
    )
    assert [g.nutrient for g in label.guarantees] == ["protein", "carbohydrate"]
    assert label.energy is not None
    assert [(str(f.value), f.per) for f in label.energy.figures] == [("333", "cup"), ("1385", "kg")]


WORDS = (
    "Ingredients|Composition|:| |\n|\r\n|beef|,|Crude protein|26|%|kcal|/kg|Waive|until|.|*|min"
    "|complete pet food|(|)|\u200f|Net weight|Claims|🐟|\t|Additives|IU|Unknown|Guaranteed analysis"
)
PARTS = st.lists(st.sampled_from(WORDS.split("|")), max_size=40).map("".join)


@given(st.one_of(st.text(max_size=60), PARTS))
def test_any_text_is_read_and_sections_do_not_overlap(text: str) -> None:
    label = label_of(text)
    end = 0
    for section in label.sections:
        assert end <= section.body.start <= section.body.end <= len(text)
        assert label.page.slice(section.body) == section.text
        end = section.body.end
    for guarantee in label.guarantees:
        assert 0 <= guarantee.span.start < guarantee.span.end <= len(text)
    for fault in label.faults:
        assert 0 <= fault.span.start <= fault.span.end <= len(text)


@pytest.mark.parametrize(
    ("line", "kind"),
    [
        ("Feeding directions for older cats: one pouch", "feeding"),
        ("Fütterungsempfehlung pro Tag: 5 kg 90 g", "feeding"),
        ("✓ Ration journalière : 90 g", "feeding"),
        ("Zootechnische Zusatzstoffe (je kg): Enterococcus", "additives"),
        ("Additivi organolettici/kg: aromi", "additives"),
        ("Inhalt: 85 g", "net-contents"),
        ("MHD: siehe Deckel", "best-before"),
    ],
)
def test_a_heading_may_say_more_than_the_known_words(line: str, kind: str) -> None:
    last = label_of(f"Ingredients: quail\n\n{line}\n").sections[-1]
    assert last.kind == kind
    assert last.text in line
    assert last.heading.end > last.heading.start


@pytest.mark.parametrize(
    ("line", "kinds"),
    [
        ("200 g e THT: 04/2027 Partij: 33", ["net-contents", "best-before", "lot"]),
        ("FEEDING GUIDELINES Offer a few sprats a day", ["feeding"]),
        ("The calorie content (calculated) is 1,430 kcal/kg", ["calories"]),
        ("Pack: 4 kg", ["net-contents"]),
        ("Ingredients & analysis", []),
        ("Dealer / Distribué par: Mill Farm", ["maker"]),
        ("Analyt. Bestandteile: Rohprotein 11 %", ["guarantees"]),
        ("Const. analytiques : protéine 11 %", ["guarantees"]),
        ("Zutatenliste / Zusammensetzung: Ente, Reis", ["declaration"]),
        ("Guar. Analysis: crude protein (min) 9 %", ["guarantees"]),
    ],
)
def test_headings_as_they_are_printed(line: str, kinds: list[str]) -> None:
    label = read_label(Source(f"Product name: Quail Bowl\n\n{line}\n"))
    found = [one.kind for one in label.sections if one.kind not in ("product-name", "untitled")]
    assert found == kinds


@pytest.mark.parametrize("words", ["Weight 100 g.", "Weight: 100 g.", "Poids 0,1 kg."])
def test_a_sentence_of_a_weight_amid_a_paragraph_is_the_net_quantity(words: str) -> None:
    text = f"Quail Bites\nIngredients: quail. Analysis: protein 60 %, ash 3 %. {words} Lot: B12."
    (net,) = (s for s in label_of(text).sections if s.kind == "net-contents")
    assert net.text == words.split(maxsplit=1)[1]


def test_the_weight_of_a_dog_in_a_sentence_is_no_net_quantity() -> None:
    text = "Quail Bites\nIngredients: quail. Feeding: by its size. Weight 5 kg: 80 g a day."
    assert "net-contents" not in kinds(text)
