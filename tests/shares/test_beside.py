"""Groups whose place is not told: by the weight of the whole, or by the heaviest member.

No text but the modernised one of the United States says which, so both must lie inside.
"""

from __future__ import annotations

import random
from fractions import Fraction

import pytest

from panellint.core.source import Span
from panellint.ingredients.model import Declaration, Ingredient
from panellint.shares.exact.declaration_bounds import OrderAnswers
from panellint.shares.premises import DEFAULT, Premise
from panellint.shares.solver.formula_set import Formulas

NOWHERE = Span(0, 0)


def entry(name: str, path: tuple[int, ...], members: tuple[Ingredient, ...] = ()) -> Ingredient:
    return Ingredient(name, NOWHERE, NOWHERE, path, members=members)


def label(rng: random.Random, by_whole: bool) -> tuple[Declaration, dict[tuple[int, ...], int]]:
    """A list with one to three groups, each placed by one of the two readings, and its weights."""
    blocks: list[tuple[int, list[int]]] = []
    for _ in range(rng.randint(2, 9)):
        weights = [rng.randint(0, 1000)]
        if rng.random() < 0.3:
            weights = [rng.randint(0, 1000) for _ in range(rng.randint(2, 4))]
        key = sum(weights) if by_whole else max(weights)
        blocks.append((key, weights))
    blocks.sort(key=lambda block: -block[0])
    entries, truth = [], {}
    for number, (_, weights) in enumerate(blocks):
        if len(weights) == 1:
            entries.append(entry(f"e{number}", (number,)))
            truth[(number,)] = weights[0]
            continue
        members = []
        for place, weight in enumerate(weights):
            members.append(entry(f"m{number}.{place}", (number, place)))
            truth[(number, place)] = weight
        entries.append(entry(f"group {number}", (number,), tuple(members)))
    return Declaration(tuple(entries)), truth


@pytest.mark.parametrize("by_whole", [True, False])
@pytest.mark.parametrize("engine", [Formulas, OrderAnswers])
def test_the_truth_is_inside_whichever_gave_the_place(
    engine: type[Formulas] | type[OrderAnswers], by_whole: bool
) -> None:
    rng = random.Random(f"beside {by_whole}")
    for _ in range(60):
        declaration, truth = label(rng, by_whole)
        total = sum(truth.values())
        if not total:
            continue
        answers = engine(declaration, groups_ranked=False, groups_ordered=False)
        assert answers.consistent
        for path, weight in truth.items():
            bounds = answers.bounds({path: 1})
            share = Fraction(100 * weight, total)
            assert bounds.low - 1e-9 <= share <= bounds.high + 1e-9


def test_by_hand() -> None:
    """Chicken, rice, minerals (zinc, iron), salt: two stand before the group, so that each of
    its members is a third at most, and salt, with the group before it, a quarter."""
    minerals = entry("minerals", (2,), (entry("zinc", (2, 0)), entry("iron", (2, 1))))
    declaration = Declaration(
        (entry("chicken", (0,)), entry("rice", (1,)), minerals, entry("salt", (3,)))
    )
    for engine in (Formulas, OrderAnswers):
        answers = engine(declaration, groups_ranked=False, groups_ordered=False)
        assert answers.bounds({(2, 0): 1}).high == pytest.approx(100 / 3, abs=1e-6)
        assert answers.bounds({(3,): 1}).high <= 100 / 3 + 1e-6
        apart = engine(
            declaration,
            groups_ranked=False,
            groups_ordered=False,
            premises=tuple(p for p in DEFAULT if p is not Premise.GROUPS),
        )
        assert apart.bounds({(2, 0): 1}).high == pytest.approx(100, abs=1e-6)
    exact = Formulas(declaration, groups_ranked=False, groups_ordered=False)
    assert exact.bounds({(3,): 1}).high == pytest.approx(25, abs=1e-6)
