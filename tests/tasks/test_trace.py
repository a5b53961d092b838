"""Where a recalled ingredient reaches: names, premixes, broths, lots, and what may contain it."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from panellint.analysis.context import LabelContext
from panellint.catalogue import load
from panellint.cli import cli
from panellint.core.source import read
from panellint.tasks.trace import in_order, trace, trace_label, trace_sheet
from panellint.tasks.trace_query import Level, TraceQuery

SHEETS = Path(__file__).parents[2] / "corpus" / "sheets"
CONTAINS, MAY = Level.CONTAINS, Level.MAY


@pytest.fixture
def label(tmp_path):
    def write(text: str, name: str = "a.panel") -> str:
        (tmp_path / name).write_text(text, encoding="utf-8")
        return str(tmp_path / name)

    return write


def reach(name: str, path: str, **more):
    return trace_label(TraceQuery(name, **more), LabelContext.of(read(path), quick=True))


def levels(name: str, path: str, **more) -> list[tuple[str, Level]]:
    return [(one["printed"], Level(one["level"])) for one in in_order(reach(name, path, **more))]


@pytest.mark.parametrize(
    ("name", "text", "expected"),
    [
        ("chicken", "Ingredients: deboned chicken, rice", [("deboned chicken", CONTAINS)]),
        ("chicken", "Ingredients: rice, chicken broth", [("chicken broth", CONTAINS)]),
        ("chicken", "Ingredients: chicken meal, rice", [("chicken meal", MAY)]),
        ("chicken", "Ingredients: poultry meal, rice", [("poultry meal", MAY)]),
        ("chicken", "Ingredients: poultry, turkey", [("poultry", MAY)]),
        ("chicken", "Ingredients: turkey, beef, fish meal, duck broth", []),
        ("beef", "Ingredients: meat, rice", [("meat", MAY)]),
        ("beef", "Ingredients: poultry, fish", []),
        ("salmon", "Ingredients: fish, rice", [("fish", MAY)]),
        ("maize", "Ingredients: duck, ground corn", [("ground corn", CONTAINS)]),
        (
            "chicken",
            "Market: EU\nComposition: Meat and animal derivatives, cereals",
            [("Meat and animal derivatives", MAY)],
        ),
        (
            "barley",
            "Market: EU\nComposition: Meat and animal derivatives, cereals",
            [("cereals", MAY)],
        ),
        (
            "vitamin D3",
            "Ingredients: duck, vitamins (niacin, cholecalciferol)",
            [("cholecalciferol", CONTAINS)],
        ),
        ("vitamin D3", "Ingredients: duck, vitamin premix", [("vitamin premix", MAY)]),
        ("vitamin D3", "Ingredients: duck, vitamins (niacin, biotin)", []),
        ("Huhn", "Ingredients: chicken, rice", [("chicken", CONTAINS)]),
        ("duck", "Ingredients: duck (ground with bone), rice", [("duck", CONTAINS)]),
        ("duck", "Ingredients: dried duck, rice", [("dried duck", CONTAINS)]),
        ("beef", "Ingredients: dehydrated beef, rice", [("dehydrated beef", CONTAINS)]),
        (
            "beef",
            "Ingredients: freeze-dried beef, beef fat",
            [("freeze-dried beef", CONTAINS), ("beef fat", MAY)],
        ),
        (
            "cattle",
            "Ingredients: beef liver, rice, milk, lamb",
            [("beef liver", CONTAINS), ("milk", CONTAINS)],
        ),
        ("cattle", "Ingredients: meat, poultry", [("meat", MAY)]),
        ("bovine", "Ingredients: beef tallow, rice", [("beef tallow", CONTAINS)]),
        (
            "poultry",
            "Ingredients: duck, turkey broth, chicken fat, beef",
            [("duck", CONTAINS), ("turkey broth", CONTAINS), ("chicken fat", CONTAINS)],
        ),
        (
            "fish",
            "Ingredients: tuna, salmon oil, chicken, shrimp",
            [("tuna", CONTAINS), ("salmon oil", CONTAINS)],
        ),
        ("fish", "Ingredients: ocean fish, rice", [("ocean fish", CONTAINS)]),
        ("cod", "Ingredients: whitefish, rice", [("whitefish", MAY)]),
        (
            "ruminants",
            "Ingredients: venison, goat milk, pork",
            [("venison", CONTAINS), ("goat milk", CONTAINS)],
        ),
        ("tapioca", "Ingredients: duck, tapioca starch", [("tapioca starch", CONTAINS)]),
        ("gluten cereal", "Ingredients: wheat gluten, rice", [("wheat gluten", CONTAINS)]),
        ("moonroot", "Ingredients: Moonroots, rice", [("Moonroots", CONTAINS)]),
        # Class, kind, part, form and brand.
        (
            "shellfish",
            "Ingredients: duck, green-lipped mussel",
            [("green-lipped mussel", CONTAINS)],
        ),
        (
            "grain",
            "Ingredients: duck, brewers rice, oats, peas",
            [("brewers rice", CONTAINS), ("oats", CONTAINS)],
        ),
        ("dairy", "Ingredients: duck, dried whey", [("dried whey", CONTAINS)]),
        ("organs", "Ingredients: duck, lamb heart", [("lamb heart", CONTAINS)]),
        (
            "liver",
            "Ingredients: duck, dried beef liver, beef heart",
            [("dried beef liver", CONTAINS)],
        ),
        ("gelatin", "Ingredients: duck, beef gelatin", [("beef gelatin", CONTAINS)]),
        ("egg", "Ingredients: duck, dried egg product", [("dried egg product", CONTAINS)]),
        (
            "freeze-dried",
            "Ingredients: duck, freeze-dried beef liver",
            [("freeze-dried beef liver", CONTAINS)],
        ),
        (
            "cattle",
            "Ingredients: beef, gelatin, meat meal, animal fat, duck, beef gelatin",
            [
                ("beef", CONTAINS),
                ("beef gelatin", CONTAINS),
                ("gelatin", MAY),
                ("meat meal", MAY),
                ("animal fat", MAY),
            ],
        ),
        ("venison", "Ingredients: game, rice", [("game", MAY)]),
        ("beef liver", "Ingredients: rice, meat by-products", [("meat by-products", MAY)]),
        (
            "Larderin",
            "Ingredients: duck, Larderin® Protein Blend",
            [("Larderin® Protein Blend", MAY)],
        ),
        ("chicken", "Ingredients: chiken, rice", [("chiken", MAY)]),
        ("milk", "Ingredients: duck, coconut milk, milk thistle", []),
        ("beef", "Product name: Beef Dinner for Dogs\nIngredients: duck, rice", [("Beef", MAY)]),
    ],
)
def test_contains_and_may_contain(label, name, text, expected):
    assert levels(name, label(text + "\n")) == expected


def test_a_member_of_a_composite_says_what_it_is_inside(label):
    path = label("Ingredients: duck, gravy (water, chicken, salt)\n")
    (hit,) = reach("chicken", path)
    assert hit["inside"] == ["gravy"]
    assert (hit["line"], hit["column"], hit["lot"]) == (1, 34, None)


def test_a_source_in_a_bracket_counts(label):
    path = label("Ingredients: duck, natural flavor (source of chicken liver flavor)\n")
    assert ("natural flavor", CONTAINS) in levels("chicken liver", path)


def test_a_premix_in_the_sheet_is_looked_into_though_the_label_does_not_say(label, tmp_path):
    (tmp_path / "premix.csv").write_text("Ingredient,g,Supplier,Lot\nbiotin,1,Larder,V-1\n")
    (tmp_path / "a.csv").write_text("Ingredient,kg,Sheet\nduck,9,\nVita mix,1,premix.csv\n")
    path = label("Ingredients: duck, vita mix\nBatch sheet: a.csv\n")
    (hit,) = [one for one in reach("biotin", path) if one["sheet"]]
    assert (hit["inside"], hit["supplier"], hit["lot"]) == (["Vita mix"], "Larder", "V-1")
    assert hit["level"] == CONTAINS


SHEET = (
    "Ingredient,kg,Supplier,Lot\nturkey,5,Brackwater Poultry,BP-1\n"
    "turkey,4,Brackwater Poultry,BP-2\nsalt,1,Saltings,S-9\n"
)


def test_a_row_that_joins_two_ingredients_is_reached_by_either(tmp_path):
    path = tmp_path / "a.csv"
    path.write_text("Ingredient,kg\nDuck,60\nPeas and carrots,40\n")
    for name in ("carrot", "peas"):
        (hit,) = trace_sheet(TraceQuery(name), str(path))
        assert (hit["printed"], hit["level"]) == ("Peas and carrots", Level.CONTAINS)


def test_lots_and_suppliers_pick_the_lines(tmp_path):
    (tmp_path / "a.csv").write_text(SHEET)
    path = str(tmp_path / "a.csv")
    assert [r["lot"] for r in trace_sheet(TraceQuery("turkey", lot="bp-2"), path)] == ["BP-2"]
    assert [r["printed"] for r in trace_sheet(TraceQuery("*", supplier="Saltings"), path)] == [
        "salt"
    ]
    assert list(trace_sheet(TraceQuery("turkey", lot="BP-3"), path)) == []


def test_a_label_without_a_sheet_stays_when_a_lot_is_asked_for(label):
    path = label("Ingredients: turkey, salt\n")
    (hit,) = reach("turkey", path, lot="BP-1")
    assert hit["lot"] is None


def test_a_label_whose_sheet_shows_another_lot_is_left_out(label, tmp_path):
    (tmp_path / "a.csv").write_text(SHEET)
    path = label("Ingredients: turkey, salt\nBatch sheet: a.csv\n")
    assert list(reach("turkey", path, lot="BP-3")) == []
    assert [r["lot"] for r in reach("turkey", path, lot="BP-1")] == ["BP-1"]


def run(*arguments: str):
    return CliRunner().invoke(cli, ["trace", *arguments])


def test_the_table_keeps_what_may_contain_it_apart(label, tmp_path):
    label("Ingredients: chicken, rice\n", "sure.panel")
    label("Ingredients: poultry, rice\n", "may.panel")
    label("Ingredients: duck, rice\n", "none.panel")
    done = run("chicken", str(tmp_path))
    assert done.exit_code == 0
    sure, _, may = done.stdout.partition("May contain it")
    assert "sure.panel" in sure
    assert "may.panel" in may
    assert "none.panel" not in done.stdout
    assert "1 contains chicken, 1 more may contain it, 1 does not." in done.stdout


def test_csv_is_safe_to_open_and_holds_no_weight(label, tmp_path):
    (tmp_path / "a.csv").write_text("Ingredient,kg,Supplier,Lot\nduck,7.35,=cmd(),@L1\n")
    label("Product name: -Duck\nIngredients: duck\nBatch sheet: a.csv\n")
    done = run("duck", str(tmp_path / "a.panel"), "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(done.stdout)))
    assert {row["supplier"] for row in rows} == {"", "'=cmd()"}
    assert rows[0]["product"] == "'-Duck"
    assert "7.35" not in done.stdout


def test_json_says_what_is_known_of_each_lot():
    done = run(
        "duck", str(SHEETS / "duck-millet-draft.panel"), "--lot", "HF-2207", "--format", "json"
    )
    data = json.loads(done.stdout)
    assert data["known_as"] == "duck"
    assert [one["lot"] for one in data["reached"]] == ["HF-2207", "HF-2207"]
    assert data["reached"][0]["supplier"] == "Harrow Fen Ducks"


def test_one_unusable_file_keeps_no_other_back(label, tmp_path):
    label("Ingredients: duck\nBatch sheet: gone.csv\n", "a.panel")
    label("Ingredients: duck\n", "b.panel")
    done = run("duck", str(tmp_path))
    assert done.exit_code == 2
    assert "there is no batch sheet `gone.csv`" in done.output
    assert "b.panel" in done.stdout


def test_anything_needs_a_lot_or_a_supplier(label):
    assert run("*", label("Ingredients: duck\n")).exit_code == 2


def test_an_unknown_name_is_told_with_near_ones(label):
    done = run("chiken", label("Ingredients: chicken\n"))
    assert "'chiken' is not known to the catalogue" in done.output
    assert done.exit_code == 2
    assert "chicken" in done.output


def test_a_glob_of_sheets_is_read_and_no_line_is_longer_than_the_terminal(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for name in ("a.csv", "b.csv"):
        Path(name).write_text("Ingredient,kg\nDuck,60\nOats,40\n", encoding="utf-8")
    done = CliRunner().invoke(cli, ["trace", "duck", "*.csv"])
    assert done.exit_code == 0, done.output
    assert "Contains it: a.csv" in done.stdout
    assert "Contains it: b.csv" in done.stdout
    assert all(len(line) <= 80 for line in done.stdout.splitlines())
    assert CliRunner().invoke(cli, ["trace", "duck", "c*.csv"]).exit_code == 2


def _reached(asked: str, name: str, known) -> bool:
    return TraceQuery(asked).level(name, known, open_=False) is not None


def test_every_entry_is_reached_by_its_animal_its_family_and_each_of_its_names():
    """No recall misses an entry of the catalogue, whatever it is asked for by."""
    catalogue = load()
    queries: dict[str, TraceQuery] = {}
    missed = []
    for entry in catalogue:
        name = entry.names[0]
        sure = {*entry.names}
        for asked in filter(None, (*sure, entry.species, entry.family, *entry.classes)):
            query = queries.setdefault(asked, TraceQuery(asked))
            found = query.level(name, entry, open_=False)
            if found is None or (asked in sure and found[0] is not CONTAINS):
                missed.append((asked, entry.id, found))
    assert len(queries) > 9000
    assert missed == []


@pytest.mark.parametrize("language", ["de", "fr", "es", "it", "nl"])
def test_names_of_other_languages_reach_the_same_entries(language):
    catalogue = load()
    missed = [
        (name, id)
        for name, id in catalogue.table(language).items()
        if not _reached(name, catalogue.known(id).names[0], catalogue.known(id))
    ]
    assert missed == []


def test_a_supplier_s_code_finds_its_line(tmp_path):
    path = tmp_path / "a.csv"
    path.write_text(
        "Ingredient,kg,Item code,Lot,Use by\nVita mix,1,VM-200,L7,2027-02-01\nduck,9,D-1,,\n"
    )
    (hit,) = trace_sheet(TraceQuery("vm 200"), str(path))
    assert (hit["printed"], hit["code"], hit["lot"], hit["date"]) == (
        "Vita mix",
        "VM-200",
        "L7",
        "2027-02-01",
    )
    assert hit["level"] == CONTAINS


def test_the_lot_and_date_of_the_label_go_into_the_list(label):
    path = label("Ingredients: duck, rice\nLot: L 4711\nBest before: 2027-05-01\n")
    (hit,) = reach("duck", path)
    assert (hit["lot"], hit["date"]) == ("L 4711", "2027-05-01")
    assert "lot L 4711, best before 2027-05-01" in run("duck", path).stdout


def test_what_could_not_be_read_is_listed_and_clears_nothing(label, tmp_path):
    label("Ingredients: duck, moonroot, oats (rice\n", "a.panel")
    label("Product name: Larder Stew\nZqrt 5x wub, plof nekk 77\n", "b.panel")
    label("Ingredients: rice, oats\n", "c.panel")
    data = trace(TraceQuery("turkey"), [str(tmp_path)])
    assert data["reached"] == []
    assert [Path(one).name for one in data["not_reached"]] == ["a.panel", "c.panel"]
    said = "\n".join(data["unread"])
    assert "a.panel:1:20: `moonroot` is not known" in said
    assert "a.panel:1:35: the list is at fault here" in said
    assert "b.panel: no ingredient list could be read" in said


def test_an_unknown_name_is_an_error_with_the_nearest(label):
    done = run("chiken", label("Ingredients: turkey, rice\n"))
    assert done.exit_code == 2
    assert "near names: chicken" in done.output


def test_what_was_not_read_is_searched_too(label):
    """The additives of this label were not read as a list, and yet name what is sought."""
    text = (
        "Market: EU\nComposition: meat and animal derivatives, cereals\n"
        "Technological additives per kg: Cassia gum.\n"
    )
    found = {one["printed"]: (one["level"], one["why"]) for one in reach("cassia gum", label(text))}
    assert any("assia gum" in printed for printed in found), found


@pytest.mark.parametrize(
    ("sought", "reached"),
    [("cattle", True), ("chicken", True), ("fish", False), ("shellfish", False)],
)
def test_animal_fat_is_of_mammals_and_birds(sought: str, reached: bool) -> None:
    """By its definition; and gelatin may be of fish, but of no shellfish."""
    query = TraceQuery(sought)
    fat, gelatin = (query.catalogue.known(name) for name in ("animal-fat", "gelatin"))
    assert (query.level("animal fat", fat, True) is not None) is reached
    assert (query.level("gelatin", gelatin, True) is not None) is (sought != "shellfish")


def test_what_was_not_all_read_is_not_counted_as_free_of_it(label):
    label("Ingredients: duck, rice", "a.panel")
    label("Ingredients: beef, rice", "b.panel")
    folder = Path(label("Ingredients: beef, quarnip", "c.panel")).parent
    done = run("duck", str(folder))
    assert "1 contains duck, 0 more may contain it, 1 does not, 1 is not cleared" in done.output
