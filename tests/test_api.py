"""The same objects as the commands print."""

import json

import pytest
from click.testing import CliRunner

from panellint import api
from panellint.cli import cli
from panellint.core.errors import InputError, PanellintError
from panellint.output.schema import OUTPUTS, VERSION
from panellint.rulepacks.settings import Settings

LABEL = """Product name: Quillbrook Larder Duck & Millet Recipe for Dogs
Species: dog
Form: freeze-dried
Ingredients: Millet, rice, barley, oats, duck, salt.
Guaranteed analysis
  Crude protein (min.) 26.0%
  Crude fat (min.) 14.0%
  Crude fiber (max.) 5.0%
  Moisture (max.) 8.0%
  Ash (max.) 7.0%
Calorie content (calculated): 900 kcal per cup (250 g)
"""


@pytest.fixture
def printed(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    def of(command: str) -> dict:
        arguments = [command, "-", "--as", "duck.panel", "--format", "json"]
        data = json.loads(CliRunner().invoke(cli, arguments, input=LABEL).stdout)
        assert data.pop("version") == VERSION
        return data

    return of


def test_lint_is_one_element_of_files(printed):
    assert [api.lint(LABEL, "duck.panel")] == printed("lint")["files"]


def test_outline(printed):
    data = api.outline(LABEL, "duck.panel")
    assert data == printed("outline")
    assert data["path"] == "duck.panel"
    assert [entry["known_as"] for entry in data["declaration"]][:2] == ["millet", "rice"]
    assert data["name"]["promises"][0]["tier"] == "quarter"
    first = data["declaration"][0]
    assert (first["start"], first["end"]) == ({"line": 4, "column": 14}, {"line": 4, "column": 20})


def test_nutrition_by_hand():
    data = api.nutrition(LABEL, "duck.panel")
    # 100 - 26 - 14 - 5 - 8 - 7 = 40; 10 x (3.5 x 26 + 8.5 x 14 + 3.5 x 40) = 3500 kcal/kg
    # (modified Atwater factors of the AAFCO model regulation PF9).
    assert data["bases"]["as_fed"] == {
        "protein": 26.0,
        "fat": 14.0,
        "fibre": 5.0,
        "moisture": 8.0,
        "ash": 7.0,
        "carbohydrate": 40.0,
    }
    assert data["energy"]["kcal_per_kg"] == 3500
    assert data["ash_assumed"] is False
    assert data["bases"]["dry_matter"]["protein"] == pytest.approx(26 / 0.92, abs=1e-4)
    assert data["bases"]["per_1000_kcal"]["fat"] == 40.0
    # 900 kcal in 250 g.
    assert data["energy"]["label"]["kcal_per_kg"] == 3600
    for found in data["ranges"]["carbohydrate"]:
        assert found["low"] <= found["high"]
        assert found["rests_on"]


def test_ash_that_the_user_knows_stands_in():
    without = LABEL.replace("  Ash (max.) 7.0%\n", "")
    assert api.nutrition(without)["ash_assumed"]
    known = api.nutrition("Laboratory ash: 6.5 %\n" + without)
    assert not known["ash_assumed"]
    assert known["bases"]["as_fed"]["ash"] == 6.5


def test_settings_can_be_given():
    settings = Settings().with_market("eu")
    assert api.outline(LABEL, settings=settings)["market"] == "eu"


def test_faulty_settings_are_an_error_of_ours(tmp_path):
    (tmp_path / "panellint.yaml").write_text("market: moon\n")
    with pytest.raises(InputError, match=r"panellint\.yaml"):
        api.lint(LABEL, str(tmp_path / "duck.panel"))


@pytest.mark.parametrize("text", ["", "\x00", "\udc80", "((((", "Ingredients:", "%\n" * 50])
def test_whatever_the_text_there_is_an_answer(text):
    assert api.lint(text)["path"] == "-"
    assert api.outline(text)["path"] == "-"
    assert api.nutrition(text)["path"] == "-"


def test_shares_of_a_plain_list():
    data = api.shares("Ingredients: duck, millet, peas, pea protein.", "duck.panel")
    assert data["path"] == "duck.panel"
    assert data["consistent"]
    assert data["premises"] == ["order", "groups", "percentages", "tail", "water", "guarantees"]
    assert [one["name"] for one in data["ingredients"]] == ["duck", "millet", "peas", "pea protein"]
    assert [one["path"] for one in data["ingredients"]] == [[0], [1], [2], [3]]
    assert [one["low"] for one in data["ingredients"]] == [25, 0, 0, 0]
    # The k-th of a descending list is at most one k-th; the first of four at least a quarter.
    highs = [one["high"] for one in data["ingredients"]]
    assert highs == pytest.approx([100, 50, 100 / 3, 25], abs=1e-6)
    for one in data["ingredients"]:
        likely = one["likely"]
        assert one["estimate"] == likely["middle"]
        assert one["low"] <= likely["low"] <= likely["middle"] <= likely["high"] <= one["high"]
    [family] = data["families"]
    assert (family["members"], family["rank_as_one"]["best"]) == (["peas", "pea protein"], 1)
    # Two of four equal parts at the most.
    assert family["high"] == pytest.approx(50, abs=1e-6)


def test_what_a_list_declares_of_the_food_stands_beside_what_is_proven_of_the_mix():
    text = (
        "Form: canned\nMarket: eu\nComposition: {}, broth, rice, minerals\nAnalytical "
        "constituents: crude protein 9 %, crude fat 6 %, crude ash 2 %, moisture 79 %\n"
    )
    [chicken, broth, *_] = api.shares(text.format("chicken 30 %"))["ingredients"]
    assert chicken["declared"] == {"low": 29.5, "high": 30.5}
    assert broth["declared"] is None
    # Of the mix it may be less: the declared part can be one of the dry matter.
    assert chicken["low"] < 29
    [chicken, *_] = api.shares(text.format("chicken min. 4.0 %"))["ingredients"]
    assert chicken["declared"] == {"low": 4, "high": 100}


def test_a_promise_and_what_it_asks_for():
    text = LABEL.partition("Guaranteed analysis")[0]
    data = api.shares(text, "duck.panel", settings=Settings().with_market("us"))
    [promise] = data["promises"]
    assert (promise["id"], promise["tier"], promise["named"]) == (
        "p1",
        "quarter",
        ["duck", "millet"],
    )
    assert promise["verdict"] == "open"
    assert [part["path"] for part in promise["examples"]][:2] == [[0], [1]]
    for side in ("kept", "broken"):
        assert sum(part[side] for part in promise["examples"]) == pytest.approx(100)
    together = promise["conditions"][0]
    assert together["needs"] == 25.0
    assert together["base"] == "without processing water"
    assert together["low"] <= together["high"]


def test_premises_can_be_chosen():
    text = "Ingredients: duck, millet, peas."
    without = api.shares(text, premises=("percentages",))
    assert without["premises"] == ["percentages"]
    assert [one["high"] for one in without["ingredients"]] == pytest.approx([100, 100, 100])
    with pytest.raises(PanellintError, match="unknown premise 'hope'"):
        api.shares(text, premises=("hope",))


def test_a_name_taken_at_its_word_narrows_the_shares():
    text = (
        "Product name: Duck Recipe for Dogs\nMarket: US\nIngredients: millet, duck, peas, salt.\n"
    )
    [_, duck, *_] = api.shares(text)["ingredients"]
    [_, kept, *_] = api.shares(text, premises=("order", "name"))["ingredients"]
    assert duck["low"] < 25 <= kept["low"] + 1e-6


@pytest.mark.parametrize(
    "text",
    [
        "Ingredients: duck 20 %, millet 30 %, peas 50 %.",
        # Grains first, and more protein than grains and a little duck can hold.
        LABEL,
    ],
)
def test_a_label_that_no_formula_fits(text):
    data = api.shares(text)
    assert not data["consistent"]
    assert data["clash"]
    assert (data["ingredients"], data["families"], data["promises"]) == ([], [], [])


# Questions about several labels, sheets and what is known --------------------------------------

SHEET = "Ingredient,kg\nDuck,60\nMillet,38\nSalt,2\n"
OTHER = "Product name: Turkey Dinner for Dogs\nSpecies: dog\nIngredients: turkey, rice, salt.\n"
TARGET = "fat <= 15 % dry matter"


@pytest.fixture
def answer(tmp_path, monkeypatch):
    """What a command prints as JSON, in a folder with two labels and a batch sheet."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "duck.panel").write_text(LABEL)
    (tmp_path / "other.panel").write_text(OTHER)
    (tmp_path / "duck.csv").write_text(SHEET)

    def of(*arguments: str) -> object:
        data = json.loads(CliRunner().invoke(cli, [*arguments, "--format", "json"]).stdout)
        if isinstance(data, dict):
            assert data.pop("version") == VERSION
        return data

    return of


def label(path: str) -> api.Label:
    return api.Label({"duck.panel": LABEL, "other.panel": OTHER}[path], path)


@pytest.mark.parametrize(
    ("arguments", "function"),
    [
        (("compare", "duck.panel", "other.panel", "--sort", "name"),
         lambda: api.compare([label("duck.panel"), label("other.panel")], sort_by="name")),
        (("blend", "duck.panel", "chicken", "--target", TARGET, "--body-weight", "9"),
         lambda: api.blend(label("duck.panel"), "chicken", TARGET, body_weight=9)),
        (("changes", "other.panel", "duck.panel"),
         lambda: api.changes(label("other.panel"), label("duck.panel"))),
        (("report", "duck.panel", "other.panel"),
         lambda: api.report([label("duck.panel"), label("other.panel")])),
        (("trace", "duck", "duck.panel", "other.panel", "duck.csv"),
         lambda: api.trace("duck", ["duck.panel", "other.panel", "duck.csv"])),
        (("reconcile", "duck.panel", "duck.csv"),
         lambda: api.reconcile(LABEL, "duck.csv", "duck.panel")),
        (("declare", "duck.csv", "--species", "dog", "--moisture", "8"),
         lambda: api.declare("duck.csv", species="dog", moisture=8)),
        (("reformulate", "duck.csv", "--target", "protein >= 12 %", "--moisture", "8"),
         lambda: api.reformulate("duck.csv", targets=["protein >= 12 %"], moisture=8)),
        (("ingredient", "dried chicken"), lambda: api.ingredient("dried chicken")),
        (("rule",), api.rules),
        (("rule", "name-quarter"), lambda: api.rule("name-quarter")),
    ],
)  # fmt: skip
def test_each_function_returns_what_its_command_prints(answer, arguments, function):
    printed = answer(*arguments)
    assert printed
    assert json.loads(json.dumps(function())) == printed


def test_a_blend_with_what_nobody_knows():
    with pytest.raises(PanellintError, match="nearest names: chicken"):
        api.blend(api.Label(LABEL), "chikken", TARGET)


def test_moisture_and_yield_are_not_both_stated(answer):
    with pytest.raises(PanellintError, match="not both"):
        api.declare("duck.csv", species="dog", moisture=8, finished=90)


def test_what_is_no_text_is_said():
    for question in (api.lint, api.outline, api.shares, api.nutrition):
        with pytest.raises(TypeError, match="the text of a label is a str, not NoneType"):
            question(None)


def test_the_public_names_are_the_questions_of_the_commands():
    defined = {
        name
        for name, value in vars(api).items()
        if getattr(value, "__module__", "") == "panellint.api" and not name.startswith("_")
    }
    assert set(api.__all__) == defined
    answers = {*OUTPUTS} - {"rule"}
    assert answers <= defined
