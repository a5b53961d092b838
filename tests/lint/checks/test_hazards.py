"""Hazards: the graded table, the doses as published, and what is wrongly feared.

Doses: Robertson et al. 1998, J Am Vet Med Assoc 212:1260 (onion powder, cats); Lee et al. 2000,
Am J Vet Res 61:1446 (garlic, dogs); Merck/MSD Veterinary Manual (xylitol, methylxanthines);
McKenzie et al. 2000, Aust Vet J 78:688 (macadamia); Bedford & Clarke 1972, Vet Rec 90:53
(benzoic acid, cats); Cope 2005, Vet Med (onion).
"""

from __future__ import annotations

import pytest

from panellint.catalogue import load
from panellint.core.findings import Finding
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings


def hazards(species: str, ingredients: str, head: str = "") -> list[Finding]:
    text = f"{head}Species: {species}\nIngredients: {ingredients}\n"
    found = lint(Source(text, "hazard.panel"), Settings(), quick=True).findings
    return [f for f in found if "hazard" in f.rule or "propylene" in f.rule]


@pytest.mark.parametrize(
    ("id", "species", "dose"),
    [
        ("onion", "cat", "5 g/kg"),
        ("onion", "dog", "15-30 g/kg"),
        ("onion-powder", "cat", "2.5 %"),
        ("garlic", "dog", "5 g/kg a day for 7 days"),
        ("xylitol", "dog", "0.1 g/kg"),
        ("xylitol", "dog", "0.5 g/kg"),
        ("cocoa", "dog", "20 mg/kg"),
        ("cocoa", "dog", "60"),
        ("macadamia", "dog", "0.7-4.9 g/kg"),
        ("benzoates", "cat", "0.5 % of the diet"),
    ],
)
def test_doses_as_published(id: str, species: str, dose: str) -> None:
    known = load().known(id)
    assert any(dose in hazard.dose for hazard in known.hazards if hazard.species == species)


@pytest.mark.parametrize(
    ("species", "name", "severity"),
    [
        ("dog", "xylitol", "error"),
        ("dog", "chocolate", "error"),
        ("dog", "cocoa powder", "error"),
        ("dog", "grapes", "error"),
        ("dog", "sultanas", "error"),
        ("dog", "tamarind", "error"),
        ("dog", "cream of tartar", "error"),
        ("dog", "macadamia nuts", "error"),
        ("dog", "onions", "error"),
        ("cat", "leeks", "error"),
        ("cat", "chives", "error"),
        ("cat", "onion powder", "error"),
        ("cat", "sodium benzoate", "error"),
        ("dog", "coffee", "error"),
        ("dog", "hops", "error"),
        ("dog", "tea tree oil", "error"),
        ("dog", "onion powder", "warning"),
        ("dog", "garlic powder", "warning"),
        ("cat", "garlic", "warning"),
        ("dog", "avocado", "warning"),
    ],
)
def test_the_graded_table(species: str, name: str, severity: str) -> None:
    found = hazards(species, f"chicken, oats, {name}")
    assert [(f.severity.value, f.certainty.value) for f in found] == [(severity, "possible")]


@pytest.mark.parametrize(
    ("species", "name"),
    [
        ("dog", "blackcurrants"),
        ("dog", "redcurrants"),
        ("dog", "carob"),
        ("dog", "avocado oil"),
        ("dog", "brewers dried yeast"),
        ("dog", "cassava flour"),
        ("dog", "tapioca starch"),
        ("dog", "sodium benzoate"),
        ("dog", "propylene glycol"),
        ("cat", "xylitol"),
        ("cat", "macadamia nuts"),
        ("cat", "coconut oil"),
        ("dog", "dried kelp"),
    ],
)
def test_no_alarm_about_what_is_wrongly_feared_or_is_little(species: str, name: str) -> None:
    assert hazards(species, f"chicken, oats, peas, carrots, salt, {name}") == []


def test_propylene_glycol_is_told_once_and_for_certain() -> None:
    found = hazards("cat", "chicken, propylene glycol")
    assert [(f.rule, f.certainty.value) for f in found] == [
        ("propylene-glycol-in-cat-food", "proven")
    ]


def test_where_no_rule_bars_it_the_hazard_speaks() -> None:
    (one,) = hazards("cat", "chicken, propylene glycol", "Market: UK\n")
    assert (one.rule, one.certainty.value) == ("hazard", "possible")
    assert "not permitted in cat food" in one.message


def test_the_share_becomes_a_daily_dose() -> None:
    # Third of a plain list is at most a third; at 25 g of dry food per kg of body weight that
    # is 8.33 g/kg a day.
    (found,) = hazards("dog", "chicken, oats, raisins", "Form: kibble\n")
    assert "at most 33.3 % of the mix" in found.message
    assert "8.33 g/kg at most" in found.message
    assert "order" in found.rests_on


@pytest.mark.parametrize(
    "beside",
    [
        "Product name: Garlic Topper\n",
        "Product name: Garlic Bowl\n"
        "Nutritional adequacy: This product is intended for intermittent or supplemental feeding "
        "only.\n",
    ],
)
def test_a_food_beside_a_diet_is_no_full_ration(beside: str) -> None:
    """A third of a tenth of 25 g of dry food per kg of body weight is 0.83 g/kg, and not 8.33."""
    text = f"Species: dog\nForm: kibble\n{beside}Ingredients: chicken, oats, garlic\n"
    found = lint(Source(text, "x.panel"), Settings(), quick=True).findings
    (message,) = [one.message for one in found if one.rule.startswith("hazard")]
    assert "as 10 % of what is eaten (practice), at 1.2 to 2.5 g" in message
    assert "0.833 g/kg at most" in message


