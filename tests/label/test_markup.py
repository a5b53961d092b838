"""A label copied from a page with its tags reads like one without, every place where it was."""

from __future__ import annotations

import json

import pytest

from panellint.core.source import Source
from panellint.label.columns import keyed
from panellint.label.markup import without_markup
from panellint.label.reader import read_label
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings

PAGE = (
    "<h1>Lamb &amp; Oat Dinner for Dogs</h1>\n<h2>Ingredients</h2><p>Lamb, oats, <b>salt</b>.</p>\n"
    "<h2>Guaranteed Analysis</h2>\n"
    "<ul><li>Crude protein (min) 26%</li><li>Crude fat (min) 14%</li></ul>\n"
)


def test_tags_and_entities_are_no_words_of_the_label() -> None:
    label = read_label(Source(PAGE, "-"))
    assert label.product_name == "Lamb & Oat Dinner for Dogs"
    assert [entry.name for entry in label.declaration] == ["Lamb", "oats", "salt"]
    assert [PAGE[entry.name_span.start : entry.name_span.end] for entry in label.declaration] == [
        "Lamb",
        "oats",
        "salt",
    ]
    assert [(one.nutrient, str(one.value)) for one in label.guarantees] == [
        ("protein", "26"),
        ("fat", "14"),
    ]


def test_a_text_without_tags_keeps_its_signs() -> None:
    text = "Ingredients: duck (<2% fat), oats & peas\n"
    assert next(one.name for one in read_label(Source(text, "-")).declaration) == "duck"


def test_signs_of_bold_words_are_no_marks_and_marks_are_no_bold() -> None:
    text = (
        "**Duck Dinner for Cats**\n\n**Ingredients:** duck, taurine**, kelp**\n\n"
        "**Source of minerals and amino acids\n"
    )
    label = read_label(Source(text, "-"))
    assert label.product_name == "Duck Dinner for Cats"
    entries = [(entry.name, [mark.text for mark in entry.marks]) for entry in label.declaration]
    assert entries == [("duck", []), ("taurine", ["**"]), ("kelp", ["**"])]


def test_the_keys_of_an_export_are_words() -> None:
    rows = 'net_weight: 4 oz (113 g)\ncrude_protein_min: 8%\n"crude_fat_min": 5%\nQuail_Bowl'
    plain = without_markup(Source(rows)).text.splitlines()
    assert plain == [
        "net weight: 4 oz (113 g)",
        "crude protein min: 8%",
        '"crude fat min": 5%',
        "Quail_Bowl",
    ]


def test_the_items_of_a_page_are_no_part_of_the_name_above_them() -> None:
    text = (
        "<h1>Duck Dinner for Cats</h1><ul><li>With natural fiber</li></ul><p>Ingredients: duck</p>"
    )
    label = read_label(Source(text, "-"))
    assert label.product_name == "Duck Dinner for Cats"


def test_the_sign_between_the_cells_of_a_row_is_no_part_of_what_it_says() -> None:
    label = read_label(Source("Duck Dinner\nIngredients;duck, rice\n", "-"))
    assert [entry.name for entry in label.declaration] == ["duck", "rice"]
    assert not label.faults


def test_a_heading_may_stand_in_brackets() -> None:
    text = (
        "Duck Dinner for Dogs\n\n[Ingredients] Duck, oats\n[Guaranteed analysis] Protein - 28% min"
    )
    label = read_label(Source(text, "-"))
    assert [entry.name for entry in label.declaration] == ["Duck", "oats"]
    assert [one.nutrient for one in label.guarantees] == ["protein"]


def test_the_signs_of_a_mail_and_the_numbers_of_parts_are_no_words() -> None:
    text = "> 1. Duck Dinner for Dogs\n> 2. Ingredients: duck, oats\n> 3. Moisture 78% max\n"
    label = read_label(Source(text, "-"))
    assert label.product_name == "Duck Dinner for Dogs"
    assert [(one.nutrient, one.bound.value) for one in label.guarantees] == [("moisture", "max")]
    assert without_markup(Source("fat > 10 %\nash > 2 %\n> 3 %\n", "-")).text.count(">") == 3


