"""Ranks that no label prints, and what a family sums to."""

from __future__ import annotations

from fractions import Fraction

from panellint.catalogue.model import Range
from panellint.shares.rank import as_one, rank_without_water
from panellint.shares.solver.formula_set import Formulas

from .honest import honest_label
from .labels import declare, entry, percent, ranges_by_name


def test_a_split_family_may_stand_first_as_one() -> None:
    """Chicken, then three of the pea at up to a quarter each: together up to three quarters."""
    asked = Formulas(declare("chicken", "peas", "pea flour", "pea fibre"))
    family = as_one(asked, [(1,), (2,), (3,)])
    assert (family.bounds.low, family.bounds.high) == (0, 75)
    assert (family.rank.best, family.rank.worst, family.rank.of) == (1, 2, 2)


def test_printed_percentages_fix_the_rank() -> None:
    """30 and 25 of the pea against 40 of chicken: first as one, for sure."""
    listed = declare(
        entry("chicken", percent=percent("40")),
        entry("peas", percent=percent("30")),
        entry("pea flour", percent=percent("25")),
        "salt",
    )
    asked = Formulas(listed)
    family = as_one(asked, [(1,), (2,)])
    assert family.rank.best == family.rank.worst == 1


def test_a_member_of_a_group_is_taken_out_of_it() -> None:
    listed = declare(entry("flours", entry("pea flour"), entry("oat flour")), "chicken", "peas")
    asked = Formulas(listed)
    family = as_one(asked, [(0, 0), (2,)])
    assert family.rank.of == 3


def test_fresh_chicken_falls_behind_rice_once_its_water_is_gone() -> None:
    """40 % chicken with 70 % water leaves 12 dry parts; 35 % rice with 10 % leaves 31.5."""
    listed = declare(
        entry("chicken", percent=percent("40")), entry("rice", percent=percent("35")), "peas"
    )
    table = ranges_by_name(
        {
            "chicken": {"moisture": (68, 72)},
            "rice": {"moisture": (10, 12)},
            "peas": {"moisture": (10, 12)},
        }
    )
    asked = Formulas(listed, ranges=table, water=Range(0, 50))
    rank = rank_without_water(asked, (0,))
    assert (rank.best, rank.worst, rank.of) == (3, 3, 3)
    assert rank_without_water(asked, (1,)).best == 1


def test_true_ranks_lie_inside() -> None:
    for seed in range(12):
        label = honest_label(seed)
        asked = Formulas(label.declaration, **label.arguments())
        dry = {
            path: share * (1 - label.contents[path]["moisture"])
            for path, share in label.shares.items()
        }
        leaf = asked.tree.leaves[seed % 3]
        if leaf.rest:
            continue
        rank = rank_without_water(asked, leaf.path)
        truth = 1 + sum(weight > dry[leaf.path] for weight in dry.values())
        assert rank.best <= truth <= rank.worst, seed
        paths = [asked.tree.leaves[i].path for i in (0, -1)]
        if any(len(path) > 1 for path in paths):
            continue
        family = as_one(asked, paths)
        total = sum((label.total(path) for path in paths), Fraction(0))
        places = [(i,) for i in range(len(asked.tree.declaration.ingredients))]
        above = sum(label.total(path) > total for path in places if path not in paths)
        assert family.rank.best <= 1 + above <= family.rank.worst, seed
