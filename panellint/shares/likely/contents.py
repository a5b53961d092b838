"""What ingredients hold, as a normal distribution: means and how the parts move together.

The catalogue's range of each part gives a middle and a deviation; that all parts make up the
whole ties them to each other (an ingredient with more fat has less water).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from panellint.catalogue.model import ANYTHING, PARTS
from panellint.shares.likely.levels import model

if TYPE_CHECKING:
    from panellint.shares.solver.formula_set import Formulas

#: The parts of the dry matter, in the order of all vectors here.
DRY = tuple(part for part in PARTS if part != "moisture")


class Contents(NamedTuple):
    """Dry parts of each leaf, as parts of its weight: `means`, one row a leaf, and
    `covariances`, flattened, one row a leaf."""

    means: Any
    covariances: Any


def contents(formulas: Formulas) -> Contents:
    """The contents of every leaf of a label's formulas."""
    given = model()["composition"]
    where = np.array([given["middle"][part] for part in PARTS])
    closure = (given["closure"] / 100) ** 2
    dry = [PARTS.index(part) for part in DRY]
    means, covariances = [], []
    for leaf in formulas.tree.leaves:
        known = leaf.ingredient.match.known if leaf.ingredient.match else None
        ranges = [(known and known.range_of(part)) or ANYTHING for part in PARTS]
        low, high = (np.clip(np.array(ends) / 100, 0, 1) for ends in zip(*ranges, strict=True))
        if low.sum() > 1 or high.sum() < 1:
            low, high = np.zeros(len(PARTS)), np.ones(len(PARTS))
        # Each end can be reached with the others inside theirs.
        low, high = (
            np.maximum(low, 1 - high.sum() + high),
            np.minimum(high, 1 - low.sum() + low),
        )
        mean = low + where * (high - low)
        own = np.diag(((high - low) / given["deviations"]) ** 2)
        # Conditioned on the sum of all parts being one, to within the closure of analyses.
        reach = own.sum(axis=1)
        spread = reach.sum() + closure
        mean = np.clip(mean + reach * (1 - mean.sum()) / spread, low, high)
        joint = own - np.outer(reach, reach) / spread
        means.append(mean[dry])
        covariances.append(joint[np.ix_(dry, dry)].ravel())
    return Contents(np.array(means), np.array(covariances))
