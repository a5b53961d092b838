"""Ranks that the label does not print: a family declared as one, a meat without its water."""

from collections.abc import Iterable
from dataclasses import dataclass

from panellint.shares.model import Base, Bounds, Path
from panellint.shares.solver.formula_set import Formulas


@dataclass(frozen=True, slots=True)
class Rank:
    """The best and the worst place among `of`, counted from 1; ties count as the better."""

    best: int
    worst: int
    of: int


@dataclass(frozen=True, slots=True)
class Family:
    """A family of ingredients as one: what they sum to, in percent of the mix, and the place
    they would have in the declaration."""

    bounds: Bounds
    rank: Rank


def as_one(formulas: Formulas, paths: Iterable[Path]) -> Family:
    """What the family sums to and where it would stand if declared as one.

    Others are the top entries, each without what it holds of the family.
    """
    tree, mine = formulas.tree, tuple(dict.fromkeys(paths))
    inside = {leaf for path in mine for leaf in tree.under[path]}
    family: dict[Path, int] = dict.fromkeys(_outermost(mine), 1)
    bounds = formulas.bounds(family)
    above = maybe = others = 0
    for entry in tree.declaration.ingredients:
        leaves = set(tree.under[entry.path])
        if leaves <= inside:
            continue
        others += 1
        gap: dict[Path, int] = dict(family)
        gap[entry.path] = gap.get(entry.path, 0) - 1
        for path in family:
            if path != entry.path and path[: len(entry.path)] == entry.path:
                gap[path] += 1
        every, some = formulas.below(gap)
        above += every
        maybe += some
    return Family(bounds, Rank(1 + above, 1 + maybe, others + 1))


def _outermost(paths: tuple[Path, ...]) -> tuple[Path, ...]:
    return tuple(
        path
        for path in paths
        if not any(other != path and path[: len(other)] == other for other in paths)
    )


def rank_without_water(formulas: Formulas, path: Path) -> Rank:
    """The place of an ingredient once the water of every ingredient is taken out.

    Compared are the weights of dry matter, as mixed, of all leaves of the declaration.
    """
    inside = set(formulas.tree.under[path])
    others = [leaf for leaf in formulas.tree.leaves if leaf.index not in inside]
    answers = []
    for leaf in others:
        gap = {path: 1, leaf.path: -1}
        for member in leaf.ingredient.members:
            gap[member.path] = gap.get(member.path, 0) + 1
        answers.append(formulas.below(gap, Base.DRY_MATTER))
    above = sum(every for every, _ in answers)
    maybe = sum(some for _, some in answers)
    return Rank(1 + above, 1 + maybe, len(others) + 1)
