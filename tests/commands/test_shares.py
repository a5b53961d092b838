"""`shares`: the table, the proofs, the premises, and labels that no formula fits."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from panellint import api
from panellint.cli import cli

CORPUS = Path(__file__).parents[2] / "corpus"
FIVE = "Ingredients: duck, millet, peas, carrots, salt.\n"


def invoke(*arguments, text=None):
    return CliRunner().invoke(cli, ["shares", *map(str, arguments)], input=text)


def row(page: str, name: str) -> list[str]:
    """What the table says of an ingredient: likely range, middle, least, most, bar, mark."""
    table = page.split("likely", 1)[1]
    line = next(one for one in table.splitlines() if one.strip().startswith(name))
    return line.split(name, 1)[1].split()


def test_a_fifth_of_five():
    # Five in descending order: the first is at least a fifth, the fifth at most a fifth.
    page = invoke("-", text=FIVE).stdout
    assert row(page, "duck")[4:6] == ["20.0", "100.0"]
    assert row(page, "salt")[4:6] == ["0.0", "20.0"]
    assert "duck is probably between" in " ".join(page.split())
    assert "an estimate" in " ".join(page.split())
    assert page.count("This informs and does not certify") == 1
    assert max(map(len, page.splitlines())) <= 80


def test_bars_stand_where_the_shares_are():
    page = invoke("-", text=FIVE).stdout
    duck, salt = row(page, "duck")[6], row(page, "salt")[6]
    assert duck[:2] == "··"
    assert set(duck[4:]) <= {"━", "┃"}
    assert set(salt[5:]) == {"·"}
    ascii_page = CliRunner(charset="ascii").invoke(cli, ["shares", "-"], input=FIVE)
    assert ascii_page.stdout_bytes.isascii()
    assert "|====" in ascii_page.stdout or "=|==" in ascii_page.stdout


def test_proofs_when_asked_for():
    plain = invoke("-", text=FIVE).stdout
    assert "Proofs" not in plain
    whole = " ".join(invoke("-", "--proof", text=FIVE).stdout.split())
    assert "Four ingredients are declared before salt and none weighs less" in whole
    one = " ".join(invoke("-", "--proof-of", "Millet", text=FIVE).stdout.split())
    assert "One ingredient is declared before millet" in one
    assert "before salt" not in one


def test_proof_of_what_is_not_declared():
    result = invoke("-", "--proof-of", "milet", text=FIVE)
    assert result.exit_code == 2
    assert "declares no 'milet'; did you mean millet?" in result.stderr


def test_premises_are_chosen_and_told():
    page = invoke("-", "--premises", "percentages,tail", text=FIVE).stdout
    assert row(page, "salt")[4:6] == ["0.0", "100.0"]
    assert "Left out: order, groups, water and guarantees." in page
    wrong = invoke("-", "--premises", "hope", text=FIVE)
    assert wrong.exit_code == 2
    assert "unknown premise 'hope'" in wrong.stderr


def test_what_rests_on_what_has_a_mark():
    label = "Ingredients: duck, millet (20 %), peas, carrots, salt.\n"
    page = invoke("-", text=label).stdout
    assert "percentages" in page
    data = api.shares(label)
    sets = {tuple(one["rests_on"]) for one in data["ingredients"]}
    for premises in sets:
        assert any(line.endswith(", ".join(premises)) for line in page.splitlines())


def test_a_clash_is_explained():
    page = invoke(CORPUS / "beef-percentages-raw.panel").stdout
    assert "The label contradicts itself" in page
    assert "28 % is printed for beef heart" in page
    assert "Leave any one of them out" in page


def test_a_clash_with_composition_blames_either():
    text = (
        "Form: kibble\nIngredients: white rice, brown rice, barley, oats.\n"
        "Guaranteed analysis: crude protein (min) 48%, moisture (max) 12%\n"
    )
    page = invoke("-", text=text).stdout
    assert "The label, or the ranges of the catalogue, cannot be right" in page


def test_promises_have_verdicts_and_their_proof():
    text = (
        "Product name: Carrot Recipe for Dogs\nMarket: US\n"
        "Ingredients: duck, millet, peas, rice, carrots.\n"
    )
    [promise] = api.shares(text)["promises"]
    page = " ".join(invoke("-", text=text).stdout.split())
    assert promise["verdict"] == "refuted"
    assert "refuted: no formula that fits the label keeps it" in page
    assert promise["proof"][0] in page


def test_members_stand_under_their_group_and_fresh_meat_has_a_rank():
    text = "Ingredients: Deboned chicken, rice, minerals (zinc sulfate, iron oxide), salt.\n"
    page = invoke("-", text=text).stdout
    assert "\n  minerals" in page
    assert "\n    zinc sulfate" in page
    assert "by dry matter" in page


def test_the_object_is_that_of_python():
    told = json.loads(invoke("-", "--format", "json", text=FIVE).stdout)
    assert told.pop("version") == 1
    assert told == api.shares(FIVE)
    assert {"path", "premises", "consistent", "clash", "ingredients", "families", "promises"} <= (
        told.keys()
    )


@pytest.mark.parametrize("text", ["", "Ingredients:", "((((", "Product name: Duck\n"])
def test_without_a_list_there_is_a_page(text):
    result = invoke("-", text=text)
    assert result.exit_code == 0, result.output
    assert "Caution" in result.stdout
