from panellint.output.cells import width
from panellint.output.outline import outline_text

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
            "members": [
                {**ENTRY, "name": "flurbite", "known_as": None, "at_most": 2.0},
            ],
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
    "adequacy": {"complete": True, "start": {}},
    "energy": {},
    "sections": [],
}


def test_the_tree():
    assert outline_text(DATA, 80).splitlines() == [
        "duck.panel",
        "Name: Duck & Millet Recipe",
        "  promises Duck & Millet Recipe (quarter): duck, millet",
        "Declaration: 3 entries",
        "   1 duck             duck; at least 26 %",
        "   2 organic millet*  millet",
        "   3 minerals         lists some members only",
        "      1 flurbite      not in the catalogue; in a tail of at most 2 %",
        "Guarantees",
        "  protein  at least 26 %",
        "  fibre    at most 5 %, dry matter",
        "Adequacy",
        "  complete: yes",
    ]


def test_a_bare_declaration_has_no_other_headings():
    bare = {**DATA, "guarantees": [], "name": None, "adequacy": None, "declaration": []}
    assert outline_text(bare, 80) == "duck.panel\n"


def test_long_names_do_not_push_the_column_out():
    long = {**ENTRY, "name": "x" * 70, "known_as": "y"}
    lines = outline_text({**DATA, "declaration": [*DATA["declaration"], long]}, 80).splitlines()
    assert all(width(line) <= 100 for line in lines)
    assert "   1 duck                                     duck; at least 26 %" in "\n".join(lines)
