"""Samples of a posterior by its density.

Points of a wide distribution are led to the posterior in steps that keep at least half of them
effective, drawn anew by their weights and moved at each (sequential Monte Carlo: Del Moral, Doucet,
Jasra 2006, J R Stat Soc B 68:411). A move keeps a part of a point's way from the mean and draws the
rest, so that it would leave a Student distribution fitted to the points as it is (Cotter, Roberts,
Stuart, White 2013, Stat Sci 28:424, with the scale of each point drawn from its own distribution).
"""

from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

import numpy as np

#: Degrees of freedom of the distributions drawn from, and the most that a variable deviates in the
#: first.
_FREEDOM, _WIDEST = 5, 2.0
#: The part of the points that a step leaves effective, the moves after each step and after the last
#: one, and the part of them that is to be accepted.
_KEEP, _MOVES, _LAST_MOVES, _ACCEPTED = 0.5, 3, 16, 0.25
#: The part of a move that is drawn anew: at first, and at most.
_FAR, _FARTHEST = 0.8, 0.95

#: The logarithm of the density of points (a row each), which leads away from walls, and which of
#: them lie inside these.
Target = Callable[[Any], tuple[Any, Any]]


class _Student:
    """A multivariate Student distribution around a mean; `root` times its transpose is its
    scale."""

    def __init__(self, mean: Any, root: Any) -> None:
        self.mean, self.root = mean, root
        self._inverse = np.linalg.inv(root).T

    def draw(self, count: int, generator: Any) -> Any:
        wide = np.sqrt(_FREEDOM / generator.chisquare(_FREEDOM, count))
        normal = generator.standard_normal((count, len(self.mean)))
        return self.mean + (normal @ self.root.T) * wide[:, None]

    def moved(self, points: Any, far: float, generator: Any) -> tuple[Any, Any]:
        """Points moved so that this distribution stays as it is, `far` of each drawn anew; and the
        logarithm of its density before less that after."""
        away = points - self.mean
        before = _FREEDOM + _squares(away @ self._inverse)
        half = (_FREEDOM + len(self.mean)) / 2
        wide = np.sqrt(before / (2 * generator.standard_gamma(half, len(points))))
        drawn = generator.standard_normal(points.shape) @ self.root.T
        moved = np.sqrt(1 - far**2) * away + far * wide[:, None] * drawn
        after = _FREEDOM + _squares(moved @ self._inverse)
        return self.mean + moved, half * np.log(after / before)

    def log_density(self, points: Any) -> Any:
        """The logarithm of the density, up to what all such distributions share."""
        away = (points - self.mean) @ self._inverse
        half = (_FREEDOM + len(self.mean)) / 2
        return -half * np.log1p(_squares(away) / _FREEDOM)


def sample(
    target: Target, middles: Any, deviations: Any, count: int, runs: int, generator: Any
) -> Iterator[Any]:
    """Yields `runs` sets of `count` points each, drawn apart from each other (axes: run, point,
    variable), and more of them as long as they are asked for; none where the target is nowhere
    finite.

    `middles` and `deviations` say where each variable is looked for.
    """

    def log_target(points: Any, *, walls: bool = False) -> Any:
        log_density, inside = target(points)
        return np.where(np.isfinite(log_density) & (inside | (not walls)), log_density, -np.inf)

    base = _Student(middles, np.diag(np.minimum(deviations, _WIDEST)))
    cloud = _Cloud(base, log_target, base.draw(runs * count, generator))
    power = 0.0
    while power < 1.0:
        worth = (cloud.fit - cloud.near).reshape(runs, count)
        best = worth.max(axis=1)
        if not np.isfinite(best).all():
            return
        worth = worth - best[:, None]
        step = _next(worth, power)
        cloud.keep(np.exp((step - power) * worth), generator)
        power = step
        if power < 1.0:
            cloud.move(_MOVES, power, generator)
    # Walls stand from here on: before, few points would be between them at all.
    cloud.log_target = partial(log_target, walls=True)
    cloud.fit = cloud.log_target(cloud.points)
    inside = np.isfinite(cloud.fit).reshape(runs, count)
    if not inside.any(axis=1).all():
        return
    cloud.keep(1.0 * inside, generator)
    while True:
        cloud.move(_LAST_MOVES, power, generator)
        yield cloud.points.reshape(runs, count, -1).copy()


class _Cloud:
    """Points, with the logarithms of the densities they are led from (`near`) and to (`fit`)."""

    def __init__(self, base: _Student, log_target: Callable[[Any], Any], points: Any) -> None:
        self._base, self.log_target = base, log_target
        self.points, self.near, self.fit = points, base.log_density(points), log_target(points)

    def keep(self, weights: Any, generator: Any) -> None:
        """Draws the points anew by their weights, a row a run."""
        chosen = np.array([_systematic(run, generator) for run in weights])
        chosen = (chosen + weights.shape[1] * np.arange(len(weights))[:, None]).ravel()
        self.points, self.near, self.fit = (
            each[chosen] for each in (self.points, self.near, self.fit)
        )

    def move(self, times: int, power: float, generator: Any) -> None:
        """Moves the points so that they keep the target to a power, times the base to the rest."""
        spread = np.atleast_2d(np.cov(self.points, rowvar=False))
        around, far = _Student(self.points.mean(axis=0), _root(spread)), _FAR
        for _ in range(times):
            moved, gain = around.moved(self.points, far, generator)
            fit = self.log_target(moved)
            gain += power * (fit - self.fit)
            near = self._base.log_density(moved) if power < 1.0 else self.near
            gain += (1 - power) * (near - self.near)
            taken = np.log(generator.random(len(gain))) < gain
            self.points[taken], self.fit[taken] = moved[taken], fit[taken]
            self.near[taken] = near[taken]
            far = min(far * np.exp(0.6 * (taken.mean() - _ACCEPTED)), _FARTHEST)


def _next(worth: Any, power: float) -> float:
    """The largest power that leaves enough points of each run effective."""

    def is_enough(step: float) -> bool:
        weights = np.exp((step - power) * worth)
        worth_as_many = weights.sum(axis=1) ** 2 / (weights**2).sum(axis=1)
        return bool((worth_as_many >= _KEEP * weights.shape[1]).all())

    low, high = power, 1.0
    if is_enough(high):
        return high
    for _ in range(25):
        middle = (low + high) / 2
        low, high = (middle, high) if is_enough(middle) else (low, middle)
    return max(low, power + 1e-4)


def _root(spread: Any) -> Any:
    """The lower triangle whose square is a covariance. What rounding or too few points leave flat
    is widened, by as little as is needed."""
    own = np.diag(np.maximum(np.diag(spread), 1e-9))
    for wider in (1e-9, 1e-6, 1e-3):
        try:
            return np.linalg.cholesky(spread + wider * own)
        except np.linalg.LinAlgError:
            continue
    return np.sqrt(own)


def _squares(table: Any) -> Any:
    """The sum of the squares of each row."""
    return np.einsum("ij,ij->i", table, table)


def _systematic(weights: Any, generator: Any) -> Any:
    """Row numbers drawn by weight, evenly spread (systematic resampling)."""
    count = len(weights)
    places = (generator.random() + np.arange(count)) / count
    return np.minimum(np.searchsorted(np.cumsum(weights / weights.sum()), places), count - 1)