def test_a_finding_stands_at_its_line_of_a_page() -> None:
    text = "<p>Duck Dinner for Dogs</p>\n<p>Ingredients: potasium chloride, duck</p>\n"
    result = lint(Source(text, "-"), Settings().with_market("us"), quick=True)
    misspelt = next(found for found in result.findings if found.rule == "misspelt-name")
    assert result.source.position(misspelt.span.start) == (2, 17)


@pytest.mark.parametrize(
    "lines",
    [
        "{0}\n(a) {1}\n(b) {2}\n(c) {3}\n(d) {4}\n",
        "A. {0}\nB. {1}\nC. {2}\nD. {3}\n   i) {4}\n   ii) ash 3 %\n   iii) moisture 70 %\n",
        "1  {0}\n2  \n3  {1}\n4  {2}\n5  {3}\n6  {4}\n",
        "L1: {0}\nL2: {1}\nL3: {2}\nL4: {3}\nL5: {4}\n",
        " 9 | {0}\n10 | {1}\n11 | {2}\n12 | {3}\n13 | {4}\n",
        "+++ b/l\n@@ -1,4 +1,5 @@\n {0}\n {1}\n-Composition: pork\n+{2}\n {3}\n {4}\n",
        "+ {0}\n+ {1}\n- Composition: pork\n+ {2}\n+ {3}\n+ {4}\n",
        "Bob Lee: {0}\nBob Lee: {1}\nBob Lee: {2}\nBob Lee: {3}\nBob Lee: {4}\n",
    ],
)
def test_signs_before_lines_are_no_words(lines: str) -> None:
    parts = ("Complete pet food for dogs", "Composition: duck, rice", "Analytical constituents:")
    label = read_label(Source(lines.format("Duck Dinner for Dogs", *parts, "protein 9 %"), "-"))
    assert label.product_name == "Duck Dinner for Dogs"
    assert [entry.name for entry in label.declaration] == ["duck", "rice"]
    assert next(iter(label.guarantees)).nutrient == "protein"
    assert not label.ledger.unread


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        (
            "Product name: Chicken & Rice Dinner Complete pet food for adult dogs Composition Duck "
            "meal, rice, oats, salt Additives (per kg) Vitamin A 15,000 IU, vitamin E 150 mg "
            "Analytical Constituents Crude protein 25 % Crude fat 12 % Net weight 2 kg Batch: C1 "
            "Feeding guide: 10 kg 150 g, 20 kg 250 g a day." + " Fresh water is due." * 5,
            "product-name adequacy declaration additives guarantees net-contents lot feeding",
        ),
        (
            "Duck Bites for Cats Net Wt 18 oz (510 g) INGREDIENTS Duck, Rice, Oats, Salt "
            "Guaranteed Analysis Crude Protein (min) 20% Moisture (max) 10% CALORIE CONTENT "
            "3,500 kcal/kg, 300 kcal/cup FEEDING GUIDE Give 5 a day." + " Keep water at hand." * 5,
            "product-name net-contents declaration guarantees calories feeding",
        ),
    ],
)
def test_a_long_line_is_parted_where_what_a_heading_is_over_stands(text: str, kinds: str) -> None:
    sections = [one.kind for one in read_label(Source(text, "-")).sections]
    assert sections[: len(kinds.split())] == kinds.split()


@pytest.mark.parametrize("head", ["Von An Betreff", "Envoyé À Objet", "Van Aan Datum"])
def test_the_head_of_a_mail_is_no_part_of_its_label(head: str) -> None:
    lines = "".join(f"{words} : Label Desk\n" for words in head.split())
    text = f"{lines}\nDuck Dinner\nComplete pet food for dogs\nComposition: duck, rice\n"
    assert read_label(Source(text, "-")).product_name == "Duck Dinner"


def test_a_question_heads_what_stands_behind_it() -> None:
    text = (
        "Duck Dinner for Dogs\n\nSo what is in it? Duck 40%, rice, oats, salt.\n\n"
        "And the numbers? Protein 9%, fat 5%, fibre 1%, ash 2%.\n\n"
        "How much do I feed? A 10 kg dog gets 400 g a day.\n"
    )
    label = read_label(Source(text, "-"), lambda name, *_: name.lower() in {"duck", "rice", "oats"})
    assert [entry.name for entry in label.declaration] == ["Duck", "rice", "oats", "salt"]
    assert len(label.guarantees) == 4


