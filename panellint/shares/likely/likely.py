"""Likely shares and contents of one label."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any

import numpy as np

from panellint.label.model import Guarantee
from panellint.nutrition.forms import Form
from panellint.shares.likely.evidence import DRY, Evidence, contents, model, moisture_of
from panellint.shares.likely.layout import Layout
from panellint.shares.likely.sampler import sample
from panellint.shares.model import Base, Condition, Weights
from panellint.shares.solver.formula_set import Formulas

#: Points of each run, the number of runs, and how many sets of them are drawn where those before
#: leave an end unsure.
POINTS, RUNS, MOST_SETS = 250, 6, 3
#: Percent as fed that moisture is kept between.
_MOISTURE = (0.5, 98.0)
#: Into how many groups of alike samples a given figure parts them.
GROUPS = 20


@dataclass(frozen=True, slots=True)
class Estimate:
    """Nine of ten foods with such a label lie between `low` and `high`, half of them below
    `middle`; `error` is the sampling error of the ends."""

    low: float
    middle: float
    high: float
    error: float

    def is_known(self, to: str = "none-above") -> bool:
        """Whether the sampling error is within a limit of `rules/data/likely.yaml`."""
        limits: dict[str, float] = model()["sampling"]
        return self.error <= max(limits[to] * (self.high - self.low), limits["points"])


class Likely:
    """Samples of the shares (percent of the mix, a column a leaf) and of the food's dry parts
    (percent as fed, columns as `DRY`) with its moisture, by run of the sampler."""

    def __init__(self, formulas: Formulas, shares: list[Any], food: list[Any]) -> None:
        self._formulas = formulas
        self._shares = shares
        self._food = food

    def share(self, weights: Weights) -> Estimate:
        """The likely range of a weighted sum of entries, percent of the mix."""
        return _range(self.shares(weights))

    def figure(self, work: Any) -> Estimate:
        """The likely range of what `work` makes of the parts of the food (name to samples)."""
        return _range(self.samples(work))

    def samples(self, work: Any) -> list[Any]:
        """Returns what `work` makes of the parts of the food, percent as fed, by run."""
        return [work(run) for run in self._food]

    def shares(self, weights: Weights) -> list[Any]:
        """Returns the samples of a weighted sum of entries, percent of the mix, by run."""
        factors = self._factors(weights)
        return [run @ factors for run in self._shares]

    def width(self, wanted: Sequence[Any]) -> float:
        """Returns the width of the range of some samples."""
        return _width(np.concatenate(wanted))

    def narrowed(self, wanted: Sequence[Any], given: Sequence[Any]) -> float:
        """Returns by what part of its width the range of `wanted` falls, on average, once
        `given` is known: its width among samples that are alike in `given`."""
        first, second = np.concatenate(wanted), np.concatenate(given)
        groups = np.array_split(first[np.argsort(second, kind="stable")], GROUPS)
        whole = self.width(wanted)
        alike = float(np.mean([_width(group) for group in groups]))
        return max(1 - alike / whole, 0.0) if whole > 0 else 0.0

    def kept(self, sets: Iterable[Sequence[Condition]]) -> float:
        """The part of the samples that meet one of the sets of conditions."""
        alternatives = [list(alternative) for alternative in sets]
        parts = []
        for run in self._shares:
            met = np.zeros(len(run), dtype=bool)
            for conditions in alternatives:
                each = np.ones(len(run), dtype=bool)
                for condition in conditions:
                    weighed = run @ self._factors(condition.weights)
                    value = 100 * weighed / self._base(run, condition.base)
                    needs = float(condition.needs)
                    each &= value <= needs if condition.at_most else value >= needs
                met |= each
            parts.append(met.mean())
        return float(np.mean(parts))

    def _base(self, run: Any, base: Base) -> Any:
        if base is not Base.MIX_WITHOUT_WATER:
            return run.sum(axis=1)
        water = self._formulas.tree.water
        return run[
            :, [leaf.index for leaf in self._formulas.tree.leaves if leaf.index not in water]
        ].sum(axis=1)

    def _factors(self, weights: Weights) -> Any:
        factors = np.zeros(len(self._formulas.tree.leaves))
        for leaf, factor in self._formulas.tree.leaf_weights(weights).items():
            factors[leaf] = float(factor)
        return factors


def likely(
    formulas: Formulas,
    guarantees: Sequence[Guarantee],
    form: Form,
    kcal_per_kg: float | None,
    seed: bytes,
) -> Likely | None:
    """Samples of what foods with such a label are; None where nothing fits.

    `kcal_per_kg` is a calculated calorie line as fed, or None. The same `seed` gives the same
    samples.
    """
    tree = formulas.tree
    if not tree.leaves:
        return None
    middle, deviation = moisture_of(guarantees, form)
    # A label may print what no food can hold.
    dry = 100 - min(middle, _MOISTURE[1])
    layout = Layout(tree, canned=form.id == "canned", dry=dry)
    inside = contents(formulas, moist=form.moisture_class == "wet")
    evidence = Evidence(tree, inside, guarantees, form, kcal_per_kg, layout.printed)
    middles = np.append(layout.middles, middle)
    deviations = np.append(layout.deviations, deviation)
    levels = [(i, level) for i, level in enumerate(layout.levels) if level is not None]
    places = [i for i, _ in levels]
    level_middles = np.array([level.middle for _, level in levels])
    level_deviations = np.array([level.deviation for _, level in levels])

    def target(points: Any) -> tuple[Any, Any]:
        moisture = np.clip(points[:, -1], *_MOISTURE)
        shares = layout.shares(points)
        residuals, rest = evidence.residuals(shares, moisture)
        walls = layout.in_order(shares)
        falls, beside = layout.falls(points, shares)
        inside = evidence.kept(shares) & ~walls.any(axis=1)
        small = np.log(np.maximum(shares[:, places], 1e-9))
        misses = [
            (points - middles) / deviations,
            (small - level_middles) / level_deviations,
            residuals,
            walls,
            falls,
            (points[:, -1] - moisture)[:, None],
        ]
        squares = sum(np.einsum("ij,ij->i", table, table) for table in misses)
        return rest + beside - squares / 2, inside

    generator = np.random.Generator(np.random.PCG64(list(seed)))
    drawn = sample(target, middles, deviations, POINTS, RUNS, generator)
    sets, runs, shares = list[Any](), None, list[Any]()
    for points in islice(drawn, MOST_SETS):
        sets.append(points)
        runs = np.concatenate(sets, axis=1)
        shares = [layout.shares(run) for run in runs]
        ranges = (_range([run[:, leaf] for run in shares]) for leaf in range(len(tree.leaves)))
        if all(estimate.is_known("more-above") for estimate in ranges):
            break
    if runs is None:
        return None
    moistures = np.clip(runs[:, :, -1], *_MOISTURE)
    food = [_food(evidence, *each, generator) for each in zip(shares, moistures, strict=True)]
    nothing = model()["levels"]["unlisted"]["nothing-below"]
    for run in shares:
        for leaf in layout.maybe_none:
            run[run[:, leaf] < nothing, leaf] = 0.0
    return Likely(formulas, shares, food)


def _food(evidence: Evidence, shares: Any, moisture: Any, generator: Any) -> Mapping[str, Any]:
    """One draw of the food's parts for each point, given its printed lines."""
    parts, covariance, _, _ = evidence.food(shares, moisture)
    if evidence.lines:
        miss, joint, across = evidence.printed(parts, covariance, moisture)
        gain = np.linalg.solve(joint, across).transpose(0, 2, 1)
        parts = parts + np.einsum("npl,nl->np", gain, miss)
        covariance = covariance - gain @ across
    root = np.linalg.cholesky(covariance + 1e-9 * np.eye(len(DRY)))
    noise = np.einsum("npq,nq->np", root, generator.standard_normal(parts.shape))
    parts = np.maximum(parts + noise, 0.0)
    food = {part: parts[:, i] for i, part in enumerate(DRY)}
    food["moisture"] = moisture
    level = evidence.hidden_fibre
    drawn = np.exp(level.middle + level.deviation * generator.standard_normal(len(moisture)))
    hidden = np.minimum(drawn, 1) * food["carbohydrate"]
    food["starch and sugar"] = food["carbohydrate"] - hidden
    food["all fibre"] = food["fibre"] + hidden
    return food


def _quantiles(samples: Any) -> Any:
    """The range of nine in ten and the middle along the last axis, between the samples on either
    side; numpy's own loads its masked arrays for that, which takes as long as twenty moves."""
    ordered, last = np.sort(samples, axis=-1), samples.shape[-1] - 1
    places = np.array([0.05, 0.5, 0.95]) * last
    below = places.astype(int)
    step = ordered[..., np.minimum(below + 1, last)] - ordered[..., below]
    return ordered[..., below] + (places - below) * step


def _width(samples: Any) -> float:
    low, _, high = _quantiles(samples)
    return float(high - low)


def _range(runs: list[Any]) -> Estimate:
    ends = _quantiles(np.array(runs))
    low, middle, high = ends.mean(axis=0)
    error = ends[:, [0, 2]].std(axis=0, ddof=1).max() / np.sqrt(len(runs))
    return Estimate(float(low), float(middle), float(high), float(error))
