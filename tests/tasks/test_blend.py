"""Blends of two foods to a target."""

import pytest

from panellint.catalogue import load
from panellint.catalogue.model import CatalogueEntry, Figure, Range
from panellint.core.errors import ImpossibleFigure, MissingFigure
from panellint.nutrition.assessment import Assessment
from panellint.nutrition.bases import Analysis
from panellint.nutrition.bounds import ContentBounds
from panellint.nutrition.energy import daily_energy, modified_atwater
from panellint.nutrition.forms import form_of
from panellint.nutrition.statement import NutritionInput
from panellint.nutrition.targets import Target
from panellint.tasks.blend import Portion, blend, portion_of, portion_of_known


def portion(name, *parts, complete=None):
    food = Analysis(*parts)
    kcal = modified_atwater(food)
    return Portion(name, food, kcal, complete)


KIBBLE = portion("Kibble", 26, 14, 5, 8, 7, 40, complete=True)
MEAT = portion("Meat", 20, 10, 0, 68, 1, 1, complete=False)


def test_meat_to_a_kibble_by_hand():
    """Carbohydrate to 30 % of the energy, kcal per kg: 1400 of 3500 and 35 of 1585.

    1400 + 35 k = 0.3 (3500 + 1585 k), so k = 350 / 440.5 = 0.79455 kg to each kg.
    """
    found = blend(KIBBLE, MEAT, Target("carbohydrate", "energy share", 30))
    assert found["possible"]
    assert found["added_grams_per_kg_of_base"] == pytest.approx(794.55, abs=0.01)
    assert found["reached"] == 30
    assert found["energy"]["shares"]["carbohydrate"] == pytest.approx(30)
    assert found["added_energy_percent"] == pytest.approx(
        100 * 0.79455 * 1585 / (3500 + 0.79455 * 1585), abs=0.01
    )


def test_every_basis_of_the_bowl_is_told_and_agrees():
    found = blend(KIBBLE, MEAT, Target("protein", "dry matter", 40))
    fed, dry = found["bases"]["as_fed"], found["bases"]["dry_matter"]
    assert dry["protein"] == pytest.approx(40, abs=1e-3)
    assert fed["protein"] / (100 - fed["moisture"]) * 100 == pytest.approx(40, abs=1e-3)
    assert found["bases"]["per_1000_kcal"]["protein"] == pytest.approx(
        fed["protein"] * 10_000 / found["energy"]["kcal_per_kg"], abs=1e-3
    )


def test_amounts_of_a_day_give_the_day_s_energy():
    need = daily_energy("dog", 15)
    day = blend(KIBBLE, MEAT, Target("fat", "energy share", 40), need=need)["per_day"]
    kcal = day["base_grams"] * 3.5 + day["added_grams"] * 1.585
    assert kcal == pytest.approx(need.kcal, abs=0.01)
    assert day["base_grams"] + day["added_grams"] == pytest.approx(day["grams"], abs=1e-3)


def test_an_impossible_target_is_said_to_be_so_with_the_nearest():
    found = blend(KIBBLE, MEAT, Target("protein", "dry matter", 80, "at least"))
    assert not found["possible"]
    assert found["share_percent"] == 100
    assert found["added_grams_per_kg_of_base"] is None
    assert found["reached"] == pytest.approx(62.5)
    assert found["words"][0] == (
        "No blend has protein at least 80 % of the dry matter. The nearest that can be reached "
        "is Meat alone: protein at 62.5 % of the dry matter."
    )


def test_nothing_to_add_where_the_base_meets_it():
    found = blend(KIBBLE, MEAT, Target("carbohydrate", "as fed", 45, "at most"))
    assert (found["possible"], found["share_percent"]) == (True, 0)
    assert found["words"][0].startswith("Nothing need be added")


def test_more_than_a_tenth_of_the_energy_from_an_incomplete_food_is_said():
    """The tenth is a custom of the trade without a source."""
    much = blend(KIBBLE, MEAT, Target("carbohydrate", "energy share", 30))["completeness"]
    assert much["over"]
    assert much["practice"] is True
    # 10 x 3500 / (10 x 3500 + 90 x 1585) of the weight gives a tenth of the energy.
    assert much["share_percent_at_customary_most"] == pytest.approx(19.70, abs=0.01)
    little = blend(KIBBLE, MEAT, Target("carbohydrate", "energy share", 38))
    assert not little["completeness"]["over"]
    assert any("customary most is 10 %" in sentence for sentence in little["words"])


def test_a_food_that_does_not_say_counts_as_not_complete():
    unsaid = portion("Topper", 20, 10, 0, 68, 1, 1)
    found = blend(KIBBLE, unsaid, Target("carbohydrate", "energy share", 30))
    completeness = found["completeness"]
    assert completeness["incomplete_energy_percent"] == found["added_energy_percent"]
    assert completeness["over"]
    said = "Whether Topper is a complete food is not said; it is counted as not complete."
    assert said in found["words"]


def test_two_incomplete_foods_are_all_of_the_energy():
    other = portion("Other", 26, 14, 5, 8, 7, 40, complete=False)
    found = blend(other, MEAT, Target("carbohydrate", "energy share", 30))
    assert found["completeness"]["incomplete_energy_percent"] == 100


def test_a_panel_s_food_and_its_refusal():
    printed = {
        "protein": ContentBounds(low=26),
        "fat": ContentBounds(low=14),
        "fibre": ContentBounds(high=5),
        "moisture": ContentBounds(high=8),
    }
    food = Assessment(
        NutritionInput(printed, form_of(stated="kibble"), species="dog", complete=True)
    )
    assert portion_of(food, "Kibble").kcal_per_kg == pytest.approx(3500)
    with pytest.raises(MissingFigure, match=r"Nothing has no energy .*not given"):
        portion_of(Assessment(NutritionInput({}, form_of(), species="dog")), "Nothing")


