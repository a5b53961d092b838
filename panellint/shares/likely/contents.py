"""What ingredients hold, as a normal distribution: means and how the parts move together.

The catalogue's range of each part gives a middle and a deviation; that all parts make up the
whole ties them to each other (an ingredient with more fat has less water).
"""

from typing import Any, NamedTuple

import numpy as np

from panellint.catalogue import load
from panellint.catalogue.model import ANYTHING, PARTS
from panellint.shares.likely.levels import model
from panellint.shares.solver.formula_set import Formulas

#: The parts of the dry matter, in the order of all vectors here.
DRY = tuple(part for part in PARTS if part != "moisture")


class Contents(NamedTuple):
    """Dry parts of each leaf, as parts of its weight: `means`, one row a leaf, and
    `covariances`, flattened, one row a leaf."""

    means: Any
    covariances: Any


def contents(formulas: Formulas, *, moist: bool = False) -> Contents:
    """The contents of every leaf of a label's formulas; `moist`: in a food of the wet class."""
    given = model()["composition"]
    fresh = given["fresh-where-moist"] if moist else {}
    where = np.array([given["middle"][part] for part in PARTS])
    closure = (given["closure"] / 100) ** 2
    dry = [PARTS.index(part) for part in DRY]
    means, covariances = [], []
    for leaf in formulas.tree.leaves:
        known = leaf.ingredient.match.known if leaf.ingredient.match else None
        alike = [known] if known else []
        if moist and known and known.state == "unknown":
            # What a collective name names of itself has no figures either: dried or fresh.
            names = fresh.get(known.id) or ([] if known.figures else known.names[:1])
            matches = [load().lookup(name, market="us", language="en") for name in names]
            alike = [match.known for match in matches if match] or alike
        ranges = [
            [kind.range_of(part) or ANYTHING for kind in alike] or [ANYTHING] for part in PARTS
        ]
        ends = [(min(some)[0], max(end for _, end in some)) for some in ranges]
        low, high = (np.clip(np.array(side) / 100, 0, 1) for side in zip(*ends, strict=True))
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
