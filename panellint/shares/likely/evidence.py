"""How well shares agree with what else the label prints: guarantees, calories, percentages.

What is printed is the truth less a margin (measured less printed, by nutrient and form), so a
guarantee is evidence and no wall. The finished food is the mix less the water that leaves.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from panellint.label.model import Bound, PercentOf
from panellint.shares.likely.contents import DRY, Contents
from panellint.shares.likely.levels import model

if TYPE_CHECKING:
    from collections.abc import Sequence

    from panellint.label.model import Guarantee
    from panellint.nutrition.forms import Form
    from panellint.shares.tree import Tree

#: Modified Atwater, kcal per 1 % in a kg: crude protein, fat, carbohydrate.
_ENERGY = {"protein": 35.0, "fat": 85.0, "carbohydrate": 35.0}
_SMALL = 1e-9


class Printed(NamedTuple):
    """One printed line as evidence of the food: `row` over the dry parts (percent as fed, or of
    dry matter), the `value` that the truth has on average, and its variance."""

    row: Any
    of_dry: bool
    value: float
    variance: float


class Share(NamedTuple):
    """A printed percentage: of which leaves, of which base (None: the mix), between what."""

    leaves: tuple[int, ...]
    base: tuple[int, ...] | None
    low: float
    high: float


class Evidence:
    """The likelihood of shares under one label.

    `moisture` is the mean and the deviation of the food's moisture, percent as fed; a sample's own
    moisture is one of its variables.
    """

    def __init__(
        self,
        tree: Tree,
        inside: Contents,
        guarantees: Sequence[Guarantee],
        form: Form,
        kcal_per_kg: float | None,
    ) -> None:
        self._inside = inside
        wet = form.moisture_class == "wet"
        self._margins = model()["margins"]["wet" if wet else "dry"]
        self._declared = model()["margins"]["declared"]
        self.moisture = self._moisture(guarantees, form)
        self._lost = tuple(end / 100 for end in form.water_lost_usual)
        self._lost_beyond = model()["water-lost"]["deviation"] / 100
        self.lines = [one for one in map(self._line, guarantees) if one is not None]
        if kcal_per_kg:
            row = np.array([_ENERGY.get(part, 0.0) for part in DRY])
            deviation = model()["margins"]["energy"]["deviation"] * kcal_per_kg
            self.lines.append(Printed(row, False, kcal_per_kg, deviation**2))
        self.shares = list(_printed_shares(tree))

    def _moisture(self, guarantees: Sequence[Guarantee], form: Form) -> tuple[float, float]:
        """Mean and deviation of the food's moisture, percent as fed."""
        for one in guarantees:
            if one.nutrient == "moisture" and one.unit == "%" and one.basis == "as fed":
                margins = self._declared if one.bound is Bound.DECLARED else self._margins
                mean, deviation = margins["moisture"]
                return max(float(one.value) + mean, 1.0), deviation
        usual = model()["moisture"]
        low, high = form.moisture_usual or (usual["low"], usual["high"])
        return (low + high) / 2, max((high - low) / usual["deviations"], usual["least-deviation"])

    def _line(self, one: Guarantee) -> Printed | None:
        if one.nutrient not in DRY or one.unit != "%" or one.basis not in ("as fed", "dry matter"):
            return None
        given = self._declared if one.bound is Bound.DECLARED else self._margins
        if one.nutrient not in given or one.bound is Bound.ABOUT:
            return None
        mean, deviation = given[one.nutrient]
        if (one.bound is Bound.MIN) != (mean > 0) and one.bound is not Bound.DECLARED:
            mean = -mean  # a maximum of what is usually a minimum, or the other way
        row = np.array([1.0 if part == one.nutrient else 0.0 for part in DRY])
        return Printed(row, one.basis == "dry matter", float(one.value) + mean, deviation**2)

    def food(self, shares: Any, moisture: Any) -> tuple[Any, Any, Any, Any]:
        """The food of each point: dry parts in percent as fed, their covariance, the water lost
        as a part of the mix and its deviation."""
        part = shares / 100
        amount = part @ self._inside.means
        size = len(DRY)
        joint = (part**2 @ self._inside.covariances).reshape(-1, size, size)
        dry = np.maximum(amount.sum(axis=1), _SMALL)
        left = 100 - moisture
        slope = (np.eye(size)[None] - amount[:, :, None] / dry[:, None, None]) * (left / dry)[
            :, None, None
        ]
        parts = amount * (left / dry)[:, None]
        covariance = slope @ joint @ slope.transpose(0, 2, 1)
        lost = 1 - 100 * dry / left
        deviation = 100 * np.sqrt(np.maximum(joint.sum(axis=(1, 2)), _SMALL)) / left
        return parts, covariance, lost, deviation

    def rows(self, moisture: Any) -> tuple[Any, Any, Any]:
        """The printed lines over the dry parts as fed: rows by point, values and variances."""
        rows = np.array([one.row for one in self.lines])
        scale = np.where(
            np.array([one.of_dry for one in self.lines])[None, :],
            100 / (100 - moisture)[:, None],
            1.0,
        )
        return (
            rows[None] * scale[:, :, None],
            np.array([one.value for one in self.lines]),
            np.array([one.variance for one in self.lines]),
        )

    def log_likelihood(self, shares: Any, moisture: Any) -> Any:
        """The logarithm of the likelihood of each point."""
        parts, covariance, lost, deviation = self.food(shares, moisture)
        deviation = np.hypot(deviation, self._lost_beyond)
        found = np.log(
            np.maximum(
                _cdf((self._lost[1] - lost) / deviation) - _cdf((self._lost[0] - lost) / deviation),
                1e-300,
            )
        )
        # Far outside the interval the difference of two tails is nothing; keep a slope there.
        beyond = np.maximum(np.maximum(lost - self._lost[1], self._lost[0] - lost), 0) / deviation
        found = np.maximum(found, -600) - np.where(beyond > 20, beyond, 0)
        if self.lines:
            rows, values, variances = self.rows(moisture)
            miss = values[None] - np.einsum("nlp,np->nl", rows, parts)
            joint = rows @ covariance @ rows.transpose(0, 2, 1) + np.diag(variances)
            determinant = np.linalg.slogdet(joint)[1]
            solved = np.linalg.solve(joint, miss[:, :, None])[:, :, 0]
            found = found - 0.5 * (determinant + (miss * solved).sum(axis=1))
        for one in self.shares:
            found = found + _within(_part(shares, one), one.low, one.high)
        return found

    def kept(self, shares: Any) -> Any:
        """Whether each point keeps every printed percentage."""
        found = np.ones(len(shares), dtype=bool)
        for one in self.shares:
            part = _part(shares, one)
            found &= (part >= one.low - _SMALL) & (part <= one.high + _SMALL)
        return found