def test_a_sheet_may_have_a_column_for_each_nutrient() -> None:
    for bound in ("(min)", "min", ""):
        text = (
            f"product name,form,ingredients,crude protein {bound},crude fat {bound},net weight\n"
            'Duck Bites for Dogs,treat,"duck, rice, '
            + "oats, " * 90
            + 'salt",30%,5%,8 oz (227 g)\n'
        )
        label = read_label(Source(text, "-"))
        bounds = {one.bound.value for one in label.guarantees}
        assert [one.nutrient for one in label.guarantees] == ["protein", "fat"]
        assert bounds == {"min" if bound else "declared"}


def test_what_stands_around_a_label_in_a_chat_or_a_proof_is_set_aside() -> None:
    words = ("Duck Dinner for Dogs", "Complete pet food for dogs", "Composition: duck, rice")
    chat = "".join(f"[10/11/2026, 09:1{n}] Tom: {line}\n" for n, line in enumerate(words))
    proof = f"{words[0]}\n[comment AB: bigger]\n{words[1]}\n{words[2]}\n[image: duck]\n"
    for text in (chat, proof):
        label = read_label(Source(text, "-"))
        assert label.product_name == words[0]
        assert [entry.name for entry in label.declaration] == ["duck", "rice"]
        assert not label.ledger.unread


def test_a_row_of_a_table_is_of_the_heading_in_its_first_cell() -> None:
    for row in ("{}\t{}", "| {} | {} |"):
        rows = (
            ("Product name", "Duck Dinner for Dogs"),
            ("Composition", "duck, rice"),
            ("Analytical constituents", "protein 9 %"),
            ("Nutritional additives (per kg)", "vitamin D3: 200 IU"),
        )
        label = read_label(Source("\n".join(row.format(*cells) for cells in rows), "-"))
        assert label.product_name == "Duck Dinner for Dogs"
        assert [g.nutrient for g in label.guarantees] == ["protein"]
        assert len(label.additives) == 1


def test_parts_that_are_counted_with_any_sign_or_none_are_read() -> None:
    parts = ("Name: Duck Dinner for Dogs", "Composition: duck, rice", "Net weight: 2 kg")
    for sign in ("", ".", ")", "/"):
        text = "".join(f"{n}{sign} {part}\n" for n, part in enumerate(parts, 1))
        label = read_label(Source(text, "-"))
        assert label.product_name == "Duck Dinner for Dogs"
        assert [entry.name for entry in label.declaration] == ["duck", "rice"]


def test_parts_of_parts_are_counted_and_signs_of_folded_text_are_no_words() -> None:
    text = (
        "1. FOOD\n1.1 Name: Duck Dinner\n1.2 Composition: duck\n2. ANALYSIS\n2.1 Crude fat: 3.4 %\n"
    )
    label = read_label(Source(text, "-"))
    assert label.product_name == "Duck Dinner"
    assert [str(g.value) for g in label.guarantees] == ["3.4"]
    folded = read_label(Source("composition: >\n  duck (26 %),\n  rice\nprotein: 11 .5%\n", "-"))
    assert [entry.name for entry in folded.declaration] == ["duck", "rice"]
    assert [percent.bound for entry in folded.declaration for percent in entry.percents] == [
        "exact"
    ]
    assert [str(g.value) for g in folded.guarantees] == ["11.5"]


