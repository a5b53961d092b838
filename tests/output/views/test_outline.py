from io import StringIO

import pytest

from panellint.output import terminal
from panellint.output.cells import width
from panellint.output.document_template import view
from panellint.output.render_options import RenderOptions

ENTRY = {
    "percent": None,
    "percent_bound": None,
    "percent_of": None,
    "partial": False,
    "at_most": None,
    "marks": [],
    "notes": [],
    "any_of": False,
    "members": [],
}
DATA = {
    "path": "duck.panel",
    "declaration": [
        {
            **ENTRY,
            "name": "duck",
            "known_as": "duck",
            "percent": 26.0,
            "percent_bound": "min",
            "percent_of": "food",
        },
        {**ENTRY, "name": "organic millet", "known_as": "millet", "marks": ["*"]},
        {
            **ENTRY,
            "name": "minerals",
            "known_as": None,
            "partial": True,
            "members": [{**ENTRY, "name": "flurbite", "known_as": None, "at_most": 2.0}],
        },
    ],
    "guarantees": [
        {"nutrient": "protein", "bound": "min", "value": 26.0, "unit": "%", "basis": "as fed"},
        {"nutrient": "fibre", "bound": "max", "value": 5.0, "unit": "%", "basis": "dry matter"},
    ],
    "name": {
        "text": "Duck & Millet Recipe",
        "promises": [
            {
                "id": "p1",
                "tier": "quarter",
                "text": "Duck & Millet Recipe",
                "named": ["duck", "millet"],
            }
        ],
    },
    "glance": {
        "first": [],
        "animals": {},
        "nutrients": [],
        "palatants": [],
        "preservatives": ["mixed tocopherols"],
        "binders": [],
        "unknown": [],
        "cat": [],
    },
    "market": "us",
    "edition": "2024",
    "species": "dog",
    "animals": ["dog"],
    "stages": ["adult"],
    "form": {"id": "canned", "how": "stated", "word": ""},
    "uses": [],
    "footnotes": [{"mark": "*", "text": "Certified organic"}],
    "additives": [{"name": "vitamin A", "number": "3a672a", "value": 15000.0, "unit": "IU/kg"}],
    "actives": [],
    "adequacy": {"statements": [{"route": "complete", "species": None, "stages": ["adult"]}]},
    "energy": {"figures": [{"value": 390.0, "unit": "kcal", "per": "cup", "grams": 110.0}]},
    "claims": [
        {"text": "no by-products", "kind": "absence", "owes": "a list without it", "rules": []},
        {"text": "wags tails", "kind": None, "owes": None, "rules": []},
    ],
    "sections": [{"kind": "declaration", "heading": "Ingredients:", "start": {"line": 4}}],
    "unread": [{"text": "Proteln 2S%", "maybe": ["crude protein"], "start": {"line": 6}}],
    "ledger": [
        {"fate": "read", "text": "Ingredients", "start": {"line": 4}},
        {"fate": "set aside", "text": "", "start": {"line": 4}},
        {"fate": "prose", "text": "We like dogs.", "start": {"line": 5}},
        {"fate": "unread", "text": "Proteln 2S%", "start": {"line": 6}},
    ],
}


def lines_of(data: dict) -> list[str]:
    stream = StringIO()
    terminal.write(view("outline")(data), stream, RenderOptions(width=80))
    return [line for line in stream.getvalue().splitlines() if line and "──" not in line]


def test_the_tree():
    assert lines_of(DATA) == [
        "duck.panel",
        "  Read as: market us (2024), dog, adult, form canned (stated)",
        "  Name: Duck & Millet Recipe",
        "    promises Duck & Millet Recipe (quarter): duck, millet",
        "Declaration: 3 entries",
        "  as printed           understood as",
        "   1 duck              duck; at least 26 %",
        "   2 organic millet*   millet",
        "   3 minerals          lists some members only",
        "      1 flurbite       not in the catalogue; in a tail of at most 2 %",
        "  footnote * Certified organic",
        "At a glance",
        "  palatants: none declared",
        "  preservatives: mixed tocopherols",
        "Guarantees",
        "  nutrient   guaranteed",
        "  protein    at least 26 %",
        "  fibre      at most 5 %, dry matter",
        "Additives",
        "  vitamin A (3a672a) 15000 IU/kg",
        "Energy",
        "  390 kcal per cup (110 g)",
        "Adequacy",
        "  complete, adult",
        "Claims",
        "  no by-products: absence (a list without it)",
        "  wags tails: of no class that is known",
        "Sections",
        "  line 4: declaration (Ingredients:)",
        "Text",
        "  1 stretch read, 1 scanned as prose, 1 not read",
        "  line 5: prose: We like dogs.",
        "  line 6: not read: Proteln 2S% (it may be: crude protein)",
    ]


def test_a_bare_declaration_has_no_other_headings():
    lists = (
        "guarantees",
        "declaration",
        "footnotes",
        "additives",
        "actives",
        "claims",
        "sections",
        "ledger",
    )
    empty = {key: [] for key in (*lists, "unread")} | {"adequacy": {}, "energy": {}}
    lines = lines_of({**DATA, **empty, "name": {"text": "", "promises": []}})
    assert lines[:3] == [
        "duck.panel",
        "  Read as: market us (2024), dog, adult, form canned (stated)",
        "At a glance",
    ]
    assert len(lines) == 7


@pytest.mark.parametrize(
    ("beside_a_diet", "words"),
    [(True, "such a food need not supply the rest"), (False, "none found for iron")],
)
def test_a_treat_need_not_supply_what_a_profile_asks(beside_a_diet: bool, words: str):
    row = {"nutrient": "iron", "name": "iron", "source": "none found", "from": []}
    glance = {**DATA["glance"], "nutrients": [row], "beside_a_diet": beside_a_diet}
    text = " ".join(" ".join(lines_of({**DATA, "glance": glance})).split())
    assert "0 of 1 of the profile have a declared source; " + words in text
    assert ("none found for" in text) != beside_a_diet


def test_long_names_are_wrapped_and_whole():
    long = {**ENTRY, "name": "x" * 70, "known_as": "y"}
    lines = lines_of({**DATA, "declaration": [*DATA["declaration"], long]})
    assert all(width(line) <= 80 for line in lines)
    assert "".join(lines).count("x") == 72  # and in mixed tocopherols, text