def _part(shares: Any, one: Share) -> Any:
    amount = shares[:, list(one.leaves)].sum(axis=1)
    if one.base is None:
        return amount
    return 100 * amount / np.maximum(shares[:, list(one.base)].sum(axis=1), _SMALL)


def _within(part: Any, low: float, high: float) -> Any:
    """The logarithm of a soft wall around an interval: nothing inside, a parabola outside."""
    deviation = max((min(high, 100.0) - max(low, 0.0)) / 5, 0.01)
    beyond = np.maximum(np.maximum(low - part, part - high), 0) / deviation
    return -0.5 * beyond**2


def _printed_shares(tree: Tree) -> list[Share]:
    found = []
    for path, entry in tree.entries.items():
        given = entry.percent
        if given is None or given.of not in (PercentOf.FOOD, PercentOf.PARENT):
            continue
        if given.bound is Bound.ABOUT:
            continue
        base = None
        if given.of is PercentOf.PARENT:
            parent = tree.parent(path)
            if parent is None:
                continue
            base = tuple(tree.under[parent.path])
        value = float(given.value)
        half = float(given.half_unit)
        low = 0.0 if given.bound is Bound.MAX else value - half
        high = 100.0 if given.bound is Bound.MIN else value + half
        found.append(Share(tuple(tree.under[path]), base, low, high))
    return found


def _cdf(values: Any) -> Any:
    """The normal distribution's cumulative function (Abramowitz and Stegun 1964, 7.1.26)."""
    x = np.abs(values) / np.sqrt(2)
    t = 1 / (1 + 0.3275911 * x)
    poly = t * (
        0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429)))
    )
    erf = 1 - poly * np.exp(-(x**2))
    return np.where(values >= 0, 0.5 * (1 + erf), 0.5 * (1 - erf))
