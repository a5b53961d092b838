"""Glycaemic starches: the published means and classes, and what does not inherit them.

Means: Atkinson et al. 2008, Diabetes Care 31:2281, Table 1, and Foster-Powell et al. 2002, Am J
Clin Nutr 76:5, Table 1. Classes: ISO 26642:2010 as most texts apply it, high from 70 on.
"""

from __future__ import annotations

import pytest

from panellint.catalogue import load
from panellint.catalogue.model import Glycaemic
from panellint.core.findings import Finding
from panellint.core.source import Source
from panellint.lint.checks.starch import class_of
from panellint.lint.engine import lint
from panellint.rulepacks.model import Change
from panellint.rulepacks.settings import Settings


def found(ingredients: str, head: str = "Species: dog\nForm: kibble\n") -> list[Finding]:
    source = Source(f"{head}Ingredients: {ingredients}\n", "starch.panel")
    # Off as delivered: an index that is measured in people says little of an ordinary food.
    settings = Settings(changes={"high-glycaemic-starch": Change(severity="information")})
    findings = lint(source, settings, quick=True).findings
    return [f for f in findings if f.rule == "high-glycaemic-starch"]


@pytest.mark.parametrize(
    ("id", "mean", "form", "iso"),
    [
        ("potato", 78, "boiled", "high"),
        ("dried-potato", 87, "flakes", "high"),
        # 63 boiled; baked and roasted far higher (Bahado-Singh et al. 2011, J Nutr Metab): open.
        ("sweet-potato", 63, "boiled", "doubtful"),
        ("white-rice", 73, "boiled", "high"),
        ("brown-rice", 68, "boiled", ""),
        ("brewers-rice", 86, "rice cooker", "high"),
        ("oats", 55, "porridge", ""),
        ("oat-flour", 79, "fine flakes", "high"),
        ("barley", 28, "pearled", ""),
        ("millet", 67, "porridge", ""),
        ("buckwheat", 54, "groats", ""),
        ("lentils", 32, "boiled", ""),
        ("chickpeas", 28, "boiled", ""),
        ("soybeans", 16, "boiled", ""),
        ("pumpkin", 64, "boiled", ""),
        ("tapioca", 70, "steamed", "high"),
    ],
)
def test_means_forms_and_classes(id: str, mean: float, form: str, iso: str) -> None:
    tested = load().known(id).glycaemic
    assert any(one.value == mean and form in one.form for one in tested)
    assert class_of(tested, 70) == iso


@pytest.mark.parametrize(
    ("values", "expected"),
    [((), ""), ((69.9,), ""), ((70,), "high"), ((70.1,), "high"), ((63, 88), "doubtful")],
)
def test_the_limit_itself_is_high(values: tuple[float, ...], expected: str) -> None:
    assert class_of(tuple(Glycaemic(v, "", "") for v in values), 70) == expected


@pytest.mark.parametrize(
    "isolate",
    [
        "pea-starch",
        "potato-starch",
        "pea-protein",
        "pea-fibre",
        "potato-protein",
        "corn-starch",
        "wheat-starch",
        "rice-starch",
        "wheat-gluten",
        "corn-gluten-meal",
        "beet-pulp",
        "rice-bran-oil",
    ],
)
def test_an_isolate_does_not_inherit_its_plant(isolate: str) -> None:
    assert load().known(isolate).glycaemic == ()


def test_a_name_built_from_a_plant_does_not_inherit_either() -> None:
    assert found("chicken, white potato protein hydrolysate, rice fermentation solids") == []


def test_rank_and_bound_speak_with_the_class() -> None:
    (one,) = found("chicken, white rice, barley, potatoes, peas, corn")
    assert "white rice (2nd of 6, at most 50 % of the mix; human GI 73 for boiled" in one.message
    assert "potatoes (4th of 6, at most 25 % of the mix" in one.message
    assert "corn" not in one.message  # the sixth
    assert "not validated in dogs or cats" in one.message
    assert (one.severity.value, one.certainty.value) == ("information", "practice")
    assert any("Diabetes Care" in sentence for sentence in one.proof)


@pytest.mark.parametrize(
    "ingredients",
    [
        "chicken, chicken meal, peas, lentils, barley, white rice",
        "chicken (94 %), white rice (3 %), peas",
        "chicken, contains 2 % or less of: white rice, salt",
    ],
)
def test_what_cannot_be_main_is_left_alone(ingredients: str) -> None:
    assert found(ingredients) == []


def test_tapioca_second_of_four_is_told_and_that_its_figure_is_not_confirmed() -> None:
    (one,) = found("dehydrated beef, tapioca, carrots, eggs", "Species: dog\nForm: dehydrated\n")
    assert "tapioca (2nd of 4" in one.message
    assert "not confirmed" in one.message
    assert "from memory" in one.proof[0]


def test_treats_are_left_alone() -> None:
    assert found("wheat flour, chicken", "Product name: Wheat Biscuits, Treats for Dogs\n") == []


def test_an_ordinary_food_hears_nothing_of_it_unasked() -> None:
    source = Source(
        "Species: dog\nForm: kibble\nIngredients: chicken, white rice, salt\n", "a.panel"
    )
    rules = {finding.rule for finding in lint(source, Settings()).findings}
    assert "high-glycaemic-starch" not in rules