def figure(low, high):
    return Figure(Range(low, high), "%", "test table")


def test_an_ingredient_without_a_table_stands_at_the_middle_of_its_ranges():
    beef = CatalogueEntry(
        "beef-of-a-test",
        ("beef",),
        "meat",
        "animal",
        figures={
            "moisture": figure(60, 72), "protein": figure(17, 22), "fat": figure(5, 20),
            "ash": figure(0.8, 1.2),
        },
    )  # fmt: skip
    found = portion_of_known(beef)
    assert found.estimated
    assert (found.analysis.fibre, found.analysis.protein) == (0, 19.5)
    assert found.analysis.carbohydrate == pytest.approx(100 - 66 - 19.5 - 12.5 - 1.0)
    told = blend(KIBBLE, found, Target("protein", "dry matter", 35))
    assert any("an estimate" in sentence for sentence in told["words"])


@pytest.mark.parametrize(
    ("name", "protein", "fat"),
    [
        # NDB 05062, 05091, 23557, 23572: protein and fat, g per 100 g.
        ("skinless chicken breast", 22.50, 2.62),
        ("chicken thigh with skin", 16.52, 16.61),
        ("ground beef 95/5", 21.41, 5.00),
        ("ground beef 80/20", 17.17, 20.00),
    ],
)
def test_a_cut_stands_at_its_row_of_the_usda_table(name, protein, fat):
    found = portion_of_known(load().lookup(name).known).analysis
    scale = found.protein / protein
    assert scale == pytest.approx(1, abs=0.02)
    assert found.fat / fat == pytest.approx(scale)


def test_a_leaner_cut_reaches_what_the_usual_one_does_not():
    """Of the energy of an egg a third is protein, of egg white nine tenths."""
    target = Target("protein", "energy share", 50)
    egg, white = (portion_of_known(load().known(id)) for id in ("egg", "egg-white"))
    assert not blend(KIBBLE, egg, target)["possible"]
    assert blend(KIBBLE, white, target)["possible"]


def test_how_much_may_be_needed_over_the_ranges_of_an_ingredient():
    """Every food in the ranges needs a share between the two, and the ends are reached."""
    ranges = {
        "protein": Range(18, 22), "fat": Range(4, 12), "fibre": Range(0, 0),
        "moisture": Range(66, 74), "ash": Range(1, 1), "carbohydrate": Range(0, 2),
    }  # fmt: skip
    target = Target("carbohydrate", "energy share", 30)
    middle = Portion("Meat", Analysis(20, 8, 0, 70, 1, 1), 1415, False, box=ranges)
    between = blend(KIBBLE, middle, target)["share_percent_range"]
    ends = [100.0, 0.0]
    for moisture in (66, 68, 70, 72, 74):
        for fat in (4, 6, 8, 10, 12):
            for rest in (0, 1, 2):
                protein = 100 - moisture - fat - 1 - rest
                if not 18 <= protein <= 22:
                    continue
                food = portion("One", protein, fat, 0, moisture, 1, rest, complete=False)
                share = blend(KIBBLE, food, target)["share_percent"]
                assert between["low"] - 1e-3 <= share <= between["high"] + 1e-3
                ends = [min(ends[0], share), max(ends[1], share)]
    assert ends == pytest.approx([between["low"], between["high"]], abs=1e-3)


def test_ranges_so_wide_that_the_far_end_never_gets_there():
    wide = dict.fromkeys(("protein", "fat", "moisture", "ash"), Range(0, 100))
    box = {**wide, "fibre": Range(0, 0), "carbohydrate": Range(0, 60)}
    vague = Portion("Vague", Analysis(20, 8, 0, 70, 1, 1), 1415, False, box=box)
    found = blend(KIBBLE, vague, Target("carbohydrate", "energy share", 30))
    assert found["share_percent_range"]["high"] is None
    assert "no share is enough" in found["words"][-1]


def test_parts_that_pass_the_whole_are_scaled_to_it():
    fatty = CatalogueEntry(
        "lard-cut",
        ("fat trim",),
        "meat",
        "animal",
        figures={
            "moisture": figure(20, 60), "protein": figure(5, 20), "fat": figure(40, 90),
            "ash": figure(0, 1),
        },
    )  # fmt: skip
    parts = portion_of_known(fatty).analysis.as_dict()
    assert sum(value for value in parts.values() if value is not None) == pytest.approx(100)
    assert parts["carbohydrate"] == 0


def test_an_ingredient_without_figures_is_refused():
    pea = CatalogueEntry(
        "pea-fibre", ("pea fiber",), "fibre", "plant", figures={"moisture": figure(5, 10)}
    )
    with pytest.raises(MissingFigure, match="no protein and no fat and no fibre and no ash"):
        portion_of_known(pea)


@pytest.mark.parametrize(
    ("target", "words"),
    [
        (Target("starch", "as fed", 10), "no target can be set for 'starch'"),
        (Target("protein", "per bowl", 10), "unknown basis"),
        (Target("protein", "as fed", -1), "a target of -1"),
        (Target("protein", "as fed", 10, "roughly"), "unknown sense"),
        (Target("ash", "energy share", 10), "gives no energy"),
    ],
)
def test_a_target_without_sense_is_refused(target, words):
    with pytest.raises(ImpossibleFigure, match=words):
        blend(KIBBLE, MEAT, target)
