"""Sheets as they come: units, headings, sections, sums, losses, and what may be meant."""

from __future__ import annotations

from fractions import Fraction

import pytest

from panellint.core.errors import InputError, PanellintError
from panellint.maker.batch import read_batch
from panellint.maker.sheet.quantities import sheet_unit
from panellint.maker.sheet.read import SheetChoice


@pytest.fixture
def read(tmp_path):
    def one(text: str, columns: str = "", name: str = "sheet.csv"):
        (tmp_path / name).write_text(text, encoding="utf-8")
        return read_batch(tmp_path / name, choice=SheetChoice.of("", columns))

    return one


def amounts(batch) -> dict[str, Fraction]:
    return {line.name: line.weight for line in batch.lines}


# Sizes by definition: the international pound of 453.59237 g, its ounce, the tonne of 1,000 kg.
@pytest.mark.parametrize(
    ("printed", "size", "part"),
    [
        ("kg", "1000", False), ("Kgs", "1000", False), ("KG/BATCH", "1000", False),
        ("t", "1000000", False), ("mg", "0.001", False), ("lbs.", "453.59237", False),
        ("%", "1", True), ("Wt%", "1", True), ("% w/w", "1", True), ("g/kg", "0.1", True),
        ("kg/t", "0.1", True), ("g per 100 g", "1", True), ("ppm", "0.0001", True),
        ("mg/kg", "0.0001", True), ("kg/100 kg", "1", True),
    ],
)  # fmt: skip
def test_units_of_sheets(printed, size, part):
    unit = sheet_unit(printed)
    assert (unit.size, unit.part) == (Fraction(size), part)


@pytest.mark.parametrize("printed", ["ton", "IU", "IU/kg", "cups", "ml", "pieces", ""])
def test_what_is_no_weight_has_no_unit(printed):
    assert sheet_unit(printed) is None


def test_a_unit_in_its_own_column_counts_beside_percentages(read):
    batch = read(
        "Ingredient,Inclusion,Unit\nChicken,70,%\nPeas,29.8,%\nSalt,0.2,%\n"
        "Sodium selenite,0.3,ppm\n"
    )
    assert amounts(batch)["Sodium selenite"] == Fraction("0.00003")
    assert min(batch.lines, key=lambda line: line.weight).name == "Sodium selenite"


@pytest.mark.parametrize("unit", ["IU/kg", "cups", "ton"])
def test_a_unit_that_is_not_understood_is_refused(read, unit):
    with pytest.raises(InputError, match=f"Peas: `{unit}` is no unit of weight"):
        read(f"Ingredient,Inclusion,Unit\nChicken,70,%\nPeas,30,{unit}\n")


@pytest.mark.parametrize(
    "head",
    [
        "Ingredient,kg", "Raw material,Kgs", "Item,KG/BATCH", "Ingredient,Wt (kg)",
        "Grondstof,Hoeveelheid (kg)", "Zutat,Menge (kg)", "Ingredient,Actual kg",
        "Material,Target weight (kg)", "Component,Batch kg",
    ],
)  # fmt: skip
def test_headings_of_weights(read, head):
    assert amounts(read(f"{head}\nDuck,60\nMillet,40\n")) == {"Duck": 60_000, "Millet": 40_000}


@pytest.mark.parametrize("head", ["Ingredient,Formula %", "Ingredient,% w/w", "Ingredient,Wt%"])
def test_headings_of_percentages(read, head):
    assert amounts(read(f"{head}\nDuck,60\nMillet,40\n")) == {"Duck": 60, "Millet": 40}


def test_pounds_and_ounces(read):
    batch = read("Ingredient,Amount\nDuck,12 lb 4 oz\nMillet,3 lb\n")
    assert amounts(batch)["Duck"] == (12 * 16 + 4) * Fraction("28.349523125")


def test_what_stood_on_the_scale_goes_before_what_was_aimed_at(read):
    batch = read("Ingredient,Target kg,Actual kg,Variance\nDuck,70,71,1\nMillet,30,28,-2\n")
    assert amounts(batch) == {"Duck": 71_000, "Millet": 28_000}
    assert "actual weights are read" in str(batch.remarks[0])
    batch = read("Ingredient,Target kg,Actual kg\nDuck,70,71\nMillet,30,\n")
    assert amounts(batch) == {"Duck": 70_000, "Millet": 30_000}
    assert "row 3 has no actual one" in str(batch.remarks[0])
    batch = read("Ingredient,Target kg,Actual kg\nDuck,70,71\nMillet,30,28\n", "weight=Target kg")
    assert amounts(batch) == {"Duck": 70_000, "Millet": 30_000}


