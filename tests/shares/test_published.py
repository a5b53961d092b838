"""Formulas printed in papers, behind labels read with the real catalogue: the truth is inside,
and the estimate comes nearer to it than order alone."""

from __future__ import annotations

import pytest

from panellint.analysis.context import LabelContext
from panellint.analysis.likely_answers import likely_of
from panellint.core.source import Source
from panellint.shares.premises import DEFAULT, Premise

from .published import PUBLISHED, Published


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
    found = likely_of(context)
    assert found is not None
    pairs = zip(leaves, food.shares, strict=True)
    mine = sum(abs(found.share({x.path: 1}).middle - t) for x, t in pairs)
    stick = sum(abs(b - t) for b, t in zip(broken_stick(len(leaves)), food.shares, strict=True))
    assert mine < stick


@pytest.mark.parametrize("food", PUBLISHED, ids=lambda food: food.name)
def test_practice_holds_of_published_formulas(food: Published) -> None:
    """The premise `practice` is a judgement; these formulas must not gainsay it."""
    context = LabelContext.of(Source(food.label(), "trial.panel"))
    formulas = context.formulas_under(tuple(str(p) for p in (*DEFAULT, Premise.PRACTICE)))
    assert formulas.consistent, formulas.clash
    for leaf, truth in zip(formulas.tree.leaves, food.shares, strict=True):
        bounds = formulas.bounds({leaf.path: 1})
        assert bounds.low - 0.01 <= truth <= bounds.high + 0.01, leaf.name
