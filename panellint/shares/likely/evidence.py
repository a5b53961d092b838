"""How well shares agree with what else the label prints: guarantees, calories, percentages.

What ingredients hold is a normal distribution: the catalogue's range of each part gives a middle
and a deviation, and that all parts make up the whole ties them to each other (an ingredient with
more fat has less water). The finished food is the mix less the water that leaves. What is printed
is the truth less a margin (measured less printed, by nutrient and form), so a guarantee is evidence
and no wall.
"""

from collections.abc import Collection, Sequence
from functools import cache
from math import log
from statistics import NormalDist
from typing import Any, NamedTuple

import numpy as np

from panellint.catalogue import load
from panellint.catalogue.model import ANYTHING, PARTS, CatalogueEntry
from panellint.core.units import convert
from panellint.ingredients.model import Ingredient
from panellint.label.model import Bound, Guarantee, PercentOf
from panellint.nutrition.bases import unit_of
from panellint.nutrition.energy import factors
from panellint.nutrition.forms import Form
from panellint.nutrition.profiles import DRY_MATTER, profile
from panellint.rulepacks.data import data
from panellint.shares.explain import percent_limits
from panellint.shares.model import Path
from panellint.shares.solver.formula_set import Formulas
from panellint.shares.tree import Tree
from panellint.shares.unlisted import is_unlisted


class Level(NamedTuple):
    """A log-normal level: the logarithm of its middle in percent of the mix, and the standard
    deviation of the logarithm."""

    middle: float
    deviation: float


@cache
def model() -> dict[str, Any]:
    """The figures of the model."""
    settings: dict[str, Any] = data("data/likely")["likely"]
    return settings


def level_of(given: dict[str, float]) -> Level:
    """A level from its middle and the factor to either side that holds two of three foods."""
    return Level(log(given["middle"]), log(given["factor"]))


@cache
def _limits() -> dict[str, tuple[float, float]]:
    """The least and the most that a food holds of a nutrient by the AAFCO profiles of both
    species, in the nutrient's own unit; where they set no maximum, a multiple of the minimum."""
    by_nutrient: dict[str, tuple[list[float], list[float]]] = {}
    for species in ("dog", "cat"):
        for limit in profile("AAFCO", species, "maintenance", basis=DRY_MATTER).limits:
            if limit.basis == DRY_MATTER:
                lows, highs = by_nutrient.setdefault(limit.nutrient, ([], []))
                for ends, end in ((lows, limit.low), (highs, limit.high)):
                    if end:
                        ends.append(convert(end, limit.unit, unit_of(limit.nutrient)))
    times = model()["levels"]["profile"]["times-minimum"]
    return {
        nutrient: (min(lows), max(highs, default=times * max(lows)))
        for nutrient, (lows, highs) in by_nutrient.items()
        if lows
    }


def _by_profile(known: CatalogueEntry) -> Level | None:
    """The level of what supplies a trace element or a vitamin and nothing else: between a part of
    the profile's minimum and its maximum, by how much of it the pure substance holds."""
    given = model()["levels"]["profile"]
    if known.kind not in given["kinds"] or len(known.supplies) != 1:
        return None
    limits, strength = _limits().get(known.supplies[0]), known.range_of(known.supplies[0])
    if limits is None or strength is None or strength.high <= 0:
        return None
    low, high = (100 * end / strength.high for end in (given["of-minimum"] * limits[0], limits[1]))
    ends = NormalDist().inv_cdf(0.5 + given["holds"] / 200)
    return Level((log(low) + log(high)) / 2, (log(high) - log(low)) / 2 / ends)


def usual_level(entry: Ingredient, beside: bool = True, dry: float = 90.0) -> Level | None:
    """The usual level of a declared ingredient in a food of so much `dry` matter (percent as fed);
    None for what makes up the food. Of water that is not listed, `beside`: the food is not canned,
    or lists water or broth."""
    known = entry.match.known if entry.match else None
    if known is None:
        return None
    if is_unlisted(entry) and known.kind == "water":
        return level_of(model()["levels"]["unlisted"]["water-beside" if beside else "water"])
    level, given = _level(known, entry), model()["levels"]["of-dry-matter"]
    by_dry_matter = known.kind in given["kinds"] and known.id not in given["but"]
    if level is None or not (is_unlisted(entry) or by_dry_matter):
        return level
    return level._replace(middle=level.middle + log(dry / given["at"]))