def test_a_food_for_both_is_judged_for_both() -> None:
    text = "Product name: Topper for Dogs & Cats\nIngredients: pumpkin, raisins, sodium benzoate\n"
    found = lint(Source(text, "both.panel"), Settings(), quick=True).findings
    told = {f.message.split(":")[0]: f.message for f in found if f.rule == "hazard"}
    assert "unsafe for dogs," in told["raisins"]
    assert "unsafe for cats," in told["sodium benzoate"]


@pytest.mark.parametrize(
    ("species", "ingredients", "severity"),
    [
        ("dog", "chicken, oats, garlic powder, salt", "warning"),
        ("dog", "chicken, oats, salt, garlic powder", "hint"),
        ("cat", "chicken, oats, salt, garlic powder", "warning"),
        ("dog", "chicken, oats, salt, onion powder", "warning"),
    ],
)
def test_a_trace_of_garlic_is_a_judgement_for_dogs(
    species: str, ingredients: str, severity: str
) -> None:
    # 1 % of 25 g/kg is 0.25 g/kg a day, as powder threefold 0.75: a seventh of the 5 g/kg that
    # Lee et al. 2000 fed. No dose is published for cats.
    assert [f.severity.value for f in hazards(species, ingredients)] == [severity]


def test_liver_is_a_treat_and_no_diet() -> None:
    assert hazards("cat", "chicken liver", "Product name: Chicken Liver Treats\n") == []
    (found,) = hazards("cat", "chicken liver, salt", "Product name: Chicken Liver Loaf\n")
    assert "vitamin A" in found.message


@pytest.mark.parametrize("liver", ["chicken liver", "pheasant liver", "freeze-dried quail liver"])
def test_a_liver_behind_another_ingredient_is_no_diet_of_liver(liver: str) -> None:
    # Of an animal that the catalogue composes the name from as of one that it lists.
    assert hazards("cat", f"pheasant, rice, {liver}, salt") == []
    assert len(hazards("cat", f"{liver}, pheasant, rice, salt")) == 1


@pytest.mark.parametrize(("before", "count"), [(1, 1), (5, 0)])
def test_a_liver_of_any_fish_counts_among_the_first(before: int, count: int) -> None:
    others = ", ".join(["rice", "peas", "millet", "oats", "barley"][:before])
    assert len(hazards("cat", f"{others}, perch liver, salt")) == count


def test_nothing_in_the_list_at_all() -> None:
    assert hazards("dog", "") == []


@pytest.mark.parametrize(
    ("species", "ingredients"),
    [("dog", "chicken, oats, nutmeg"), ("cat", "chicken, oats, coltsfoot")],
)
def test_what_stands_on_memory_alone_is_a_hint(species: str, ingredients: str) -> None:
    (finding,) = hazards(species, ingredients)
    assert finding.severity.value == "hint"
    assert "(from memory)" in finding.message


def test_green_tea_among_the_antioxidants_is_no_warning() -> None:
    # 0.1 % of 25 g/kg is 25 mg/kg a day, an eighth of the 200 mg/kg of extract that harmed fasted
    # dogs (Kapetanovic et al. 2009, Toxicology 260:28).
    tail = "chicken, oats, salt, vitamin E supplement, rosemary extract, green tea extract"
    (finding,) = hazards("dog", tail)
    assert finding.severity.value == "hint"
    (finding,) = hazards("dog", "chicken, green tea extract, oats, salt")
    assert finding.severity.value == "warning"


@pytest.mark.parametrize("name", ["raisin paste", "raisin juice concentrate", "golden raisins"])
def test_raisins_in_any_form_are_raisins(name: str) -> None:
    (finding,) = hazards("dog", f"oats, {name}, salt")
    assert finding.severity.value == "error"


def test_cocoa_butter_is_no_cocoa() -> None:
    assert hazards("dog", "oats, cocoa butter, salt") == []


def test_a_printed_percentage_is_the_share_that_is_named() -> None:
    """The EU's text does not say of which moisture the 8 % are; a reader takes them as printed."""
    head = "Market: eu\nProduct name: Quillbrook Larder Menu\n"
    list_ = "beef 60 %, vegetables 8 % (carrots, leeks), minerals"
    text = f"{head}Species: dog\nComposition: {list_}\n"
    (leek,) = (
        finding
        for finding in lint(Source(text, "hazard.panel"), Settings()).findings
        if finding.rule == "hazard"
    )
    assert "at most 8.5 % (as printed) of the mix" in leek.message


@pytest.mark.parametrize(("liver", "count"), [(20, 0), (40, 1)])
def test_liver_that_is_the_less_of_its_group_is_not_the_first(liver: int, count: int) -> None:
    text = (
        "Market: eu\nSpecies: cat\nComplete pet food for cats\n"
        f"Composition: chicken 60 % (of which {liver} % liver), broth, minerals 1 %\n"
    )
    found = lint(Source(text, "hazard.panel"), Settings(), quick=True).findings
    assert sum(finding.rule == "hazard-at-a-dose" for finding in found) == count
