"""Which statements of a label cannot all be true: the smallest such set that is found."""

from __future__ import annotations

from collections.abc import Sequence

from panellint.shares.model import Base
from panellint.shares.premises import LABEL_ALONE, Premise
from panellint.shares.solver.constraints import Row
from panellint.shares.solver.problem import System, misfit

#: What is left out first, if the rest still clashes: the label's own words are kept longest.
_LEFT_OUT_FIRST = (
    Premise.PRACTICE,
    Premise.COMPOSED,
    Premise.COMPOSITION,
    Premise.WATER,
    Premise.NAME,
    Premise.GUARANTEES,
    Premise.TAIL,
    Premise.GROUPS,
    Premise.ORDER,
    Premise.PERCENTAGES,
)


def smallest_clash(rows: Sequence[Row], system: System) -> tuple[Row, ...]:
    """A set of rows that cannot all hold, while any of them can be left out.

    Where the label's own words clash by themselves, only those are named. `rows` clash already.
    """
    mask = system.mask(Base.MIX)
    own = [row for row in system.rows if row.premise in LABEL_ALONE]
    _, certificate = misfit(own, mask)
    left = [own[r] for r in certificate.rows] if certificate else list(rows)
    for row in sorted(left, key=lambda row: _LEFT_OUT_FIRST.index(row.premise)):
        if row not in left:
            continue
        without = [other for other in left if other is not row]
        _, certificate = misfit(without, mask)
        if certificate:
            left = [without[r] for r in certificate.rows]
    return tuple(left)
