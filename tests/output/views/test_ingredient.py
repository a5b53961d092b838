from io import StringIO

import pytest

from panellint.catalogue.model import CatalogueEntry, Figure, Hazard, Match, Range
from panellint.output import terminal
from panellint.output.cells import width
from panellint.output.document_template import view
from panellint.output.render_options import RenderOptions
from panellint.tasks.ingredient import to_dict

TABLE, MEMORY = "A table of foods, item 7", "what the trade says"
MATCH = Match(
    CatalogueEntry(
        "duck",
        ("duck", "duck meat"),
        "muscle-meat",
        "animal",
        species="duck",
        usual=Range(5, 60),
        figures={
            "zinc": Figure(Range(10.0, 20.0), "mg/kg", TABLE),
            "fat": Figure(Range(3.0, 43.0), "%", MEMORY, confirmed=False),
            "protein": Figure(Range(9.0, 9.0), "%", TABLE),
        },
        hazards=(Hazard("cat", "warning", "bones that splinter", "", "a handbook"),),
    ),
    "qualified",
    ("organic",),
)


def ingredient_text(name: str, match: Match, columns: int) -> str:
    stream = StringIO()
    terminal.write(
        view("ingredient")(to_dict(name, match, None)), stream, RenderOptions(width=columns)
    )
    return stream.getvalue()


def test_text_names_each_source_once():
    lines = ingredient_text("organic duck", MATCH, 80).splitlines()
    assert lines[0] == "organic duck: duck, qualified as organic"
    assert "  hazard        cat: bones that splinter; a handbook" in lines
    assert "  usual level   5 to 60 % of the mix" in lines
    table = lines[lines.index("Composition, as added") + 3 :]
    assert [line.split() for line in table if line] == [
        ["protein", "9", "%", "[1]"],
        ["fat", "3", "to", "43", "%", "[2]"],
        ["zinc", "10", "to", "20", "mg/kg", "[1]"],
        ["Sources"],
        ["[1]", *TABLE.split()],
        ["[2]", *MEMORY.split(), "(from", "memory)"],
    ]


def test_data():
    data = to_dict("organic duck", MATCH, None)
    assert data["known_as"] == "duck"
    assert data["qualifiers"] == ["organic"]
    assert list(data["figures"]) == ["protein", "fat", "zinc"]
    assert data["figures"]["fat"] == {
        "low": 3.0,
        "high": 43.0,
        "unit": "%",
        "source": MEMORY,
        "confirmed": False,
    }
    assert data["usual"] == {"low": 5, "high": 60}


def test_nothing_known_of_its_composition():
    text = ingredient_text(
        "x", Match(CatalogueEntry("x", ("x",), "mixed", "unknown"), "listed"), 80
    )
    assert "no composition is known" in text


@pytest.mark.parametrize("columns", [40, 80])
def test_it_fits(columns):
    lines = ingredient_text("organic duck", MATCH, columns).splitlines()
    assert all(width(line) <= columns for line in lines)
