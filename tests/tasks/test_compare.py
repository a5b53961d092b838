"""Foods side by side."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.errors import ImpossibleFigure
from panellint.nutrition.assessment import Assessment
from panellint.nutrition.bounds import ContentBounds
from panellint.nutrition.energy import daily_energy
from panellint.nutrition.forms import form_of
from panellint.nutrition.statement import NutritionInput
from panellint.output.document import Table
from panellint.output.document_template import view
from panellint.tasks.compare import BASES, compare, words
from panellint.tasks.food import Food

MIN, MAX = (lambda value: ContentBounds(low=value)), (lambda value: ContentBounds(high=value))


def food(name, form, protein, fat, fibre, moisture, **more):
    printed = {
        "protein": MIN(protein), "fat": MIN(fat), "fibre": MAX(fibre), "moisture": MAX(moisture),
    }  # fmt: skip
    stated = {key: more.pop(key) for key in ("kcal_per_kg", "complete", "species") if key in more}
    facts = NutritionInput(printed, form_of(stated=form), **{"species": "dog", **stated})
    return Food(name, f"{name}.panel", Assessment(facts), **more)


CANNED = food("Canned", "canned", 8, 5, 1, 75)
DRY = food("Dry", "kibble", 27, 12, 3, 10)


def test_the_wet_food_s_smaller_number_is_the_larger_one():
    """FDA, Pet Food Labels - General (second-hand): 8 % at 75 % is 32 %, 27 % at 10 % is 30 %."""
    for foods in ([CANNED, DRY], [DRY, CANNED]):
        told = words(foods)
        assert told[0] == (
            "Canned has 8 % protein and Dry 27 %, as they are fed. But 75 % of Canned is water, "
            "against 10 % of Dry: without the water it is 32 % against 30 %. The smaller number "
            "is the larger one."
        )


def test_nothing_is_said_where_the_order_stays():
    assert words([food("A", "kibble", 30, 15, 3, 10), food("B", "kibble", 25, 12, 3, 10)]) == []


def test_sorted_by_what_is_picked_the_unknown_last():
    unknown = Food("Unknown", "u.panel", Assessment(NutritionInput({}, form_of(), species="dog")))
    foods = [unknown, DRY, CANNED]
    by_protein = compare(foods, sort_by="protein")
    assert [row["name"] for row in by_protein["foods"]] == ["Canned", "Dry", "Unknown"]
    as_fed = compare(foods, sort_by="protein", basis="as fed")
    assert [row["name"] for row in as_fed["foods"]] == ["Dry", "Canned", "Unknown"]
    by_name = compare(foods, sort_by="name")
    assert [row["name"] for row in by_name["foods"]] == ["Canned", "Dry", "Unknown"]


@pytest.mark.parametrize("basis", BASES)
def test_every_basis_tells_the_same_food(basis):
    row = compare([DRY], basis=basis)["foods"][0]
    # 27, 12, 3, 10, 7 and 41 %; 945 + 1020 + 1435 = 3400 kcal/kg.
    wanted = {"as fed": 27, "dry matter": 30, "per 1000 kcal": 79.4118, "energy share": 27.7941}
    assert row["values"]["protein"] == pytest.approx(wanted[basis])
    assert row["kcal_per_kg"] == pytest.approx(3400)


def test_costs_for_energy_and_for_a_day():
    """By hand: 34 for 5 kg at 3400 kcal/kg is 2.00 per 1000 kcal; a need of 838.4 kcal, 1.68."""
    priced = food("Dry", "kibble", 27, 12, 3, 10, price=34, net_weight_kg=5, currency="EUR")
    dear = food("Canned", "canned", 8, 5, 1, 75, price=3, net_weight_kg=0.4, currency="EUR")
    found = compare([dear, priced], sort_by="cost", needs={"dog": daily_energy("dog", 15)})
    assert [row["name"] for row in found["foods"]] == ["Dry", "Canned"]
    row = found["foods"][0]
    assert row["cost_per_1000_kcal"] == pytest.approx(2.0)
    assert row["cost_per_day"] == pytest.approx(1.6768, abs=0.0001)
    assert row["grams_per_day"] == pytest.approx(246.59, abs=0.01)
    assert found["animal"]["formula"] == "110 x 15^0.75"


def test_the_label_s_own_energy_goes_before_the_computed_one():
    row = compare([food("Dry", "kibble", 27, 12, 3, 10, kcal_per_kg=3600)])["foods"][0]
    assert (row["kcal_per_kg"], row["energy_from"]) == (3600, "label")


def test_prices_in_two_currencies_are_not_compared_nor_sorted_by():
    foods = [
        food("A", "kibble", 27, 12, 3, 10, price=34, net_weight_kg=5, currency="EUR"),
        food("B", "kibble", 27, 12, 3, 10, price=30, net_weight_kg=5, currency="USD"),
    ]
    found = compare(foods, sort_by="name")
    assert any("EUR and USD" in note for note in found["notes"])
    with pytest.raises(ImpossibleFigure, match="cannot be sorted by cost"):
        compare(foods, sort_by="cost")


def test_what_no_food_has_sorts_nothing():
    with pytest.raises(ImpossibleFigure, match="no food can be sorted by cost"):
        compare([DRY, CANNED], sort_by="cost")


def test_one_energy_goes_through_all_figures():
    """By the label 3600, computed 3400 kcal/kg: 27 % protein are 75 g or 79.4 g per 1000 kcal."""
    own = food("Own", "kibble", 27, 12, 3, 10, kcal_per_kg=3600)
    alone = compare([own], basis="per 1000 kcal")
    assert alone["foods"][0]["values"]["protein"] == pytest.approx(75)
    assert "labels' own throughout" in alone["notes"][0]
    both = compare([own, DRY], basis="per 1000 kcal")
    assert [row["energy_from"] for row in both["foods"]] == ["computed", "computed"]
    assert both["foods"][0]["values"]["protein"] == pytest.approx(79.4118)
    assert "computed throughout" in both["notes"][0]


def test_cats_stand_apart_from_dogs_each_with_its_need():
    cat = food("Cat", "canned", 12, 5, 1, 78, species="cat")
    needs = {"dog": daily_energy("dog", 4), "cat": daily_energy("cat", 4)}
    found = compare([cat, DRY], sort_by="protein", needs=needs)
    assert [row["species"] for row in found["foods"]] == ["dog", "cat"]
    dog, cat_row = found["foods"]
    # 110 x 4^0.75 = 311.1 kcal of 3400 a kg; 75 x 4^0.67 = 189.9 kcal.
    assert dog["grams_per_day"] == pytest.approx(91.5, abs=0.1)
    assert cat_row["grams_per_day"] * cat_row["kcal_per_kg"] / 1000 == pytest.approx(189.9, abs=0.1)
    assert found["animal"] is None
    assert [one["species"] for one in found["animals"]] == ["cat", "dog"]


def test_a_complete_food_is_not_set_against_a_topper():
    topper = food("Topper", "canned", 8, 5, 1, 75, complete=False)
    assert words([topper, DRY]) == []


def test_a_price_without_sense_costs_nothing():
    row = compare([food("A", "kibble", 27, 12, 3, 10, price=-1, net_weight_kg=5)])["foods"][0]
    assert row["cost_per_1000_kcal"] is None


def test_an_unknown_basis_or_order_is_refused_with_the_choices():
    with pytest.raises(ImpossibleFigure, match="unknown basis 'per bowl'; there are as fed"):
        compare([DRY], basis="per bowl")
    with pytest.raises(ImpossibleFigure, match="unknown order 'colour'"):
        compare([DRY], sort_by="colour")


@given(
    st.permutations([CANNED, DRY, food("Third", "kibble", 22, 10, 4, 9)]), st.sampled_from(BASES)
)
def test_the_order_never_depends_on_the_order_of_the_files(foods, basis):
    found = compare(foods, basis=basis, sort_by="fat")
    assert [row["name"] for row in found["foods"]] == [
        row["name"]
        for row in compare(sorted(foods, key=lambda f: f.name), basis=basis, sort_by="fat")["foods"]
    ]


def test_the_energy_beside_dry_matter_names_its_own_basis():
    """On dry matter a canned food of 75 % moisture holds four times its energy as fed."""
    tables = [
        block for block in view("compare")(compare([CANNED, DRY])) if isinstance(block, Table)
    ]
    assert tables[0].headings[-1] == "kcal/kg as fed"
