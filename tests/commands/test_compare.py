"""`compare`: order, bases, costs of an animal, and the words on wet and dry."""

import json

import pytest
from click.testing import CliRunner

from panellint.cli import cli

KIBBLE = """Product name: Kibble
Species: dog
Form: kibble
Price: $38.10
Guaranteed analysis: crude protein (min) 30%, crude fat (min) 16%, crude fiber (max) 3%, moisture (max) 10%, ash (max) 7%
Calorie content (calculated): 3,810 kcal/kg, 381 kcal/cup
Net weight: 10 kg
"""  # noqa: E501
CAN = """Product name: Can
Species: dog
Form: canned
Guaranteed analysis: crude protein (min) 12%, crude fat (min) 6%, crude fiber (max) 1%, moisture (max) 78%, ash (max) 2%
"""  # noqa: E501


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "kibble.panel").write_text(KIBBLE)
    (tmp_path / "can.panel").write_text(CAN)
    return tmp_path


def invoke(*arguments):
    return CliRunner().invoke(cli, ["compare", *arguments])


def told(*arguments):
    return json.loads(invoke(*arguments, "--format", "json").stdout)


def names(data):
    return [food["name"] for food in data["foods"]]


def test_the_order_turns_round_with_the_basis(folder):
    assert names(told(".", "--basis", "as-fed")) == ["Kibble", "Can"]
    # 12 / 0.22 = 54.5 % against 30 / 0.9 = 33.3 %.
    assert names(told(".")) == ["Can", "Kibble"]
    assert names(told(".", "--sort", "name")) == ["Can", "Kibble"]
    assert names(told(".", "--sort", "cost")) == ["Kibble", "Can"]


def test_the_sentence_on_the_smaller_number(folder):
    page = " ".join(invoke(".").stdout.split())
    assert "without the water it is 54.5 % against 33.3 %" in page
    assert "The smaller number is the larger one." in page
    assert page.count("This informs and does not certify") == 1


def test_cost_of_a_day_on_paper(folder):
    # One energy throughout, and the can has none: computed, 30, 16 and 34 % are 3600 kcal/kg, and
    # 38.10 for 10 x 3600 kcal are 1.0583 per 1000 kcal. A dog of 16 kg: 110 x 16^0.75 = 880 kcal
    # (FEDIAF, table VII-6), 0.93 a day, 244 g.
    kibble = told(".", "--body-weight", "16", "--sort", "cost")["foods"][0]
    assert kibble["cost_per_1000_kcal"] == pytest.approx(1.0583, abs=1e-4)
    assert kibble["cost_per_day"] == pytest.approx(0.9313, abs=1e-4)
    assert kibble["grams_per_day"] == pytest.approx(880 / 3.6, abs=0.01)
    page = invoke(".", "--body-weight", "16").stdout
    assert "0.93 USD" in page
    assert "110 x 16^0.75" in " ".join(page.split())


@pytest.mark.parametrize("price", ["$39.99", "39.99 USD", "US$39.99"])
def test_signs_and_codes_are_one_currency(folder, price):
    (folder / "can.panel").write_text(f"{CAN}Price: {price} for 2 kg\n")
    data = told(".", "--sort", "cost")
    assert {food["currency"] for food in data["foods"]} == {"USD"}


def test_an_order_that_cannot_be_is_an_error(folder):
    (folder / "can.panel").write_text(f"{CAN}Price: £3 for 2 kg\n")
    done = invoke(".", "--sort", "cost")
    assert done.exit_code == 2
    assert "prices are in GBP and USD" in done.stderr


def test_no_animal_no_price_no_table_of_them(folder):
    assert "Portions and cost" not in invoke("can.panel").stdout


def test_animals_that_cannot_be(folder):
    (folder / "cat.panel").write_text(CAN.replace("Species: dog", "Species: cat"))
    mixed = invoke(".", "--body-weight", "4", "--sort", "name")
    assert mixed.exit_code == 0, mixed.output
    assert mixed.stdout.index("For dogs") < mixed.stdout.index("For cats")
    assert invoke(".", "--body-weight", "4", "--species", "cat").exit_code == 0
    assert "no body weight" in invoke("can.panel", "--body-weight", "0").stderr
    unknown = invoke("can.panel", "--body-weight", "4", "--life", "retired")
    assert unknown.exit_code == 2
    assert "there are adult" in unknown.stderr


def test_every_fault_is_told_and_nothing_printed(folder):
    (folder / "bytes.panel").write_bytes(b"\xff\xfe\x00")
    result = invoke(".", "nowhere.panel")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "nowhere.panel" in result.stderr
    assert "bytes.panel" in result.stderr


def test_likely_carbohydrate_is_a_sentence_with_the_target(folder):
    (folder / "kibble.panel").write_text(KIBBLE + "Ingredients: chicken meal, rice, peas, salt\n")
    food = told("kibble.panel")["foods"][0]
    assert food["likely"]["carbohydrate"]["dry_matter"]["of"] == 90
    assert food["target"]["of_energy"] == "above"
    words = " ".join(invoke("kibble.panel", "can.panel").stdout.split())
    assert "2. Kibble: Protein" in words
    assert "Carbohydrate is probably" in words
    assert "Practice aims for 12 to 15 % carbohydrate. This food: probably" in words
    assert "% of the energy (above)" in words
