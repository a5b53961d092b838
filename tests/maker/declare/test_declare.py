"""Labels from batch sheets: entries, margins, names earned; lint passes what is written."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner

from panellint.cli import cli
from panellint.core.errors import PanellintError
from panellint.core.findings import Severity
from panellint.core.source import Source
from panellint.label.reader import read_label
from panellint.maker.batch import read_batch
from panellint.maker.component import BatchContent
from panellint.maker.context import weighed, with_batch
from panellint.maker.declare import Product, declare
from panellint.maker.declare.entries import printed
from panellint.maker.declare.guarantees import guaranteed
from panellint.maker.model import Batch, BatchLine, SheetCell
from panellint.maker.reconcile import reconcile
from panellint.rulepacks.data import data
from panellint.rulepacks.settings import Settings

SHEETS = Path(__file__).parents[3] / "corpus" / "sheets"
AT = SheetCell("sheet.csv", "", 2, 2)
US = Settings().with_market("us")
EU = Settings().with_market("eu")
DOG = Product(species="dog", form="fresh", unit="cup 200 g")
GRAVER = (Severity.ERROR, Severity.WARNING)


def batch(weights: dict[str, float], **members) -> Batch:
    lines = tuple(
        BatchLine(
            name,
            Fraction(str(weight)),
            AT,
            members=tuple(
                BatchLine(n, Fraction(str(w)), AT) for n, w in members.get(name, {}).items()
            ),
        )
        for name, weight in weights.items()
    )
    return Batch("sheet.csv", lines)


def ingredients(text: str) -> str:
    body = text.partition("Ingredients: ")[2] or text.partition("Composition: ")[2]
    return " ".join(body.partition("\n\n")[0].split())


@pytest.mark.parametrize(
    "sheet",
    [
        "duck-millet-freeze-dried.csv", "turkey-quinoa-fresh.xlsx", "lamb-kibble-eu.csv",
        "chicken-loaf-kitten.csv", "rabbit-air-dried-cat-eu.csv", "turkey-oat-puppy-baked.csv",
    ],
)  # fmt: skip
def test_lint_and_reconcile_pass_what_is_declared(sheet):
    read = read_batch(SHEETS / sheet)
    settings = Settings().with_market(read.facts["market"].lower())
    found = declare(read, Product(unit="cup 100 g"), settings, path="x.panel")
    assert [f.message for f in found.linted.findings if f.severity in GRAVER] == []
    printed_label = with_batch(Source(found.text, "x.panel"), read, settings)
    assert [f.message for f in reconcile(printed_label).findings if f.severity in GRAVER] == []


def test_entries_stand_in_order_merged_under_official_names():
    sheet = batch({"millet": 30, "chicken thigh": 20, "salt": 1, "chicken breast": 49})
    found = declare(sheet, DOG, US)
    assert ingredients(found.text) == "Chicken, millet, salt."


def test_members_of_a_premix_have_their_own_places_or_stand_as_a_group():
    premix = {"niacin supplement": 2, "biotin": 1}
    sheet = batch({"duck": 90, "premix": 3, "salt": 7}, premix=premix)
    assert ingredients(declare(sheet, DOG, US).text) == "Duck, salt, niacin supplement, biotin."
    modern = Settings().with_market("us", "modernised")
    text = ingredients(declare(sheet, DOG, modern).text)
    assert text == "Duck, salt, vitamins (niacin supplement, biotin)."


def test_a_bracket_that_qualifies_stays_and_other_marks_go():
    sheet = batch({"Duck (ground with bone)": 60, "Oats, rolled (grade 2)": 30, "Salt": 10})
    found = declare(sheet, DOG, US)
    assert ingredients(found.text) == "Duck (ground with bone), rolled oats, salt."
    assert "Product name: Duck Recipe for Dogs" in found.text


def test_a_preservative_says_its_purpose_in_the_united_states():
    text = declare(batch({"duck": 99.9, "mixed tocopherols": 0.1}), DOG, US).text
    assert "mixed tocopherols (a preservative)" in " ".join(text.split())


def test_europe_prints_the_percentage_of_what_is_named_and_lists_additives_apart():
    sheet = batch({"duck": 58, "millet": 41.9, "taurine": 0.1})
    found = declare(sheet, Product(name="Duck Menu for Cats", species="cat", form="fresh"), EU)
    assert ingredients(found.text) == "Duck (58 %), millet."
    assert "Nutritional additives: Taurine 1000 mg." in found.text
    every = declare(sheet, DOG, EU, percentages="all")
    assert ingredients(every.text) == "Duck (58 %), millet (41.9 %)."
    bone = batch({"Duck (ground with bone)": 58, "millet": 42})
    found = declare(bone, Product(name="Duck Menu for Dogs", species="dog", form="fresh"), EU)
    assert ingredients(found.text) == "Duck (ground with bone) (58 %), millet."
    none = declare(sheet, DOG, EU, percentages="none")
    assert ingredients(none.text) == "Duck, millet."


@pytest.mark.parametrize(
    ("share", "text"),
    [
        ("0.58", "58"),
        ("0.585", "58.5"),
        ("0.0425", "4.3"),
        ("0.004", "0.40"),
        ("0.1", "10"),
        ("0.0396", "3.96"),
    ],
)
def test_a_printed_percentage_is_within_half_a_unit_of_its_last_digit(share, text):
    assert printed(Fraction(share)) == text


def test_water_that_dries_away_is_not_declared_and_water_that_stays_is():
    sheet = batch({"water": 40, "duck": 35, "millet": 25})
    wet = declare(sheet, DOG, US)
    assert ingredients(wet.text).startswith("Water sufficient for processing, duck")
    dried = Batch(
        "sheet.csv",
        sheet.lines,
        facts={"finished_moisture": "9 %"},
        fact_places={"finished_moisture": AT},
    )
    assert ingredients(declare(dried, DOG, US).text) == "Duck, millet."


@pytest.mark.parametrize(
    ("side", "middle", "away", "expected"),
    [
        ("min", 26.0, 0, 26.0),
        ("min", 25.9, 0, 25.5),
        ("min", 26.0, 1.1, 24.5),
        ("max", 2.1, 0, 2.5),
        ("max", 9.9, 1, 11.0),
        ("min", 0.2, 1, 0.0),
    ],
)
def test_guarantees_are_rounded_to_the_safe_side(side, middle, away, expected):
    content = BatchContent(middle - 5, middle + 5, middle, "%")
    assert guaranteed(side, content, away, worst=False) == expected


# Measured less printed, on average: crude protein +1.5 points as fed, over 1,158 wet and 750 dry
# foods (Hill, Choate, Scott, Molenberghs 2009, JAVMA 234:347-351).
def test_a_margin_is_what_measured_foods_exceed_their_guarantee_by():
    own = {"protein": Fraction(30), "fat": Fraction(12), "fibre": Fraction(2),
           "moisture": Fraction(8), "ash": Fraction(7)}  # fmt: skip
    line = BatchLine("duck meal", Fraction(100), AT, analysis=own)
    food = Product(species="dog", form="baked", unit="cup 100 g")
    facts = {"facts": {"finished_moisture": "8 %"}, "fact_places": {"finished_moisture": AT}}
    text = declare(Batch("a.csv", (line,), **facts), food, US).text
    assert "Crude protein (min.) ...... 28.5%" in text
    # By the maker's own spread: 1.645 standard deviations leave one batch in twenty below.
    spread = dict.fromkeys(own, Fraction(1))
    measured = Batch("a.csv", (replace(line, spread=spread),), **facts)
    assert "Crude protein (min.) ...... 28.0%" in declare(measured, food, US).text


def test_an_ingredient_of_weight_without_a_figure_gives_no_guarantee():
    sheet = batch({"code 77": 90, "thing x": 10})
    found = declare(sheet, DOG, US)
    assert not any(word in found.text for word in ("(min.)", "(max.)", "kcal"))
    assert any("nothing is said of protein, fat" in note for note in found.notes)
    assert any(note.startswith("mass balance: not known") for note in found.notes)
    text = declare(batch({"Zutat A": 60, "Zutat B": 40}), DOG, EU).text
    assert not any(word in text for word in ("%", "kcal"))
    meal = declare(batch({"duck": 70, "meal 4711": 30}), DOG, US).text
    assert "Crude fiber" not in meal


def test_two_names_of_one_ingredient_are_one_entry_under_the_heavier():
    sheet = batch({"maize": 20, "corn": 30, "duck": 50})
    found = declare(sheet, DOG, US)
    assert ingredients(found.text) == "Corn, duck." or ingredients(found.text) == "Duck, corn."
    label = with_batch(Source(found.text, "x.panel"), sheet, US)
    assert [f.rule for f in reconcile(label).findings if f.severity in GRAVER] == []


def test_names_are_spelled_as_the_market_does():
    sheet = batch(
        {"Duck": 90, "Zinc Sulphate": 5, "Red 40": 1, "Deboned Salmon:": 3, "Vitamin E Blend": 0.5}
    )
    assert ingredients(declare(sheet, DOG, US).text) == (
        "Duck, zinc sulfate, deboned salmon, Red 40, vitamin E blend."
    )


def test_the_weights_of_a_split_family_keep_no_label_from_being_written():
    found = declare(batch({"duck": 50, "oats": 40, "oatmeal": 10}), DOG, US)
    assert ingredients(found.text) == "Duck, oats, oatmeal."


# A sheet with its own analyses: the worst case is no riskier for the maker than the usual one.
def test_the_worst_case_is_never_nearer_than_the_margin():
    own = {"protein": Fraction(65), "moisture": Fraction(6), "fat": Fraction(12)}
    sheet = replace(
        batch({"meal": 60, "rice": 40}),
        lines=(
            BatchLine("meal", Fraction(60), AT, analysis=own),
            BatchLine("rice", Fraction(40), AT, analysis={**own, "protein": Fraction(7)}),
        ),
    )
    context = declare(sheet, DOG, US).context
    content = weighed(context).content("protein")
    assert guaranteed("min", content, 1.0, True) <= guaranteed("min", content, 1.0, False)


def test_a_name_that_the_recipe_does_not_bear_is_refused_and_forced_with_the_finding():
    sheet = batch({"duck": 56.5, "oats": 43.5})
    named = Product(name="Duck for Dogs", species="dog", form="fresh", unit="cup 200 g")
    with pytest.raises(PanellintError, match="promises 95 %"):
        declare(sheet, named, US)
    text = " ".join(declare(sheet, named, US, force=True).text.split())
    assert "Note: “Duck” does not hold by the batch sheet: duck is less than 95 %" in text


def test_an_adequacy_statement_that_the_recipe_does_not_bear_is_refused():
    sheet = batch({"potato starch": 100})
    whole = Product(species="dog", form="fresh", stage="growth", complete=True, unit="cup 200 g")
    with pytest.raises(PanellintError, match="The label claims the profile"):
        declare(sheet, whole, US)


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"yield": "20 %"}, "a yield of 20 % is below the dry matter that goes in"),
        ({"yield": "0.62"}, "`0.62` may be 0.62 % or 62 %"),
        ({"yield": "60 %", "finished_moisture": "8 %"}, "a yield of 60 % does not fit"),
        ({"finished_moisture": "80 %"}, "the finished food is heavier than the mix"),
        ({"yield": "130 %"}, "the finished food is heavier than the mix"),
    ],
)
def test_a_mass_balance_that_cannot_be_is_refused(facts, says):
    sheet = batch({"duck": 30, "oats": 70})
    sheet = Batch("a.csv", sheet.lines, facts=facts, fact_places=dict.fromkeys(facts, AT))
    with pytest.raises(PanellintError, match=says):
        declare(sheet, DOG, US)


def test_the_mass_balance_is_told_with_the_label():
    own = {"moisture": Fraction(60), "protein": Fraction(20), "fat": Fraction(15),
           "fibre": Fraction(0), "ash": Fraction(5)}  # fmt: skip
    line = BatchLine("duck", Fraction(100), AT, analysis=own)
    facts = {"facts": {"finished_moisture": "20 %"}, "fact_places": {"finished_moisture": AT}}
    notes = declare(Batch("a.csv", (line,), **facts), DOG, US).notes
    assert (
        "mass balance: 100 kg of the mix (60 kg of water, 40 kg of dry matter) lose 50 kg of water "
        "and leave 50 kg of food at 20 % moisture" in notes
    )


# 78 % unless the ingredients hold more of themselves: Ohio OAC 901:5-7-20(A).
def test_a_margin_does_not_carry_moisture_over_the_ceiling():
    found = declare(batch({"sweet potatoes": 97, "duck": 3}), DOG, US)
    assert weighed(found.context).content("moisture").middle < 78
    assert "Moisture (max.) ........... 78.0%" in found.text


# Above 14 % moisture is declared: Regulation (EC) 767/2009, annex I point 6.
@pytest.mark.parametrize(
    ("form", "moisture", "declared"),
    [("kibble", "14 %", False), ("kibble", "14.04 %", True), ("fresh", "12 %", True)],
)
def test_europe_declares_moisture_above_the_limit_and_in_moist_forms(form, moisture, declared):
    sheet = batch({"duck meal": 40, "oats": 60, "water": 10})
    facts, places = {"finished_moisture": moisture}, {"finished_moisture": AT}
    sheet = Batch("sheet.csv", sheet.lines, facts=facts, fact_places=places)
    found = declare(sheet, Product(species="dog", form=form), EU)
    assert (", moisture 1" in " ".join(found.text.split())) is declared
    assert [f.rule for f in found.linted.findings if f.severity in GRAVER] == []


# A supplement is mostly additives: no formula was found for such a label.
def test_a_food_of_many_additives_that_europe_lists_apart_is_passed():
    sheet = batch({"oats": 62, "zinc sulfate": 8, "taurine": 30})
    found = declare(sheet, Product(species="cat", form="fresh"), EU)
    assert "Taurine 300000 mg" in found.text
    rules = [one.rule for one in found.linted.findings]
    assert "no-formula-fits" not in rules


def test_the_worst_case_takes_the_end_of_the_range():
    content = BatchContent(20.3, 30.2, 26.0, "%")
    assert guaranteed("min", content, 1, worst=True) == 20.0
    assert guaranteed("max", content, 1, worst=True) == 30.5
    # An analysis of one's own has no range: the worst case keeps the margin.
    assert guaranteed("min", BatchContent(26, 26, 26, "%"), 1, worst=True) == 25.0


@pytest.mark.parametrize("margin", [0.0, 1.0, 3.0])
def test_guarantees_hold_by_the_batch_at_any_margin(margin):
    sheet = batch({"duck": 60, "oats": 40})
    text = declare(sheet, DOG, US, margin=margin).text
    findings = reconcile(with_batch(Source(text, "x.panel"), sheet, US)).findings
    assert not [f for f in findings if f.rule == "sheet-guarantee"]


# North Dakota Administrative Code 7-17-03-01: 95, 25 and 3 per cent without processing water.
@pytest.mark.parametrize(
    ("share", "tier"),
    [(96, "ninety-five"), (95, "ninety-five"), (94.9, "quarter"), (25, "quarter"), (24.9, "with"),
     (3, "with"), (2.9, "flavour")],
)  # fmt: skip
def test_the_best_name_is_that_of_the_highest_tier_earned(share, tier):
    found = declare(batch({"duck": share, "barley": 100 - share}), DOG, US)
    mine = [one for one in found.tiers if one["named"] == ["duck"]]
    assert [one["tier"] for one in mine if one["earned"]] == [tier]
    assert all(not one["earned"] for one in mine[:-1])


def test_a_name_not_earned_says_by_how_much():
    found = declare(batch({"duck": 41, "barley": 59}), DOG, US)
    assert (
        "duck: may be called “Duck Recipe for Dogs”; not “Duck for Dogs”: duck at 41 % of the mix "
        "without processing water, short of 95 %." in found.notes
    )


def test_a_plant_earns_no_bare_name_where_only_animals_count():
    found = declare(batch({"carrots": 97, "duck": 3}), DOG, US)
    bare = [
        one for one in found.tiers if one["named"] == ["carrots"] and one["tier"] == "ninety-five"
    ]
    assert not any(one["earned"] for one in bare)


def test_a_complete_food_says_so_and_an_incomplete_one_says_that():
    sheet = batch({"duck": 60, "oats": 40})
    whole = Product(species="dog", form="fresh", stage="growth", complete=True)
    text = " ".join(declare(sheet, whole, US, force=True).text.split())
    assert "AAFCO Dog Food Nutrient Profiles for growth, except for growth of large-size" in text
    partial = " ".join(declare(sheet, DOG, US).text.split())
    assert "intermittent or supplemental feeding only" in partial
    assert "Complementary pet food for dogs" in declare(sheet, DOG, EU).text


@pytest.mark.parametrize(
    ("product", "says"),
    [
        (Product(form="fresh"), "no species is stated"),
        (Product(species="dog", form="kibble"), "state its moisture or the yield"),
    ],
)
def test_what_is_missing_is_asked_for(product, says):
    with pytest.raises(PanellintError, match=says):
        declare(batch({"duck": 60, "oats": 40}), product, US)


def test_the_command_writes_a_panel_file_whole_and_never_over_its_input(tmp_path):
    sheet = tmp_path / "a.csv"
    sheet.write_text("Species: dog\nForm: fresh\nIngredient,kg\nDuck,60\nOats,40\n")
    out = tmp_path / "a.panel"
    done = CliRunner().invoke(cli, ["declare", str(sheet), "--output", str(out)])
    # No familiar unit is stated: what is written has an error.
    assert done.exit_code == 1, done.output
    assert "Ingredients: Duck, oats." in out.read_text()
    before = sheet.read_bytes()
    out.write_text(f"{out.read_text()}Net weight: 1 kg\n")
    assert CliRunner().invoke(cli, ["declare", str(sheet), "--output", str(sheet)]).exit_code == 2
    assert CliRunner().invoke(cli, ["declare", str(sheet), "--output", str(out)]).exit_code == 2
    assert sheet.read_bytes() == before


def test_json_holds_the_panel_and_the_names(tmp_path):
    done = CliRunner().invoke(
        cli, ["declare", str(SHEETS / "chicken-loaf-kitten.csv"), "--format", "json", "--quiet"]
    )
    data = json.loads(done.stdout)
    assert data["panel"].startswith("Product name: ")
    assert any(one["earned"] for one in data["names"])
    assert {"finished_food", "dry_matter", "energy"} <= data["analysis"].keys()


def _dry(sheet: Batch) -> Batch:
    place = {"finished_moisture": AT}
    return replace(sheet, facts={"finished_moisture": "8 %"}, fact_places=place)


LANGUAGES = tuple(data("words/statutory")["languages"])


@pytest.mark.parametrize("languages", [("de", "fr", "pl"), LANGUAGES])
@pytest.mark.parametrize("complete", [True, False])
def test_a_european_label_says_its_statements_again_in_other_languages(
    languages: tuple[str, ...], complete: bool
) -> None:
    sheet = batch({"chicken": 30, "rice": 40, "maize": 16, "poultry fat": 12, "taurine": 0.1})
    product = Product("Chicken Menu for Dogs", "dog", "kibble", "maintenance", complete=complete)
    written = declare(_dry(sheet), product, EU, force=True, languages=("en", *languages))
    label = read_label(Source(written.text))
    assert [one.language for one in label.translations] == ["en", *languages]
    for one in label.translations:
        assert len(one.guarantees) == 4
        assert [added.value for added in one.additives] == [label.additives[0].value]
        (stated,) = one.adequacy
        assert stated.route == ("complete" if complete else "complementary")
        assert (stated.species, stated.stages) == ("dog", ("maintenance",))
    assert not [one for one in written.linted.findings if one.rule == "lists-differ"]
    unread = [one for one in written.label.ledger.unread if one.maybe]
    assert not unread


def test_words_of_memory_and_names_without_a_translation_are_said() -> None:
    sheet = batch({"chicken": 60, "quillbrook dust": 40})
    written = declare(_dry(sheet), DOG, EU, force=True, languages=("de", "pl"))
    assert "not known in this language (de), printed in English: quillbrook dust" in written.notes
    assert any("(pl) are from memory" in note for note in written.notes)
    assert not any("(de) are from memory" in note for note in written.notes)


@pytest.mark.parametrize(("market", "languages"), [(EU, ("xx",)), (US, ("de",))])
def test_a_language_without_statutory_words_is_refused(market, languages) -> None:
    with pytest.raises(PanellintError, match="no words in"):
        declare(_dry(batch({"chicken": 1})), DOG, market, force=True, languages=languages)


def test_a_sheet_in_another_language_is_read_and_declared_in_each():
    sheet = batch({"Lamm": 60, "Reis": 20, "Lammleber": 15, "Karotten": 4.5, "Salz": 0.5})
    found = declare(sheet, DOG, EU, languages=("de",))
    assert ingredients(found.text) == "Lamb (60 %), rice, lamb liver, carrot, salt."
    assert "Zusammensetzung: Lamm (60 %), Reis, Lammleber, Karotte, Salz." in found.text
    assert not [note for note in found.notes if "not known" in note]


def test_words_behind_a_comma_stand_before_the_name_that_is_listed_so():
    sheet = batch({"Chicken, deboned": 60, "Oats, rolled": 25, "rice brown": 15})
    found = declare(sheet, DOG, EU)
    assert ingredients(found.text).startswith("Deboned chicken (60 %), rolled oats")
    assert "brown rice" in found.text


def test_no_line_of_constituents_stands_empty():
    found = declare(batch({"quarnip": 60, "zelbroot": 40}), DOG, EU)
    assert "Analytical constituents" not in found.text


def test_what_a_name_of_two_falls_short_of_says_what_counts():
    found = declare(batch({"turkey": 60, "pumpkin": 30, "rice": 10}), DOG, US)
    (words,) = (note for note in found.notes if note.startswith("turkey and pumpkin:"))
    assert "not “Turkey & Pumpkin for Dogs”: Turkey at 60 % of the mix" in words


def test_a_rule_that_only_informs_forbids_no_name():
    """A menu named for two needs 26 % of both together."""
    found = declare(batch({"salmon": 45, "potato": 20, "peas": 35}), DOG, EU)
    menus = [row for row in found.tiers if len(row["named"]) == 2 and row["tier"] == "dish"]
    assert [row["earned"] for row in menus] == [True]
