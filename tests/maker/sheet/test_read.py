"""Rows to lines: headings, units, facts, faults at their cells, premixes in files."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.errors import InputError
from panellint.maker.batch import read_batch
from panellint.maker.sheet.headers import find_headings


@pytest.fixture
def sheet(tmp_path):
    def write(text: str, name: str = "sheet.csv"):
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return path

    return write


def faults(path):
    with pytest.raises(InputError) as error:
        read_batch(path)
    return [(fault.line, fault.column, fault.message) for fault in error.value.faults]


def test_every_column_is_understood_and_shown(sheet):
    batch = read_batch(
        sheet(
            "Raw material;Batch weight (kg);Crude Protein %;Calcium (mg/kg);Vendor;Lot code;"
            "Unit price;Remark\nDuck;3,5;18,5;120;Harrow;H-1;2,40 €;fresh\n"
        )
    )
    line = batch.lines[0]
    assert line.weight == 3500
    assert line.analysis == {"protein": Fraction("18.5"), "calcium": Fraction("0.012")}
    assert (line.supplier, line.lot, line.cost) == ("Harrow", "H-1", Fraction("2.4"))
    assert [(h.printed, h.taken_for) for h in batch.headings] == [
        ("Raw material", "ingredient"),
        ("Batch weight (kg)", "weight"),
        ("Crude Protein %", "protein"),
        ("Calcium (mg/kg)", "calcium"),
        ("Vendor", "supplier"),
        ("Lot code", "lot"),
        ("Unit price", "cost"),
        ("Remark", ""),
    ]


@pytest.mark.parametrize(
    ("head", "kinds"),
    [
        (("Ingredients", "Weigth"), ["ingredient", "weight"]),
        (("INGREDIENT NAME", "Qty"), ["ingredient", "weight"]),
        (("Ingredient as purchased", "Inclusion rate %"), ["ingredient", "percent"]),
        (("Zutat", "Anteil"), ["ingredient", "percent"]),
        (("Item", "%"), ["ingredient", "percent"]),
    ],
)
def test_headings_are_matched_loosely(head, kinds):
    found = find_headings([(1, ("A title",)), (2, head)])
    assert found is not None
    assert [column.kind for column in found.columns] == kinds


# The avoirdupois pound and ounce: international definitions of 1959.
@pytest.mark.parametrize(
    ("unit", "grams"),
    [
        ("g", "1"),
        ("kg", "1000"),
        ("lb", "453.59237"),
        ("oz", "28.349523125"),
        ("lbs.", "453.59237"),
    ],
)
def test_units(sheet, unit, grams):
    for text in (
        f"Ingredient,Amount ({unit})\nDuck,2\n",
        f"Ingredient,Amount,Unit\nDuck,2,{unit}\n",
        f"Ingredient,Amount\nDuck,2 {unit}\n",
    ):
        assert read_batch(sheet(text)).lines[0].weight == 2 * Fraction(grams)


def test_facts_above_the_table_in_one_cell_or_two(sheet):
    batch = read_batch(
        sheet("A recipe\nSpecies: dog\nFinished moisture,8 %\nIngredient,kg\nDuck,3\n")
    )
    assert batch.facts == {"species": "dog", "finished_moisture": "8 %"}
    assert batch.fact_places["finished_moisture"][2:] == (3, 2)


def test_all_faults_are_told_at_once_each_at_its_cell(sheet):
    path = sheet("Ingredient,kg\nDuck,\nMillet,-1\n,3\nSalt,a pinch\nPeas,=A1\nOats,2 cups\n")
    assert faults(path) == [
        (2, 2, "Duck has no weight"),
        (3, 2, "Millet weighs less than nothing"),
        (4, 1, "a row with figures and no ingredient"),
        (5, 2, "Salt: `a pinch` is no weight"),
        (6, 2, "Peas: a formula as text is no weight"),
        (7, 2, "Oats: `cups` is no unit of weight"),
    ]


def test_decimal_commas_and_points_in_one_sheet_are_read_each_as_it_is_and_remarked(sheet):
    batch = read_batch(sheet("Zutat;Menge (kg)\nEnte;12,5\nHirse;12.5\nSalz;0,25\n"))
    assert [line.weight for line in batch.lines] == [12500, 12500, 250]
    assert ["decimal commas and points" in remark.message for remark in batch.remarks] == [True]


def test_percentages_and_weights_do_not_mix(sheet):
    path = sheet("Ingredient,Amount\nDuck,50 %\nMillet,3 kg\n")
    assert faults(path)[0][2] == "percentages and weights stand in one sheet"


def test_no_table_says_which_headings_would_do(sheet):
    (_, _, message), *_ = faults(sheet("Name of dish,Chef\nstew,Ann\n"))
    assert message.startswith("no row of headings with an ingredient and a weight")


def test_nothing_below_the_headings(sheet):
    assert faults(sheet("Ingredient,kg\n"))[0][2] == "no ingredient stands below this row"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("Batch size: 100 kg\nIngredient,kg\nDuck,60\nMillet,30\n", "add up to 90 kg and 100 kg"),
        ("Ingredient,%\nDuck,60\nMillet,37\n", "add up to 97 % and 100 %"),
        ("Ingredient,kg\nDuck,60\nMillet,30\nTotal,91\n", "add up to 90 kg and 91 kg"),
    ],
)
def test_a_sum_away_from_the_stated_size_is_remarked(sheet, text, says):
    assert any(says in str(remark) for remark in read_batch(sheet(text)).remarks)


def test_a_sum_within_rounding_is_not(sheet):
    assert read_batch(sheet("Ingredient,%\nDuck,66.7\nMillet,33.2\n")).remarks == ()


def test_a_total_is_no_ingredient(sheet):
    assert len(read_batch(sheet("Ingredient,kg\nDuck,3\nTotal,3\n")).lines) == 1


def test_a_premix_in_a_file_of_its_own(sheet, tmp_path):
    sheet("Ingredient,g\nniacin,3\nbiotin,1\n", "premix.csv")
    batch = read_batch(sheet("Ingredient,kg,Sheet\nDuck,99,\nVitamins,1,premix.csv\n"))
    assert [name.name for name, _ in batch.walk()] == ["Duck", "Vitamins", "niacin", "biotin"]
    assert [above for _, above in batch.walk()][-1] == ("Vitamins",)


def test_a_premix_may_not_lie_outside_nor_hold_itself(sheet):
    path = sheet("Ingredient,kg,Sheet\nVitamins,1,../other.csv\n")
    assert "lies outside" in faults(path)[0][2]
    path = sheet("Ingredient,kg,Sheet\nVitamins,1,sheet.csv\n")
    assert any("holds itself" in message for _, _, message in faults(path))


def test_a_link_does_not_lead_out(sheet, tmp_path):
    outside = tmp_path.parent / "outside.csv"
    outside.write_text("Ingredient,g\nniacin,3\n")
    (tmp_path / "premix.csv").symlink_to(outside)
    assert "lies outside" in faults(sheet("Ingredient,kg,Sheet\nVitamins,1,premix.csv\n"))[0][2]


def test_limits_turned_round(sheet):
    path = sheet("Ingredient,kg,Min %,Max %\nDuck,3,60,40\n")
    assert faults(path) == [(2, 1, "Duck: the least is above the most")]


names = st.lists(
    st.sampled_from("duck millet salt peas oats turkey carrots kelp".split()),
    min_size=1,
    max_size=8,
    unique=True,
)


@given(names, st.data())
def test_whatever_is_written_is_read_again(tmp_path_factory, chosen, draw):
    weights = [draw.draw(st.decimals("0.01", "9999", places=2, allow_nan=False)) for _ in chosen]
    comma = draw.draw(st.booleans())
    mark = ";" if comma else ","
    lines = [
        f"{name}{mark}{str(weight).replace('.', ',') if comma else weight}"
        for name, weight in zip(chosen, weights, strict=True)
    ]
    path = tmp_path_factory.mktemp("sheets") / "a.csv"
    path.write_text("\n".join([f"Ingredient{mark}kg", *lines, ""]), encoding="utf-8")
    batch = read_batch(path)
    assert [line.name for line in batch.lines] == chosen
    assert [line.weight for line in batch.lines] == [1000 * Fraction(w) for w in weights]