def _level(known: CatalogueEntry, entry: Ingredient) -> Level | None:
    """The usual level in a dry food."""
    levels = model()["levels"]
    if is_unlisted(entry):
        return level_of(levels["unlisted"]["additives"])
    if (by_profile := _by_profile(known)) is not None:
        return by_profile
    if known.usual is not None and known.usual.high > 0:
        high = known.usual.high
        low = max(known.usual.low, high / 20)
        ends = NormalDist().inv_cdf(0.5 + levels["customary-holds"] / 200)
        return Level((log(low) + log(high)) / 2, max((log(high) - log(low)) / 2 / ends, 0.15))
    if known.state == "premix":
        return level_of(levels["premix"])
    given = levels["kinds"].get(known.kind)
    return level_of(given) if given else None


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
        low, high = (np.maximum(low, 1 - high.sum() + high), np.minimum(high, 1 - low.sum() + low))
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


_SMALL = 1e-9
#: Points of percent that a whole may be off by rounding.
_ROUNDING = 1e-6
#: Deviations from end to end of an even spread; the least deviation of a printed percentage, and
#: that of one that has one end only, in points.
_EVEN, _LEAST_SPREAD, _ONE_SIDED = 12**0.5, 0.01, 0.5


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


def moisture_of(guarantees: Sequence[Guarantee], form: Form) -> tuple[float, float]:
    """Mean and deviation of a food's moisture, percent as fed."""
    margins, usual = model()["margins"], model()["moisture"]
    for guarantee in guarantees:
        if (
            guarantee.nutrient == "moisture"
            and guarantee.unit == "%"
            and guarantee.basis == "as fed"
        ):
            kind = "wet" if form.moisture_class == "wet" else "dry"
            kind = "declared" if guarantee.bound is Bound.DECLARED else kind
            mean, deviation = margins[kind]["moisture"]
            return max(float(guarantee.value) + mean, 1.0), deviation
    low, high = form.moisture_usual or (usual["low"], usual["high"])
    return (low + high) / 2, max((high - low) / usual["deviations"], usual["least-deviation"])


class Evidence:
    """The likelihood of shares under one label; a sample's own moisture is one of its variables."""

    def __init__(
        self,
        tree: Tree,
        inside: Contents,
        guarantees: Sequence[Guarantee],
        form: Form,
        kcal_per_kg: float | None,
        kept: Collection[Path] = (),
    ) -> None:
        self._inside = inside
        wet = form.moisture_class == "wet"
        self._margins = model()["margins"]["wet" if wet else "dry"]
        self._declared = model()["margins"]["declared"]
        #: Fibre that crude fibre misses, as a part of the carbohydrate.
        self.hidden_fibre = level_of(model()["hidden-fibre"]["wet" if wet else "dry"])
        self._lost = tuple(end / 100 for end in form.water_lost_usual)
        self._lost_beyond = model()["water-lost"]["deviation"] / 100
        self.lines = [line for line in map(self._line, guarantees) if line is not None]
        if kcal_per_kg:
            # kcal per 1 % in a kg, by modified Atwater.
            row = np.array([10 * factors().get(part, 0.0) for part in DRY])
            deviation = model()["margins"]["energy"]["deviation"] * kcal_per_kg
            self.lines.append(Printed(row, False, kcal_per_kg, deviation**2))
        self.shares = [share for path, share in _printed_shares(tree).items() if path not in kept]

    def _line(self, guarantee: Guarantee) -> Printed | None:
        if (
            guarantee.nutrient not in DRY
            or guarantee.unit != "%"
            or guarantee.basis not in ("as fed", "dry matter")
        ):
            return None
        given = self._declared if guarantee.bound is Bound.DECLARED else self._margins
        if guarantee.nutrient not in given or guarantee.bound is Bound.ABOUT:
            return None
        mean, deviation = given[guarantee.nutrient]
        if (guarantee.bound is Bound.MIN) != (mean > 0) and guarantee.bound is not Bound.DECLARED:
            mean = -mean  # a maximum of what is usually a minimum, or the other way
        row = np.array([1.0 if part == guarantee.nutrient else 0.0 for part in DRY])
        return Printed(
            row, guarantee.basis == "dry matter", float(guarantee.value) + mean, deviation**2
        )

    def food(self, shares: Any, moisture: Any) -> tuple[Any, Any, Any, Any]:
        """The food of each point: dry parts in percent as fed, their covariance, the water lost
        as a part of the mix and its deviation."""
        part = shares / 100
        amount = part @ self._inside.means
        size = len(DRY)
        joint = (part**2 @ self._inside.covariances).reshape(-1, size, size)
        dry = np.maximum(amount.sum(axis=1), _SMALL)
        left = 100 - moisture
        # What the dry parts are of the food depends on their sum as well as on each.
        of_dry, row = amount / dry[:, None], joint.sum(axis=2)
        whole = row.sum(axis=1)
        both = row[:, :, None] * of_dry[:, None, :]
        covariance = joint - both - both.transpose(0, 2, 1)
        covariance += (whole[:, None] * of_dry)[:, :, None] * of_dry[:, None, :]
        covariance *= ((left / dry) ** 2)[:, None, None]
        deviation = 100 * np.sqrt(np.maximum(whole, _SMALL)) / left
        return of_dry * left[:, None], covariance, 1 - 100 * dry / left, deviation

    def printed(self, parts: Any, covariance: Any, moisture: Any) -> tuple[Any, Any, Any]:
        """The printed lines of each point: by how much it misses them, the covariance of that,
        and the covariance of the lines with the parts."""
        rows = np.array([line.row for line in self.lines])
        dry = np.array([line.of_dry for line in self.lines])
        scale = np.where(dry[None, :], 100 / (100 - moisture)[:, None], 1.0)
        miss = np.array([line.value for line in self.lines]) - scale * (parts @ rows.T)
        across = scale[:, :, None] * (rows @ covariance)
        joint = (across @ rows.T) * scale[:, None, :]
        return miss, joint + np.diag([line.variance for line in self.lines]), across

    def residuals(self, shares: Any, moisture: Any) -> tuple[Any, Any]:
        """What each point misses, in deviations (a row each): minus half their squares is the
        logarithm of the likelihood, but for what comes second."""
        parts, covariance, lost, deviation = self.food(shares, moisture)
        deviation = np.hypot(deviation, self._lost_beyond)
        misses = [_beyond(lost, *self._lost) / deviation]
        rest = np.zeros(len(shares))
        if self.lines:
            miss, joint, _ = self.printed(parts, covariance, moisture)
            white, rest = whitened(joint, miss)
            misses += list(white.T)
        for share in self.shares:
            part = _part(shares, share)
            if share.low > 0 and share.high < 100:
                # As wide as an even spread over the interval; what lies outside is left out.
                spread = max((share.high - share.low) / _EVEN, _LEAST_SPREAD)
                misses.append((part - (share.low + share.high) / 2) / spread)
            else:
                misses.append(_beyond(part, share.low, share.high) / _ONE_SIDED)
        return np.array(misses).T, rest

    def kept(self, shares: Any) -> Any:
        """Whether each point is a whole mix and keeps every printed percentage."""
        inside = np.abs(shares.sum(axis=1) - 100) < _ROUNDING
        for share in self.shares:
            part = _part(shares, share)
            inside &= (part >= share.low - _SMALL) & (part <= share.high + _SMALL)
        return inside


