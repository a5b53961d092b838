"""Formulas printed in papers, behind labels read with the real catalogue: the truth is inside; and
of foods for pets the estimate comes nearer to it than order alone, and practice holds. Feeds of
other animals are made of the same materials, but not in the amounts that are usual for pets."""

from __future__ import annotations

import pytest

from panellint.analysis.context import LabelContext
from panellint.analysis.likely_answers import likely_of
from panellint.core.source import Source
from panellint.shares.premises import DEFAULT, Premise

from .published import PUBLISHED, Published

PETS = [food for food in PUBLISHED if food.animal == "pet"]


def broken_stick(size: int) -> list[float]:
    """Mean shares over all lists in descending order, in percent: (1/n) sum_{j>=k} 1/j."""
    return [100 / size * sum(1 / j for j in range(k, size + 1)) for k in range(1, size + 1)]


@pytest.mark.parametrize("food", PUBLISHED, ids=lambda food: food.name)
def test_the_printed_formula_is_inside(food: Published) -> None:
    context = LabelContext.of(Source(food.label(), "trial.panel"))
    formulas = context.formulas
    assert formulas.consistent, formulas.clash
    leaves = formulas.tree.leaves
    assert len(leaves) == len(food.shares)
    for leaf, truth in zip(leaves, food.shares, strict=True):
        bounds = formulas.bounds({leaf.path: 1})
        assert bounds.low <= truth <= bounds.high, leaf.name


def test_there_are_forty_formulas_each_with_its_paper() -> None:
    assert len(PUBLISHED) >= 40
    assert len({food.name for food in PUBLISHED}) == len(PUBLISHED)
    assert all(food.source and abs(sum(food.formula.values()) - 100) < 1.1 for food in PUBLISHED)


@pytest.mark.parametrize("food", PETS, ids=lambda food: food.name)
def test_the_estimate_is_nearer_than_order_alone(food: Published) -> None:
    context = LabelContext.of(Source(food.label(), "trial.panel"))
    leaves = context.formulas.tree.leaves
    found = likely_of(context)
    assert found is not None
    pairs = zip(leaves, food.shares, strict=True)
    mine = sum(abs(found.share({x.path: 1}).middle - t) for x, t in pairs)
    stick = sum(abs(b - t) for b, t in zip(broken_stick(len(leaves)), food.shares, strict=True))
    assert mine < stick


@pytest.mark.parametrize("food", PETS, ids=lambda food: food.name)
def test_practice_holds_of_published_formulas(food: Published) -> None:
    """The premise `practice` is a judgement; these formulas must not gainsay it."""
    context = LabelContext.of(Source(food.label(), "trial.panel"))
    formulas = context.formulas_under(tuple(str(p) for p in (*DEFAULT, Premise.PRACTICE)))
    assert formulas.consistent, formulas.clash
    for leaf, truth in zip(formulas.tree.leaves, food.shares, strict=True):
        bounds = formulas.bounds({leaf.path: 1})
        assert bounds.low - 0.01 <= truth <= bounds.high + 0.01, leaf.name
