"""Guarantees, calorie line and adequacy statement."""

from __future__ import annotations

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.findings import Finding
from panellint.core.source import Source
from panellint.lint.checks.support.label_parts import is_whole
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings

KIBBLE = (
    "Form: kibble\nGuaranteed analysis: crude protein (min) 26%, crude fat (min) 14%, "
    "crude fiber (max) 5%, moisture (max) 10%\n"
)


def ids(text: str, market: str | None = None) -> list[str]:
    return [one.rule for one in findings(text, market)]


def findings(text: str, market: str | None = None) -> list[Finding]:
    chosen = Settings().with_market(market)
    return list(lint(Source(text, "label.panel"), chosen, quick=True).findings)


@pytest.mark.parametrize(
    "text",
    ["duck, millet, salt", "Ingredients: duck, millet, salt", "Form: kibble\nIngredients: duck\n"],
)
def test_a_declaration_alone_owes_nothing_else(text: str) -> None:
    assert not is_whole(LabelContext.of(Source(text)))
    assert not {"guarantee-missing", "calorie-line", "adequacy-missing"} & set(ids(text))


def test_a_name_makes_it_a_label() -> None:
    text = "Product name: Duck Recipe for Dogs\nIngredients: duck, millet\n"
    assert {"guarantee-missing", "calorie-line", "adequacy-missing"} <= set(ids(text))
    assert not {"guarantee-missing", "calorie-line", "adequacy-missing"} & set(ids(text, "eu"))


def test_modified_atwater_of_the_guarantees_by_hand() -> None:
    # 100 - 26 - 14 - 5 - 10 - 7 (ash of a kibble, undeclared) = 38 % carbohydrate;
    # 10 (3.5 x 26 + 8.5 x 14 + 3.5 x 38) = 3430 kcal/kg (AAFCO PF9(a)(3)).
    text = KIBBLE + "Calorie content (calculated): 2,700 kcal/kg\n"
    (found,) = (one for one in findings(text) if one.rule == "calories-under-guarantees")
    assert found.proof == (
        "Carbohydrate by difference is 38 %, with 7 % ash assumed.",
        "10 x (3.5 x 26 + 8.5 x 14 + 3.5 x 38) = 3430 kcal/kg.",
    )


def test_the_weight_of_a_bag_is_no_second_figure_of_energy() -> None:
    text = f"{KIBBLE}Calorie content (calculated): 3,430 kcal/kg in a bag of 1,200 g\n"
    (found,) = (one for one in findings("Ingredients: duck\n" + text) if "per-unit" in one.rule)
    assert found.certainty == "proven"


@pytest.mark.parametrize(
    "text",
    [KIBBLE.replace(", moisture (max) 10%", ""), KIBBLE.replace("crude fat (min) 14%, ", "")],
)
def test_no_energy_is_made_up_where_a_figure_is_missing(text: str) -> None:
    assert "calories-under-guarantees" not in ids(text + "Calorie content: 2,000 kcal/kg\n")


@pytest.mark.parametrize(
    ("kcal", "rule"),
    [
        (2900, "calories-under-guarantees"),
        (2920, None),
        (3430, None),
        (4280, None),
        (4300, "calories-over-guarantees"),
    ],
)
def test_the_band_is_lopsided(kcal: int, rule: str | None) -> None:
    # 15 % below and 25 % above 3430 kcal/kg in a dry food: 2915.5 and 4287.5.
    text = f"{KIBBLE}Calorie content (calculated): {kcal} kcal/kg, {kcal // 10} kcal per cup\n"
    assert [one for one in ids(text) if one.startswith("calories-")] == ([rule] if rule else [])


@pytest.mark.parametrize(
    ("line", "fails"),
    [
        ("3,500 kcal/kg, 350 kcal/cup (100 g)", False),
        ("3,500 kcal/kg, 361 kcal/cup (103 g)", False),
        ("3,500 kcal/kg, 385 kcal/cup (100 g)", True),
        ("3,500 kcal/kg, 7 kcal/treat (2 g)", False),
    ],
)
def test_a_unit_has_the_calories_of_its_weight(line: str, fails: bool) -> None:
    text = f"Calorie content (calculated): {line}\n"
    assert ("calorie-unit-weight" in ids(text)) == fails


def test_minimums_cannot_exceed_the_whole_and_maximums_may() -> None:
    assert "guarantee-sum" in ids("Guaranteed analysis: protein min 60%, fat min 41%")
    loose = "Guaranteed analysis: protein min 10%, fat min 6%, fiber max 15%, moisture max 82%"
    assert not {"guarantee-sum", "guarantee-out-of-reach"} & set(ids(loose))


def test_a_declared_value_that_follows_another_of_its_name_contradicts_it() -> None:
    text = "Market: EU\nAnalytical constituents: fat content 10 %, fat content 14 %"
    assert "guarantee-figure" in ids(text)
    assert "guarantee-figure" not in ids(text.replace(", fat", "\nDuck: fat"))


