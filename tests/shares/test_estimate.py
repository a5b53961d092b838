"""The central formula: inside the set, the same each time, and better than order alone."""

from __future__ import annotations

import pytest

from panellint.shares.estimate import Estimate, central
from panellint.shares.premises import Premise
from panellint.shares.solver.formula_set import Formulas

from .honest import honest_label
from .labels import declare, entry, percent


def of(seed: int) -> tuple[Formulas, Estimate]:
    label = honest_label(seed)
    formulas = Formulas(label.declaration, **label.arguments())
    found = central(formulas)
    assert found is not None
    return formulas, found


def test_it_lies_inside_every_bound_and_sums_to_all() -> None:
    for seed in range(8):
        formulas, found = of(seed)
        assert sum(found.shares.values()) == pytest.approx(100)
        for leaf in formulas.tree.leaves:
            if leaf.rest:
                continue
            bounds = formulas.bounds({leaf.path: 1})
            assert bounds.low - 0.01 <= found.shares[leaf.path] <= bounds.high + 0.01, seed


def test_it_is_the_same_each_time() -> None:
    assert of(3)[1] == of(3)[1]


def test_order_alone_comes_to_the_broken_stick() -> None:
    """The mean of all formulas in descending order is (1/n) sum_{j>=k} 1/j (broken stick)."""
    found = central(Formulas(declare("a", "b", "c", "d")))
    assert found is not None
    stick = [25 * sum(1 / j for j in range(k, 5)) for k in range(1, 5)]
    for k, share in enumerate(stick):
        assert found.shares[(k,)] == pytest.approx(share, abs=3)
    assert Premise.GUARANTEES not in found.uses


def test_it_comes_nearer_the_truth_than_order_alone() -> None:
    """Total distance (half the sum of absolute errors) on random true formulas."""
    mine = stick = 0.0
    for seed in range(20):
        label = honest_label(seed)
        formulas, found = of(seed)
        size = len(formulas.tree.leaves)
        for leaf in formulas.tree.leaves:
            truth = float(label.shares[leaf.path])
            guess = 100 / size * sum(1 / j for j in range(leaf.index + 1, size + 1))
            mine += abs(found.shares[leaf.path] - truth)
            stick += abs(guess - truth)
    assert mine < 0.6 * stick


def test_a_label_that_cannot_be_has_none() -> None:
    asked = Formulas(
        declare(entry("rice", percent=percent("60")), entry("peas", percent=percent("50")))
    )
    assert not asked.consistent
    assert central(asked) is None
    assert central(Formulas(declare())) is None


def test_all_percentages_printed_leave_little_room() -> None:
    listed = declare(
        entry("beef", percent=percent("60.0")),
        entry("rice", percent=percent("30.0")),
        entry("peas", percent=percent("10.0")),
    )
    found = central(Formulas(listed))
    assert found is not None
    assert found.shares[(0,)] == pytest.approx(60, abs=0.06)
    assert found.spread[(0,)] < 0.1