FIELDS = {
    "name": "Duck Dinner for Dogs",
    "feed_type": "Complete pet food for adult dogs",
    "composition": "duck 40%, rice, beet pulp",
    "analytical_constituents": "protein 9%, fat content 5%, crude fibre 1%",
    "additives_per_kg": "Nutritional additives: vitamin D3 200 IU",
    "net_weight": "2 kg",
}
BLOCKS = [
    value if key in {"name", "feed_type"} else f"{key.replace('_', ' ').capitalize()}: {value}"
    for key, value in FIELDS.items()
]
NESTED = {
    **FIELDS,
    "composition": FIELDS["composition"].split(", "),
    "analytical_constituents": {"protein": "9%", "fat content": "5%", "crude fibre": "1%"},
}
ELEMENTS = f"""<?xml version="1.0"?>
<product id="QL-1" lang="en">
<name>{FIELDS["name"]}</name>
<feedType code="2">{FIELDS["feed_type"]}</feedType>
<composition lang="en">{FIELDS["composition"]}</composition>
<analyticalConstituents>
<constituent id="c1" name="protein" value="9" unit="%"/>
<constituent id="c2" name="fat content" value="5" unit="%"/>
<nutrient name="crude fibre">1%</nutrient>
</analyticalConstituents>
<additives per="kg">Vitamin D3 200 IU</additives>
</product>
"""


@pytest.mark.parametrize(
    "text",
    [
        " ".join(BLOCKS) + " " * 60,
        " // ".join(BLOCKS),
        "\t".join(BLOCKS),
        ",".join(f'"{block}"' for block in BLOCKS),
        json.dumps(BLOCKS, indent=2),
        json.dumps({"text": "\n".join(BLOCKS)}),
        json.dumps(FIELDS),
        json.dumps(NESTED),
        json.dumps(NESTED, indent=2),
        "\n".join(f'{key} = "{value}"' for key, value in FIELDS.items()),
        ",".join(FIELDS) + "\n" + ",".join(f'"{value}"' for value in FIELDS.values()),
        f"| {' | '.join(FIELDS)} |\n{'|---' * 6}|\n| {' | '.join(FIELDS.values())} |",
        "\n".join(BLOCKS).replace(" ", "\u00a0"),
        json.dumps(NESTED, indent=2).replace("analytical_constituents", "analyticalConstituents"),
        json.dumps(FIELDS).replace("Duck", "D\\u0075ck").replace("IU", "IU\\/kg"),
        ELEMENTS,
        ELEMENTS.replace("\n", ""),
    ],
)
def test_a_label_of_an_export_or_in_one_line_is_read_as_in_lines(text: str) -> None:
    plain, label = (read_label(Source(t, "-")) for t in ("\n".join(BLOCKS), text))
    assert without_markup(Source(text, "-")).text.count("") == text.count("")
    assert [entry.name for entry in label.declaration] == ["duck", "rice", "beet pulp"]
    assert [str(entry.printed) for entry in label.guarantees] == [
        str(entry.printed) for entry in plain.guarantees
    ]
    assert [one.route for one in label.adequacy] == ["complete"]
    assert label.product_name == FIELDS["name"]
    assert len(label.additives) == 1


def test_headings_above_one_another_before_their_words_are_read() -> None:
    rows = {"Issue": "3, 12 May 2026", "Type of feed": BLOCKS[1], "a": "b", "c": "d"}
    rows |= {key.capitalize().replace("_", " "): value for key, value in FIELDS.items()}
    label = read_label(Source("\n".join(f"{key:<26}{value}" for key, value in rows.items())))
    assert label.product_name == FIELDS["name"]
    assert [entry.name for entry in label.declaration] == ["duck", "rice", "beet pulp"]
    assert [one.nutrient for one in label.guarantees] == ["protein", "fat", "fibre"]
    page = "Ingredients:              Crude protein\nduck, rice                26%\n"
    assert keyed(page) == page


def test_a_word_of_a_heading_that_is_broken_is_whole_and_another_stays() -> None:
    text = "Analytical con-\nstituents: protein 9%, freeze-\ndried"
    plain = "Analytical constituents: \n protein 9%, freeze-\ndried"
    assert without_markup(Source(text)).text == plain
    assert [one.nutrient for one in read_label(Source(text)).guarantees] == ["protein"]


def test_lines_of_who_writes_and_when_are_set_aside() -> None:
    text = "ann  9:02 AM\nthe panel?\nbob  9:05 AM\nDuck Bites\nIngredients: duck, salt\n"
    assert read_label(Source(text, "-")).product_name == "Duck Bites"
