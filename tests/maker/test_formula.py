"""What a batch holds: single ingredients against the USDA table, a published diet against its
printed analysis, water lost and water added by hand."""

from __future__ import annotations

import csv
from fractions import Fraction
from math import isclose

import pytest

from panellint.catalogue import load
from panellint.catalogue.model import PARTS
from panellint.core.errors import InputError
from panellint.core.files import rules_folder
from panellint.maker.component import AS_MIXED, DRY_MATTER, ENERGY, FINISHED, REHYDRATED
from panellint.maker.formula import Formula
from panellint.maker.model import Batch, BatchLine, SheetCell
from panellint.nutrition.bases import Analysis
from panellint.nutrition.energy import NRC_2006, energy_of

AT = SheetCell("sheet.csv", "", 2, 2)


def batch(*lines, facts=None):
    facts = facts or {}
    made = tuple(
        BatchLine(name, Fraction(str(weight)), AT, {n: Fraction(str(v)) for n, v in own.items()})
        for name, weight, own in lines
    )
    return Batch("sheet.csv", made, facts=facts, fact_places=dict.fromkeys(facts, AT))


def formula(*lines, facts=None, **more):
    return Formula.of(batch(*lines, facts=facts), load(), **more)


# USDA National Nutrient Database for Standard Reference, Release 28: water, protein, fat and ash
# of the raw food, grams in 100 g (protein by the factor that the table prints).
USDA = [
    ("chicken liver", "05027", 76.46, 16.92, 4.83, 1.21),
    ("oats", "20038", 8.22, 16.89, 6.90, 1.72),
    ("carrots", "11124", 88.29, 0.93, 0.24, 0.97),
    ("pumpkin", "11422", 91.60, 1.00, 0.10, 0.80),
    ("eggs", "01123", 76.15, 12.56, 9.51, 1.06),
    ("sweet potatoes", "11507", 77.28, 1.57, 0.05, 0.99),
    ("brown rice", "20036", 11.80, 7.54, 3.20, 1.28),
]


@pytest.mark.parametrize(("name", "number", "water", "protein", "fat", "ash"), USDA)
def test_a_batch_of_one_food_holds_what_the_usda_table_prints(
    name, number, water, protein, fat, ash
):
    held = formula((name, 100, {}))
    for part, printed in (("moisture", water), ("protein", protein), ("fat", fat), ("ash", ash)):
        content = held.content(part, AS_MIXED)
        # Nitrogen times 6.25 where the table has another factor: within an eighth of protein.
        slack = 0.125 * printed if part == "protein" else 1e-9
        assert content.low - slack <= printed <= content.high + slack, (number, part)


# J Anim Sci Technol 2024, 66(2):374-387, table 1 (open access; ejast.org): three dog diets in
# percent, and the composition that the authors print on dry matter.
DIETS = {
    "20 %": (
        [43.91, 6.60, 8.00, 1.50, 1.00, 1.00, 1.00, 0.70, 0.51, 0.40, 0.33, 0.05, 35.00],
        {"protein": 20.02, "fat": 11.75, "fibre": 0.29, "ash": 2.19, "carbohydrate": 65.75,
         "calcium": 0.81, "phosphorus": 0.69},
        58.56,
    ),
    "30 %": (
        [37.04, 14.00, 8.00, 1.30, 1.00, 1.00, 0.80, 0.80, 0.35, 0.40, 0.31, 0.00, 35.00],
        {"protein": 30.16, "fat": 12.02, "fibre": 0.28, "ash": 2.47, "carbohydrate": 55.07,
         "calcium": 0.81, "phosphorus": 0.68},
        59.49,
    ),
    "40 %": (
        [30.04, 21.60, 7.50, 1.40, 1.00, 1.00, 0.60, 0.89, 0.30, 0.40, 0.27, 0.00, 35.00],
        {"protein": 39.99, "fat": 12.35, "fibre": 0.28, "ash": 2.68, "carbohydrate": 44.70,
         "calcium": 0.80, "phosphorus": 0.67},
        60.45,
    ),
}  # fmt: skip
NAMES = [
    "rice flour", "dehydrated chicken", "dried egg yolk", "lard", "dried seaweed", "dried cabbage",
    "dicalcium phosphate", "calcium carbonate", "potassium citrate", "vitamin and mineral premix",
    "salt", "L-tryptophan", "water",
]  # fmt: skip


@pytest.mark.parametrize("diet", DIETS)
def test_a_published_diet_is_reproduced_within_the_ranges_of_the_tables(diet):
    weights, printed, dry = DIETS[diet]
    lines = [(name, w, {}) for name, w in zip(NAMES, weights, strict=True) if w]
    held = formula(*lines)
    for nutrient, value in printed.items():
        if nutrient != "ash":
            content = held.content(nutrient, DRY_MATTER)
            assert content.low <= value <= content.high, (nutrient, content)
    moisture = held.content("moisture", AS_MIXED)
    assert moisture.low <= 100 - dry <= moisture.high


def breast_powder() -> dict[str, float]:
    """Chicken breast (USDA 05062, raw, meat only) dried to 5 % moisture, in percent."""
    path = rules_folder() / "tables" / "usda-sr-subset.csv"
    with path.open(encoding="utf-8", newline="") as lines:
        row = next(row for row in csv.DictReader(lines) if row["ndb_no"] == "05062")
    columns = {"protein": "protein_g", "fat": "fat_total_g", "ash": "ash_g"}
    dry = 95 / (100 - float(row["water_g"]))
    held = {part: round(dry * float(row[column]), 2) for part, column in columns.items()}
    return {"moisture": 5.0, **held}


