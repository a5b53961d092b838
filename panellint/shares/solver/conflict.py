"""Which statements of a label cannot all be true: the smallest such set that is found."""

from __future__ import annotations

from collections.abc import Sequence

from panellint.shares.model import Base
from panellint.shares.premises import LABEL_ALONE, Premise
from panellint.shares.solver.constraints import Constraint
from panellint.shares.solver.problem import System, misfit

#: What is left out first, if the rest still clashes: the label's own words are kept longest.
_LEFT_OUT_FIRST = (
    Premise.PRACTICE,
    Premise.COMPOSED,
    Premise.COMPOSITION,
    Premise.WATER,
    Premise.CALORIES,
    Premise.NAME,
    Premise.GUARANTEES,
    Premise.TAIL,
    Premise.GROUPS,
    Premise.ORDER,
    Premise.PERCENTAGES,
)


def smallest_clash(constraints: Sequence[Constraint], system: System) -> tuple[Constraint, ...]:
    """A set of constraints that cannot all hold, while any of them can be left out.

    Where the label's own words clash by themselves, only those are named. Those given clash
    already.
    """
    mask = system.mask(Base.MIX)
    own = [constraint for constraint in system.constraints if constraint.premise in LABEL_ALONE]
    _, certificate = misfit(own, mask)
    left = [own[place] for place in certificate.used] if certificate else list(constraints)
    for constraint in sorted(
        left, key=lambda constraint: _LEFT_OUT_FIRST.index(constraint.premise)
    ):
        if constraint not in left:
            continue
        without = [other for other in left if other is not constraint]
        _, certificate = misfit(without, mask)
        if certificate:
            left = [without[place] for place in certificate.used]
    return tuple(left)