def test_headings_of_two_rows(read):
    batch = read(
        ",Target,,Actual,,Analysis,\nIngredient,kg,%,kg,%,Protein %,Fat %\n"
        "Duck,70,70,71,71,18,10\nMillet,30,30,29,29,11,4\n"
    )
    assert amounts(batch) == {"Duck": 71_000, "Millet": 29_000}
    assert batch.lines[0].analysis == {"protein": 18, "fat": 10}
    batch = read("Ingredient,Amount,Price\n,kg,EUR/t\nDuck,70,2100\nMillet,30,1000\n")
    assert [float(line.cost) for line in batch.lines] == [2.1, 1]


def test_sections_sums_and_water_that_leaves(read):
    batch = read(
        "Ingredient,kg\nMEATS,\nlamb,50\nbeef,20\nTotal meats,70\nStep 2,\noats,20\n"
        "Sub-total dry,20\nwater,10\nTOTAL BATCH,100\nWater loss,-27\n"
    )
    assert list(amounts(batch)) == ["lamb", "beef", "oats", "water"]
    assert batch.lost == 27_000
    (remark,) = batch.remarks
    assert "MEATS has no weight and is taken for the head of a section" in str(remark)


def test_a_row_without_a_weight_that_is_no_section_is_refused_with_the_remedy(read):
    with pytest.raises(InputError, match=r"Duck has no weight \(expected one, or a colon"):
        read("Ingredient,kg\nDuck,\nMillet,40\n")


def test_a_sum_that_is_none_may_be_an_ingredient(read):
    with pytest.raises(InputError, match="Total milk protein is no sum of the rows above it"):
        read("Ingredient,kg\nDuck,60\nTotal milk protein,3\nMillet,40\n")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("Ingredient;kg\nChicken;1.250\nRice;750\nSalt;10\n", "`1.250` may be 1.25 or 1250"),
        ("Ingredient;kg\nChicken;1,250\nRice;750\nSalt;10\n", "`1,250` may be 1.25 or 1250"),
    ],
)
def test_thousands_that_may_be_decimals_are_asked_about(read, text, says):
    with pytest.raises(InputError, match=says):
        read(text)
    assert read(text, "decimal=point").lines[0].weight in (1250, 1_250_000)


def test_thousands_are_read_where_the_sheet_tells(read):
    batch = read("Ingredient;kg\nChicken;1.250\nRice;750,5\nSalt;10\n")
    assert amounts(batch)["Chicken"] == 1_250_000
    assert amounts(read("Ingredient,kg\nChicken,1.250\nRice,2\n"))["Chicken"] == 1250
    assert amounts(read("Ingredient;%\nChicken;58.125\nRice;41.875\n"))["Chicken"] == 58.125


@pytest.mark.parametrize("millet", [10, 60])
def test_percentages_of_no_whole_are_refused(read, millet):
    with pytest.raises(InputError, match=f"add up to {70 + millet} %"):
        read(f"Ingredient,%\nDuck,70\nMillet,{millet}\n")


def test_a_sum_may_be_that_of_an_earlier_part(read):
    text = "Ingredient,kg\nlamb,50\nSubtotal,50\noats,20\nSub-total dry,20\nTotal meats,50\n"
    assert list(amounts(read(text))) == ["lamb", "oats"]


def test_columns_that_the_user_points_at(read):
    text = "Stuff,Now,Then kg\nDuck,3,4\nMillet,2,1\n"
    assert amounts(read(text, "name=Stuff,weight=Then kg")) == {"Duck": 4000, "Millet": 1000}
    assert amounts(read(text, "name=A,weight=B,unit=g")) == {"Duck": 3, "Millet": 2}
    with pytest.raises(InputError, match="headings with Stuff, Nowhere"):
        read(text, "name=Stuff,weight=Nowhere")
    with pytest.raises(PanellintError, match="`heft=Now` names no column"):
        read(text, "heft=Now")


def test_a_premix_in_any_unit_makes_a_whole(read, tmp_path):
    main = "Ingredient,kg,Sheet\nDuck,99,\nMinerals,1,premix.csv\n"
    (tmp_path / "premix.csv").write_text("Ingredient,g/kg\nzinc oxide,200\nwheat middlings,800\n")
    members = read(main).lines[1].members
    assert [(one.name, one.weight) for one in members] == [
        ("zinc oxide", 20),
        ("wheat middlings", 80),
    ]
    (tmp_path / "premix.csv").write_text("Ingredient,%\nzinc oxide,20\nwheat middlings,60\n")
    with pytest.raises(InputError, match="the lines of this premix add up to 80 %"):
        read(main)
    (tmp_path / "premix.csv").write_text("Ingredient,IU/kg\nvitamin A,200\n")
    with pytest.raises(InputError, match="no row of headings"):
        read(main)
