"""Whatever is concluded from an honest label is true of the formula behind it."""

from __future__ import annotations

import random
from fractions import Fraction

import pytest

from panellint.shares.engine import FallbackEngine
from panellint.shares.exact.declaration_bounds import OrderAnswers
from panellint.shares.model import Base, Condition, ShareAnswers, Verdict
from panellint.shares.premises import DEFAULT, Premise
from panellint.shares.solver.formula_set import Formulas

from .honest import honest_label, united_label
from .truth import HonestLabel

ORDINARY = 96
#: Of them as many again of a market whose lists may count by one weight or another.
UNITED = 48
BASES = [base for base in Base if base is not Base.LISTED]
#: Parts of the ordinary run, so that the processes of a parallel run share them.
BLOCKS = 8
LONG = 10_000
#: The bounds are certified in exact arithmetic, so nothing is let through.
PARTS = ("protein", "fat", "fibre", "ash", "carbohydrate", "moisture", "calcium")


def share(label: HonestLabel, weights: dict[tuple[int, ...], int], base: Base) -> Fraction | None:
    whole = label.base(base)
    if not whole:
        return None
    return 100 * sum((f * label.total(p) for p, f in weights.items()), Fraction(0)) / whole


def meets(label: HonestLabel, condition: Condition) -> bool:
    truth = share(label, dict(condition.weights), condition.base)
    if truth is None:
        return True
    needs = Fraction(condition.needs)
    return truth <= needs if condition.at_most else truth >= needs


def random_weights(rng: random.Random, label: HonestLabel) -> dict[tuple[int, ...], int]:
    paths = [entry.path for entry in label.declaration.walk()]
    paths += [path for path in label.shares if path[0] >= len(label.declaration.ingredients)]
    chosen = rng.sample(paths, min(len(paths), rng.choice((1, 1, 2, 3))))
    return {path: rng.choice((1, 1, 1, -1)) if len(chosen) > 1 else 1 for path in chosen}


def check(label: HonestLabel, seed: int, questions: int) -> None:
    rng = random.Random(seed)
    engines = engines_of(label)
    for engine in engines:
        assert engine.consistent, (seed, type(engine), engine.clash)
    for _ in range(questions):
        weights = random_weights(rng, label)
        if label.counted is not None:
            path = next(iter(weights))
            inside = [one for p, one in label.counted.items() if p[: len(path)] == path]
            bounds = engines[0].bounds({path: 1}, Base.LISTED)
            assert bounds.low <= sum(inside, Fraction(0)) <= bounds.high, (seed, path, label)
        base = rng.choice(BASES)
        truth = share(label, weights, base)
        if truth is None:
            continue
        found = [engine.bounds(weights, base) for engine in engines]
        for bounds, engine in zip(found, engines, strict=True):
            assert bounds.low <= truth <= bounds.high, (seed, type(engine), weights, base, truth)
        if base is Base.MIX and len(found) > 1:
            assert found[0].high <= found[1].high + 1e-6, (seed, weights)
            assert found[0].low >= found[1].low - 1e-6, (seed, weights)
    nutrient = rng.choice(PARTS)
    formulas = Formulas(label.declaration, **label.arguments())
    for base in (Base.FOOD, Base.DRY_MATTER):
        if base is Base.DRY_MATTER and (nutrient == "moisture" or not label.base(base)):
            continue
        bounds = formulas.nutrient(nutrient, base)
        truth = label.finished(nutrient, base)
        assert bounds.low <= truth <= bounds.high, (seed, nutrient, base, truth, bounds)
    for engine in engines:
        conditions = [random_condition(rng, label) for _ in range(rng.randint(1, 3))]
        holds = all(meets(label, condition) for condition in conditions)
        verdict = engine.judge(conditions).verdict
        assert not (verdict is Verdict.REFUTED and holds), (seed, type(engine), conditions)
        assert not (verdict is Verdict.IMPLIED and not holds), (seed, type(engine), conditions)


def random_condition(rng: random.Random, label: HonestLabel) -> Condition:
    weights = random_weights(rng, label)
    base = rng.choice((Base.MIX, Base.MIX, Base.MIX_WITHOUT_WATER, Base.FOOD))
    near = share(label, weights, base) or Fraction(0)
    needs = near + Fraction(rng.choice((0, 0, rng.randint(-2000, 2000))), 100)
    if needs < 0 and all(factor > 0 for factor in weights.values()):
        needs = Fraction(0)
    return Condition(weights, needs, base, at_most=rng.random() < 0.3)


def engines_of(label: HonestLabel) -> list[ShareAnswers]:
    """Formulas and order; order speaks of the mix only where the list counts weight as mixed."""
    order = OrderAnswers(
        label.declaration,
        unlisted=label.unlisted,
        groups_ranked=label.counted is None,
        groups_ordered=label.counted is None,
        as_listed=label.counted is not None,
    )
    formulas = Formulas(label.declaration, **label.arguments())
    if label.counted is None:
        return [formulas, order]
    return [FallbackEngine(formulas, None, listed=order)]


@pytest.mark.parametrize("block", range(BLOCKS))
def test_the_truth_is_inside_every_bound_and_no_refutation_is_false(block: int) -> None:
    for seed in range(block, ORDINARY, BLOCKS):
        check(honest_label(seed), seed, 5)
    for seed in range(block, UNITED, BLOCKS):
        check(united_label(seed), seed, 3)


def test_a_list_that_counts_two_weights_proves_nothing_of_what_it_counts() -> None:
    """A gravy in order as mixed, with its oats printed by dry matter: 19.5 % counted fish oil lay
    outside the 9.8 to 18.1 % that it can be of the mix."""
    label = united_label(746)
    check(label, 746, 4)
    bounds = engines_of(label)[0].bounds({(2,): 1}, Base.LISTED)
    assert (bounds.low, bounds.high, bounds.sure) == (0, 100, False)


@pytest.mark.long
def test_the_truth_is_inside_in_the_long_run() -> None:
    for seed in range(ORDINARY, ORDINARY + LONG):
        check(honest_label(seed), seed, 4)


@pytest.mark.long
@pytest.mark.parametrize("block", range(BLOCKS))
def test_the_truth_is_inside_by_whatever_weight_a_list_counts(block: int) -> None:
    for seed in range(UNITED + block, UNITED + LONG, BLOCKS):
        check(united_label(seed), seed, 4)


def test_practice_only_narrows() -> None:
    """With more premises no bound is wider; leaving premises out never narrows."""
    for seed in range(20):
        label = honest_label(seed)
        rng = random.Random(seed)
        fewer = rng.sample(list(DEFAULT), 4)
        wide = Formulas(label.declaration, **label.arguments(), premises=fewer)
        plain = Formulas(label.declaration, **label.arguments())
        narrow = Formulas(
            label.declaration, **label.arguments(), premises=(*DEFAULT, Premise.PRACTICE)
        )
        for leaf in rng.sample(plain.tree.leaves, 3):
            bounds = [f.bounds({leaf.path: 1}) for f in (wide, plain, narrow)]
            assert bounds[0].high >= bounds[1].high - 1e-6, (seed, leaf.path)
            assert bounds[0].low <= bounds[1].low + 1e-6, (seed, leaf.path)
            if narrow.consistent:
                assert bounds[1].high >= bounds[2].high - 1e-6, (seed, leaf.path)
                assert bounds[1].low <= bounds[2].low + 1e-6, (seed, leaf.path)