@pytest.mark.parametrize("diet", DIETS)
def test_the_estimate_of_that_diet_is_near_the_authors_protein_and_fat(diet):
    """The source of its protein is chicken breast powder; with the breast of the USDA table
    dried, the estimate comes within 3 points of what the authors print."""
    weights, printed, _ = DIETS[diet]
    held = formula(
        *(
            (name, w, breast_powder() if name == "dehydrated chicken" else {})
            for name, w in zip(NAMES, weights, strict=True)
            if w
        )
    )
    for part in ("protein", "fat"):
        assert abs(held.content(part, DRY_MATTER).middle - printed[part]) < 3, part


@pytest.mark.parametrize("diet", DIETS)
def test_the_printed_ash_of_that_diet_leaves_out_its_minerals(diet):
    """The authors calculated ash; what they print is less than the salts that they weighed in,
    which are nearly all ash, so no food of that recipe can have it."""
    weights, printed, dry = DIETS[diet]
    salts = ("dicalcium phosphate", "calcium carbonate", "salt")
    weighed = sum(w for name, w in zip(NAMES, weights, strict=True) if name in salts)
    assert printed["ash"] < 100 * weighed / dry
    held = formula(*((n, w, {}) for n, w in zip(NAMES, weights, strict=True) if w))
    assert printed["ash"] < held.content("ash", DRY_MATTER).low


OWN = {"moisture": 60, "protein": 20, "fat": 10, "fibre": 1, "ash": 3, "carbohydrate": 6}
DRY = {"moisture": 10, "protein": 12, "fat": 4, "fibre": 4, "ash": 2, "carbohydrate": 68}


def test_own_analyses_are_exact_and_add_up():
    held = formula(("duck", 75, OWN), ("millet", 25, DRY))
    for part in PARTS:
        content = held.content(part)
        expected = 0.75 * OWN[part] + 0.25 * DRY[part]
        assert isclose(content.low, expected, abs_tol=1e-9)
        assert isclose(content.high, expected, abs_tol=1e-9)
        assert not content.literature


def test_water_lost_to_a_stated_moisture():
    # 50 g of dry matter in 100 g of mix; at 8 % moisture that is 50 / 0.92 g of food.
    held = formula(("duck", 75, OWN), ("millet", 25, DRY), facts={"finished_moisture": "8 %"})
    dry = 100 - (0.75 * 60 + 0.25 * 10)
    assert isclose(held.content("protein").low, 18 * 92 / dry)
    assert held.content("moisture").middle == 8
    assert all(isclose(end, dry / 92) for end in held.yield_range())


def test_water_lost_to_a_stated_yield():
    held = formula(("duck", 75, OWN), ("millet", 25, DRY), facts={"yield": "60 %"})
    assert isclose(held.content("protein").middle, 18 / 0.6)
    assert isclose(held.content("moisture").middle, (47.5 - 40) / 0.6)
    assert held.yield_range() == (0.6, 0.6)


def test_water_added_before_feeding():
    held = formula(
        ("duck", 75, OWN),
        ("millet", 25, DRY),
        facts={"finished_moisture": "8 %", "water_to_add": "150 ml per 100 g"},
    )
    assert held.added == Fraction(3, 2)
    assert isclose(held.content("moisture", REHYDRATED).middle, (8 + 150) / 2.5)
    dry = held.content("protein", FINISHED).middle
    assert isclose(held.content("protein", REHYDRATED).middle, dry / 2.5)


def test_energy_by_plain_factors_and_by_the_nrc_equation():
    held = formula(("duck", 75, OWN), ("millet", 25, DRY))
    parts = {p: 0.75 * OWN[p] + 0.25 * DRY[p] for p in PARTS}
    expected = 35 * parts["protein"] + 85 * parts["fat"] + 35 * parts["carbohydrate"]
    assert isclose(held.energy().middle, expected)
    assert isclose(held.energy().low, held.energy().high)
    nrc = energy_of(Analysis(**parts), NRC_2006, "dog")
    found = held.energy(NRC_2006, "dog")
    assert isclose(found.middle, nrc)
    assert found.low - 1e-6 <= nrc <= found.high + 1e-6
    assert isclose(held.content("protein", ENERGY).middle, parts["protein"] * 10_000 / expected)


def test_what_is_unknown_is_never_nothing():
    held = formula(("duck", 50, OWN), ("moonroot", 50, {}))
    assert held.content("protein").high == pytest.approx(60)
    assert held.content("protein").unknown == ("moonroot",)
    assert held.content("iron").high == float("inf")
    assert held.content("calcium").high >= 50


def test_an_own_analysis_that_the_catalogue_contradicts_stands():
    held = formula(("duck", 100, {"moisture": 5, "protein": 60, "fat": 30}))
    assert held.content("protein").low == 60
    assert held.content("fat").high == 30


@pytest.mark.parametrize(
    ("text", "added"),
    [
        ("150 ml per 100 g", "1.5"),
        ("150 %", "1.5"),
        ("1,5 l per kg", "1.5"),
        ("300 ml to 100 g", "3"),
        ("1 part food, 2 parts water", "2"),
    ],
)
def test_water_to_add_as_sheets_say_it(text, added):
    assert formula(("duck", 100, {}), facts={"water_to_add": text}).added == Fraction(added)


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"finished_moisture": "wet"}, "is no percentage"),
        ({"finished_moisture": "100 %"}, "no moisture of a food"),
        ({"yield": "0 %"}, "is no yield"),
        ({"water_to_add": "a splash"}, "is no water to add"),
        ({"water_to_add": "300 ml"}, "is no water to add"),
        ({"water_to_add": "2 cups per cup"}, "is no water to add"),
    ],
)
def test_facts_that_say_nothing_are_refused_at_their_cell(facts, says):
    with pytest.raises(InputError, match=says):
        formula(("duck", 100, {}), facts=facts)
