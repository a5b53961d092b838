"""A witness is a formula that fits: the solver, asked the same, never refutes what it keeps."""

from __future__ import annotations

from pathlib import Path

import pytest

from panellint.analysis.context import LabelContext
from panellint.analysis.promised_shares import support_of, weights_of
from panellint.catalogue.model import Range
from panellint.core.source import Source, read
from panellint.shares.exact.feasible_recipe import Witnesses
from panellint.shares.exact.recipes import Recipe, Recipes
from panellint.shares.model import Base, Condition, Verdict
from panellint.shares.premises import LABEL_ALONE, Premise
from panellint.shares.solver.formula_set import Formulas

from .honest import honest_label

NONE = Range(0, 0)
ROOT = Path(__file__).parents[2]
LABELS = sorted([*(ROOT / "corpus").glob("*.panel"), *(ROOT / "tests/honest").glob("*.panel")])


@pytest.mark.parametrize("path", LABELS, ids=lambda path: path.stem)
def test_the_solver_never_refutes_what_a_witness_keeps(path: Path) -> None:
    context = LabelContext.of(read(path))
    if not context.order.consistent:
        return
    witnesses = Witnesses(context.formulas.tree, context.label.guarantees, context.form.water_lost)
    for promise in context.promises[:1]:
        weights = weights_of(support_of(promise.named, context))
        kept = [
            needs
            for needs in (3, 10, 20, 25, 30, 40, 50, 60, 70, 95)
            if weights and witnesses.is_kept([[Condition(weights, needs, Base.MIX_WITHOUT_WATER)]])
        ]
        if kept:
            hardest = Condition(weights, max(kept), Base.MIX_WITHOUT_WATER)
            assert context.formulas.judge([hardest]).verdict is not Verdict.REFUTED


@pytest.mark.parametrize("path", LABELS, ids=lambda path: path.stem)
def test_order_never_refutes_what_a_recipe_keeps(path: Path) -> None:
    context = LabelContext.of(read(path), quick=True)
    recipes = Recipes(context._label_shares._plain.tree)
    for entry in context.leaves:
        for needs in (0.5, 2, 5, 10, 20, 30, 50, 70, 95):
            asked = [Condition({entry.path: 1}, needs, Base.MIX_WITHOUT_WATER)]
            if recipes.is_kept([asked]):
                assert context.order.judge(asked).verdict is not Verdict.REFUTED


def test_the_corners_of_a_list() -> None:
    text = "Ingredients: duck, water, rice, kale, 2% or less of: salt"
    kept = Recipes(LabelContext.of(Source(text, "-"))._label_shares._plain.tree).is_kept
    assert kept([[Condition({(2,): 1}, 33, Base.MIX)]])
    assert not kept([[Condition({(2,): 1}, 34, Base.MIX)]])
    assert kept([[Condition({(0,): 1, (2,): 1}, 99, Base.MIX_WITHOUT_WATER)]])
    assert kept([[Condition({(3,): 1}, 1e-6, Base.MIX, at_most=True)]])
    assert not kept([[Condition({(4,): 1}, 2.1, Base.MIX)]])


def witnesses(text: str, lost: Range = NONE) -> Witnesses:
    context = LabelContext.of(Source(text, "label.panel"))
    return Witnesses(context.formulas.tree, context.label.guarantees, lost)


def test_a_guarantee_that_no_recipe_meets_has_no_witness() -> None:
    # Rice holds 6 to 9 % protein, water none: 30 % are out of reach however much water leaves.
    guarantee = "\nGuaranteed analysis: crude protein (min) 30%, moisture (max) 10%"
    everything = [[Condition({(0,): 1}, 1)]]
    assert not witnesses(f"Ingredients: rice, water{guarantee}", Range(0, 90)).is_kept(everything)
    assert witnesses(f"Ingredients: chicken, rice{guarantee}", Range(0, 90)).is_kept(everything)


def test_water_has_to_leave_for_a_dry_food_of_fresh_meat() -> None:
    text = "Ingredients: chicken\nGuaranteed analysis: moisture (max) 10%"
    assert not witnesses(text).is_kept([[Condition({(0,): 1}, 100 - 1e-6)]])
    assert witnesses(text, Range(0, 90)).is_kept([[Condition({(0,): 1}, 100 - 1e-6)]])


def test_the_caps_of_a_tail_hold() -> None:
    found = witnesses("Ingredients: duck, rice, contains 2% or less of: kale, salt")
    assert found.is_kept([[Condition({(2,): 1}, 1.5)]])
    assert not found.is_kept([[Condition({(2,): 1}, 2.5)]])


@pytest.mark.parametrize("path", LABELS, ids=lambda path: path.stem)
def test_what_a_witness_settles_is_what_the_solver_says(path: Path) -> None:
    context = LabelContext.of(read(path))
    found, formulas = context.bounds, context.formulas
    if context._label_shares.witnesses.is_kept(((),)):
        assert formulas.consistent
    solved = context.answers_of(formulas)
    for entry in context.leaves[:4] if found.consistent else ():
        mine, both = found.bounds({entry.path: 1}), solved.bounds({entry.path: 1})
        assert (mine.low, mine.high) == pytest.approx((both.low, both.high), abs=2e-6)


def recipe_of(text: str) -> Recipe | None:
    tree = LabelContext.of(Source(text, "label.panel"))._label_shares._plain.tree
    return next(Recipes(tree).keeping(((),)), None)


def test_printed_percentages_are_kept() -> None:
    recipe = recipe_of("Ingredients: duck (60%), rice, oats (10%)")
    assert recipe is not None
    assert list(recipe.values()) == pytest.approx([0.6, 0.3, 0.1], abs=0.01)
    named = recipe_of(
        "Market: EU\n\nComposition: meat and animal derivatives (of which duck 4 %), rice"
    )
    assert named is not None
    assert named[1] == pytest.approx(0.04, abs=0.005)
    text = "meat and animal derivatives (min. 4 % duck), rice"
    least = recipe_of(f"Market: EU\n\nComposition: {text}")
    assert least is not None
    assert least[1] == pytest.approx(0.04, abs=0.005)
    assert recipe_of("Ingredients: duck (20%), rice") is None
    assert recipe_of("Ingredients: duck (20%), rice (50%), oats") is None


def test_recipes_keep_all_that_a_list_says() -> None:
    """Groups, parts of groups, tails, percentages of food and parent, "about" and the like."""
    tried = 0
    for seed in range(150):
        label = honest_label(seed)
        words = {**label.arguments(), "guarantees": (), "premises": LABEL_ALONE - {Premise.NAME}}
        formulas = Formulas(label.declaration, **words)
        system = formulas.system()
        for shares in Recipes(formulas.tree).keeping(((),)):
            tried += 1
            weight = {c: shares[leaf] for c, (leaf, _) in enumerate(system.columns.names)}
            for row in system.constraints:
                terms = zip(row.columns, row.values, strict=True)
                kept = sum(value * weight[column] for column, value in terms)
                assert kept >= -1e-9 * row.scale, (seed, row.words)
    assert tried > 100


def test_a_part_of_the_dry_matter_may_be_held() -> None:
    # Chicken is 15 to 24 % protein and 55 to 78 % water, rice dry and 6 to 9 % protein.
    found = witnesses("Ingredients: chicken, rice\nGuaranteed analysis: moisture (max) 78%")
    assert found.may_hold("protein", 30)
    assert not found.may_hold("protein", 99)


def test_guarantees_on_another_basis_are_left_to_the_solver() -> None:
    text = "Ingredients: duck\nGuaranteed analysis: crude protein (min) 60% DM"
    assert witnesses(text).limits is None