def test_the_modernised_box_owes_other_lines() -> None:
    text = (
        "Product name: Duck Recipe\nIntended use: Complete Food for Adult Dogs\n"
        "Ingredients: duck, millet\nPet Nutrition Facts\nCrude protein (min) 26%\n"
        "Crude fat (min) 14%\nMoisture (max) 10%\n"
    )
    (finding,) = [one for one in findings(text) if one.rule == "guarantee-missing"]
    assert "total dietary fiber (max) and total carbohydrate (max)" in finding.message


def test_a_swapped_guarantee_offers_the_right_word() -> None:
    text = "Guaranteed analysis: crude protein (max) 26%\n"
    (finding,) = [one for one in findings(text) if one.rule == "guarantee-swapped"]
    (edit,) = finding.remedies[0].edits
    mended = text[: edit.span.start] + edit.text + text[edit.span.end :]
    assert "(min)" in mended
    assert "guarantee-swapped" not in ids(mended)


@pytest.mark.parametrize(
    ("name", "ingredients", "moisture", "fails"),
    [
        ("Beef Loaf", "water sufficient for processing, beef, salt", "84%", True),
        ("Beef Loaf", "water sufficient for processing, beef, salt", "78%", False),
        ("Beef Stew", "water sufficient for processing, beef, salt", "84%", False),
        # The ingredients' own moisture may be higher: pumpkin has about nine tenths.
        ("Pumpkin Topper", "pumpkin, apples", "88%", False),
        ("Beef Loaf", "water, beef, zorblat", "84%", False),
    ],
)
def test_the_ceiling_of_moisture(name: str, ingredients: str, moisture: str, fails: bool) -> None:
    text = (
        f"Product name: {name}\nIngredients: {ingredients}\n"
        f"Guaranteed analysis: moisture max {moisture}\n"
    )
    assert ("moisture-ceiling" in ids(text)) == fails


def test_a_treat_owes_no_statement_until_it_claims_to_be_complete() -> None:
    assert "adequacy-missing" not in ids("Product name: Beef Jerky Treats\nIngredients: beef\n")
    claimed = "Product name: Beef Jerky Treats\nIngredients: beef\nClaims: complete and balanced\n"
    assert "adequacy-missing" in ids(claimed)


def test_enzymes_are_read_by_their_activity_and_asked_where_they_are_claimed() -> None:
    text = "Product name: Beef Recipe for Dogs\nClaims: with digestive enzymes\nIngredients: beef\n"
    analysis = "Guaranteed analysis\nCrude protein (min) 26%\n"
    assert "claimed-not-guaranteed" in ids(text + analysis)
    given = text + analysis + "Protease* (Aspergillus oryzae) (min) 280 HUT/lb\n"
    assert not {"claimed-not-guaranteed", "enzyme-guarantee", "words-not-read"} & set(ids(given))
    label = LabelContext.of(Source(given)).label
    assert [(one.nutrient, str(one.value), one.unit) for one in label.guarantees][1:] == [
        ("enzymes", "280", "HUT/lb")
    ]
    two = given + "Acid protease* (Aspergillus niger) (min) 100 HUT/lb\n"
    assert "guarantee-figure" not in ids(two)


def test_one_cause_has_one_finding() -> None:
    text = "Product name: Beef Recipe for Dogs\nIngredients: beef, oats, {}\n{}\n"
    said = ids(text.format("salt", "Claims: Made with human grade turkey"))
    assert "human-grade-part" in said
    assert "made-with" not in said
    comfrey = ids(text.format("comfrey", ""))
    assert "unapproved-comfrey" in comfrey
    assert "hazard-at-a-dose" not in comfrey
    treats = ids("Product name: Beef Dog Treats\nIngredients: oats, rice, millet, rye, beef\n")
    assert "name-quarter" in treats
    assert "name-treat" not in treats


def test_what_a_text_was_read_off_may_stand_in_the_settings(tmp_path) -> None:
    text = "Product name: Beef Recipe for Dogs\nIngredients: beef\nFeeding: 90 g a day\n"
    asked = {"us-net-quantity", "us-maker-address"}
    assert asked <= set(ids(text))
    (tmp_path / "panellint.yaml").write_text("source: web page\n")
    settings = Settings.for_path(tmp_path / "a.panel")
    assert not asked & {one.rule for one in lint(Source(text), settings, quick=True).findings}


def test_words_that_a_claim_rule_judges_are_not_called_unread() -> None:
    text = (
        "Chicken Recipe Adult Dog Food\n\nWith Glucosamine for Healthy Joints. Grain Free "
        "Goodness. Vet Recommended. Helps reduce arthritis pain.\n\nIngredients: Chicken, oats.\n"
    )
    found = [one.rule for one in lint(Source(text), Settings()).findings]
    assert {"disease-claim", "endorsement-claim"} <= set(found)
    assert "words-not-read" not in found