def _part(shares: Any, share: Share) -> Any:
    amount = shares[:, list(share.leaves)].sum(axis=1)
    if share.base is None:
        return amount
    return 100 * amount / np.maximum(shares[:, list(share.base)].sum(axis=1), _SMALL)


def _beyond(value: Any, low: float, high: float) -> Any:
    """How far a value lies outside an interval: nothing inside."""
    return np.maximum(value - high, 0) - np.maximum(low - value, 0)


def whitened(joint: Any, miss: Any) -> tuple[Any, Any]:
    """Returns the misses in deviations that are independent of each other, and minus half the
    logarithm of the determinant of their covariance, for many small matrices at once."""
    root, white = np.zeros_like(joint), np.zeros_like(miss)
    for i in range(miss.shape[1]):
        for j in range(i):
            known = (root[:, i, :j] * root[:, j, :j]).sum(axis=1)
            root[:, i, j] = (joint[:, i, j] - known) / root[:, j, j]
        root[:, i, i] = np.sqrt(joint[:, i, i] - (root[:, i, :i] ** 2).sum(axis=1))
        known = (root[:, i, :i] * white[:, :i]).sum(axis=1)
        white[:, i] = (miss[:, i] - known) / root[:, i, i]
    return white, -np.log(np.diagonal(root, axis1=1, axis2=2)).sum(axis=1)


def _printed_shares(tree: Tree) -> dict[Path, Share]:
    shares = {}
    for path, entry in tree.entries.items():
        given = entry.percent
        if given is None or given.bound is Bound.ABOUT:
            continue
        whole = tree.base_of(path, given.of)
        if whole is None or given.of is PercentOf.COMPONENT:
            continue
        base = tuple(tree.under[whole]) if whole else None
        ends = percent_limits(given)
        low, high = (
            other if end is None else 100 * float(end)
            for end, other in zip(ends, (0.0, 100.0), strict=True)
        )
        shares[path] = Share(tuple(tree.under[path]), base, low, high)
    return shares
