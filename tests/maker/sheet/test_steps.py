"""Worksheets that are the steps of a recipe: read as the same recipe in YAML is."""

from __future__ import annotations

import pytest

from panellint.catalogue import load
from panellint.core.errors import InputError
from panellint.maker.balance import balance
from panellint.maker.batch import read_batch
from panellint.maker.formula import Formula
from panellint.maker.sheet.read import SheetChoice

MIX = [
    ["Species: dog"],
    ["Item", "Amount (kg)", "Lot"],
    ["DK-01", 60, "HF-1"],
    ["Rolled oats", 40],
    ["Total", 100],
]
MATERIALS = [
    ["Code", "Name", "Moisture %", "Protein %", "Fat %", "Fibre %", "Ash %", "Cost"],
    ["DK-01", "Duck, ground with bone", 60, 16, 20, 0, 4, 3.1],
    ["OT-02", "Rolled oats", 10, 13, 7, 2, 2, 0.9],
]
YAML = """\
materials: materials.yaml
steps:
  - mix: [{material: duck, amount: 60 kg}, {material: oats, amount: 40 kg}]
"""
LISTED = """\
materials:
  - {name: duck, analysis: {moisture: 60, protein: 16, fat: 20, fibre: 0, ash: 4}}
  - {name: oats, analysis: {moisture: 10, protein: 13, fat: 7, fibre: 2, ash: 2}}
  - {name: duck fat}
"""
FAT = [["Ingredient", "kg"], ["duck fat", 5]]


def balance_of(path):
    found = dict(balance(Formula.of(read_batch(path), load())))
    return {key: value for key, value in found.items() if key != "from"}


@pytest.mark.parametrize(
    ("sheets", "steps"),
    [
        (
            {"2 Cook": [["Water in (kg)", 10], ["Water out (kg)", 12], ["Fat out", "4 kg"]]},
            "  - add-water: 10 kg\n  - cook: {water-out: 12 kg, fat-out: 4 kg}\n",
        ),
        (
            {"Dry": [["Moisture after drying", "10 %"]], "Coat": FAT},
            "  - dry: {to-moisture: 10 %}\n  - coat: [{material: duck fat, amount: 5 kg}]\n",
        ),
        (
            {"Cook": [["Yield", "90 %"]], "Step 3 - drying": [["Yield: 80 %"]]},
            "  - cook: {yield: 90 %}\n  - dry: {yield: 80 %}\n",
        ),
        ({"Cook": [["Yield", "54 kg"]]}, "  - cook: {yield: 54 %}\n"),
        (
            {"Bake": [["Water out", "20 kg"], ["Fat rendered", "3 kg"]]},
            "  - cook: {water-out: 20 kg, fat-out: 3 kg}\n",
        ),
    ],
)
def test_worksheets_are_worked_as_the_recipe_in_yaml_is(book, tmp_path, sheets, steps):
    path = book({"1 Mix": MIX, **sheets, "Materials": MATERIALS})
    (tmp_path / "recipe.yaml").write_text(YAML + steps)
    (tmp_path / "materials.yaml").write_text(LISTED)
    assert balance_of(path) == balance_of(tmp_path / "recipe.yaml")


def test_rows_have_what_the_list_of_materials_says_and_all_that_is_read_is_named(book):
    batch = read_batch(book({"Mix": MIX, "Dry": [["Moisture", "9 %"]], "Raw materials": MATERIALS}))
    duck, oats = batch.lines
    assert (duck.name, duck.lot, duck.weight) == ("Duck, ground with bone", "HF-1", 60_000)
    assert (oats.analysis["protein"], float(oats.cost)) == (13, 0.9)
    assert batch.worked
    assert batch.facts == {"species": "dog"}
    assert [one.printed for one in batch.headings] == ["Item", "Amount (kg)", "Lot"]
    assert any("Mix and Dry are read as the steps" in str(one) for one in batch.remarks)


def test_percentages_of_the_whole_may_be_parted_among_the_steps(book):
    mix = [["Ingredient", "%"], ["Duck", 58], ["Oats", 39]]
    batch = read_batch(book({"Mix": mix, "Coat": [["Ingredient", "%"], ["duck fat", 3]]}))
    assert batch.total == 100
    assert not any("add up" in str(one) for one in batch.remarks)


def test_negative_rows_of_a_step_leave_it(book):
    rows = [["Ingredient", "kg"], ["Salt", 1], ["Evaporation", -20], ["Drip fat", -3]]
    batch = read_batch(book({"Mix": MIX, "Cook": rows, "Materials": MATERIALS}))
    assert (batch.lost, batch.fat_lost, batch.total) == (20_000, 3_000, 101_000)


def test_a_step_of_heat_that_takes_nothing_out_and_a_page_of_facts(book):
    rows = {"Product": [["Form: baked"]], "Mix": MIX, "Dry": FAT, "Prices": FAT}
    batch = read_batch(book(rows))
    assert (batch.facts["form"], batch.lost, batch.total) == ("baked", 0, 105_000)
    said = [str(one) for one in batch.remarks]
    assert any("Dry says of no water, yield or moisture" in one for one in said)
    assert any("and not Prices beside it" in one for one in said)


def test_columns_that_the_user_points_at_hold_for_each_step(book):
    mix, coat = ([["Stuff", "A", "B"], ["Duck", 1, 60]], [["Stuff", "A", "B"], ["duck fat", 2, 3]])
    choice = SheetChoice.of(columns="name=Stuff,weight=B,unit=kg")
    batch = read_batch(book({"Mix": mix, "Coat": coat}), choice=choice)
    assert [line.weight for line in batch.lines] == [60_000, 3_000]


def test_one_worksheet_of_them_may_be_chosen(book):
    path = book({"Mix": MIX, "Coat": FAT})
    assert read_batch(path, choice=SheetChoice("coat")).lines[0].name == "duck fat"


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ([["Yield", "90 %"], ["Water out", "3 kg"]], "follow from one another"),
        ([["Yield", "0.9"]], "may be 0.9 % or 90 %"),
        ([["Water out", "200 kg"]], "more leaves than is in"),
        ([["Water out", "1,250 kg"]], "may be two numbers"),
        ([["Water out", "12 %"]], "percentages and weights stand in one recipe"),
        ([["Loss in the pot", "12 kg"]], "Loss in the pot 12 kg. is not understood"),
        ([["Hot"]], "puts nothing in and takes nothing out"),
        ([["Moisture", "wet"]], "`wet` is no percentage"),
        ([["Moisture after", 0.08]], "may be 0.08 % or 8 %"),
    ],
)
def test_a_step_that_cannot_be_understood_is_refused_at_its_place(book, rows, says):
    with pytest.raises(InputError, match=says):
        read_batch(book({"Mix": MIX, "Cook": rows}))
