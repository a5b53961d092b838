"""What is asked of a set of formulas, as factors of its columns."""

from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import TypeAlias

from panellint.shares.solver.constraints import Columns, Terms

#: What is asked for, by the columns of a system.
Cost: TypeAlias = Callable[[Columns], Terms]


def weight_of(leaves: Mapping[int, int | Fraction], columns: Columns) -> Terms:
    """Leaves by weight as mixed, each times its factor."""
    return {column: factor for leaf, factor in leaves.items() for column in columns.weight((leaf,))}


def dry_weight_of(leaves: Mapping[int, Fraction], columns: Columns) -> Terms:
    """Leaves by their dry matter, each times its factor."""
    dry = columns.dry_matter()
    return {c: factor for c, factor in weight_of(leaves, columns).items() if c in dry}


def analysis_of(part: str, food: bool, columns: Columns) -> Terms:
    """A part as an analysis counts it: of the finished `food`, or of all as mixed."""
    if food:
        return columns.analysed_in_food(part)
    mixed = (columns.analysed(leaf, part) for leaf in range(len(columns.of_leaf)))
    return {column: factor for terms in mixed for column, factor in terms.items()}


def nonzero(terms: Terms, sign: int = 1) -> dict[int, int | Fraction]:
    """The terms that are not nothing, times a sign."""
    return {column: sign * value for column, value in terms.items() if value}
