"""Samples of a posterior whose logarithm is minus half a sum of squares, and a rest.

The mode is found by damped least squares (Marquardt 1963, J SIAM 11:431). A Student distribution
around it is fitted to weighted draws of its own a few times (adaptive importance sampling: Cornuet,
Marin, Mira, Robert 2012, Scand J Stat 39:798). From there points are led to the posterior in steps
that keep at least half of them effective, drawn anew by their weights and moved by random walks at
each (sequential Monte Carlo: Del Moral, Doucet, Jasra 2006, J R Stat Soc B 68:411).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

#: Steps and lengths of the search for the mode, and the gain below which it ends.
_STEPS, _LENGTHS, _ENOUGH = 30, (1.0, 0.4, 0.1), 1e-2
#: Points of a round of fitting, and the number of rounds.
_ROUND, _ROUNDS = 1000, 4
#: Degrees of freedom of the distributions drawn from, and how much wider the first is.
_FREEDOM, _WIDER = 5, 1.5
#: The part of the points that a step leaves effective, the random walks after each step and after
#: the last one, and the part of them that is to be accepted.
_KEEP, _MOVES, _LAST_MOVES, _ACCEPTED = 0.5, 6, 24, 0.25
#: How often at most a distribution is drawn in to half its width.
_NARROWER = 6
#: Tempered weights are to have this many effective points a variable.
_POINTS_A_VARIABLE = 4

#: Residuals of points (a row each; several tables side by side), and what the logarithm of the
#: density has beside them.
Target = Callable[[Any], tuple[list[Any], Any]]


class _Student:
    """A multivariate Student distribution around a mean; `root` times its transpose is its
    scale."""

    def __init__(self, mean: Any, root: Any) -> None:
        self.mean, self.root = mean, root
        self._inverse = np.linalg.inv(root).T
        self._scale = np.log(np.diag(root)).sum()

    def draw(self, count: int, generator: Any) -> Any:
        wide = np.sqrt(_FREEDOM / generator.chisquare(_FREEDOM, count))
        normal = generator.standard_normal((count, len(self.mean)))
        return self.mean + (normal @ self.root.T) * wide[:, None]

    def log_density(self, points: Any) -> Any:
        """The logarithm of the density, up to what all such distributions share."""
        away = (points - self.mean) @ self._inverse
        half = (_FREEDOM + len(self.mean)) / 2
        return -self._scale - half * np.log1p(_squares(away) / _FREEDOM)


def sample(
    target: Target, start: Any, steps: Any, count: int, runs: int, generator: Any
) -> Any | None:
    """Returns `runs` sets of `count` points each, drawn apart from each other (axes: run, point,
    variable); None where the target is nowhere finite.

    `start` is a point, `steps` how far each variable is to be moved to feel its slope.
    """

    def log_target(points: Any) -> Any:
        residuals, rest = target(points)
        log_density = rest - 0.5 * sum(map(_squares, residuals))
        return np.where(np.isfinite(log_density), log_density, -np.inf)

    base = _mode(target, start, steps)
    if base is None:
        return None
    points, logs, bases = [], [], []
    for _ in range(_ROUNDS):
        base, drawn, logs_drawn = _inside(base, log_target, generator)
        bases.append(base)
        points.append(drawn)
        logs.append(logs_drawn)
        every = np.concatenate(points)
        mixture = np.logaddexp.reduce([each.log_density(every) for each in bases])
        worth = np.concatenate(logs) - mixture
        if not np.isfinite(worth.max()):
            return None
        base = _fitted(every, worth - worth.max())
    return _led(base, log_target, count, runs, generator)


def _inside(
    base: _Student, log_target: Callable[[Any], Any], generator: Any
) -> tuple[_Student, Any, Any]:
    """`base`, drawn in around its mean where it puts too few points where the target is anything,
    with a round of points of it and their logarithms."""
    best, enough = -1, _POINTS_A_VARIABLE * len(base.mean)
    for _ in range(_NARROWER):
        points = base.draw(_ROUND, generator)
        logs = log_target(points)
        if (inside := int(np.isfinite(logs).sum())) > best:
            best, kept = inside, (base, points, logs)
        if inside >= enough:
            break
        base = _Student(base.mean, base.root / 2)
    return kept


def _led(
    base: _Student, log_target: Callable[[Any], Any], count: int, runs: int, generator: Any
) -> Any | None:
    """Points of `base`, led to the target."""
    points = base.draw(runs * count, generator)
    size = points.shape[1]
    near, fit = base.log_density(points), log_target(points)
    power, scale = 0.0, 2.0 / np.sqrt(size)
    while power < 1.0:
        worth = (fit - near).reshape(runs, count)
        best = worth.max(axis=1)
        if not np.isfinite(best).all():
            return None
        worth = worth - best[:, None]
        step = _next(worth, power)
        chosen = np.concatenate(
            [
                run * count + _systematic(np.exp((step - power) * each), generator)
                for run, each in enumerate(worth)
            ]
        )
        points, near, fit, power = points[chosen], near[chosen], fit[chosen], step
        root = _root(np.atleast_2d(np.cov(points, rowvar=False)))
        for _ in range(_LAST_MOVES if power >= 1.0 else _MOVES):
            moved = points + scale * generator.standard_normal(points.shape) @ root.T
            moved_fit = log_target(moved)
            gain = power * (moved_fit - fit)
            if power < 1.0:
                moved_near = base.log_density(moved)
                gain += (1 - power) * (moved_near - near)
            taken = np.log(generator.random(len(points))) < gain
            points[taken], fit[taken] = moved[taken], moved_fit[taken]
            if power < 1.0:
                near[taken] = moved_near[taken]
            scale *= np.exp(0.6 * (taken.mean() - _ACCEPTED))
    return points.reshape(runs, count, size)


def _next(worth: Any, power: float) -> float:
    """The largest power that leaves enough points of each run effective."""

    def is_enough(step: float) -> bool:
        weights = np.exp((step - power) * worth)
        return all(_effective(each) >= _KEEP * len(each) for each in weights)

    low, high = power, 1.0
    if is_enough(high):
        return high
    for _ in range(25):
        middle = (low + high) / 2
        low, high = (middle, high) if is_enough(middle) else (low, middle)
    return max(low, power + 1e-4)


def _mode(target: Target, start: Any, steps: Any) -> _Student | None:
    """The distribution around the point of least squares, which is looked for from `start` on."""

    def misses(points: Any) -> Any:
        return np.hstack(target(points)[0])

    here, damping = start, 1e-2
    now = misses(here[None])
    least = float(_squares(now)[0])
    if not np.isfinite(least):
        return None
    for _ in range(_STEPS):
        slope = ((misses(here + np.diag(steps)) - now) / steps[:, None]).T
        square = slope.T @ slope
        diagonal = np.diag(np.diag(square))
        pull = slope.T @ now[0]
        tries = np.array(
            [
                here - length * np.linalg.solve(square + wide * damping * diagonal, pull)
                for wide in (1.0, 30.0)
                for length in _LENGTHS
            ]
        )
        residuals = misses(tries)
        sums = np.nan_to_num(_squares(residuals), nan=np.inf)
        best = int(sums.argmin())
        gain = least - float(sums[best])
        if gain > 0:
            here, now, least = tries[best], residuals[best : best + 1], least - gain
            damping = max(damping * (0.2 if best == 0 else 3.0), 1e-6)
        if gain < _ENOUGH:
            break
    return _Student(here, _WIDER * np.linalg.cholesky(np.linalg.inv(square)))


def _fitted(points: Any, worth: Any) -> _Student:
    """The distribution of weighted points; where few of them weigh anything, their weights are
    evened out until some do."""
    power, enough = 1.0, _POINTS_A_VARIABLE * points.shape[1]
    while _effective(np.exp(power * worth)) < enough and power > 1e-3:
        power *= 0.8
    weights = np.exp(power * worth)
    weights /= weights.sum()
    mean = weights @ points
    away = points - mean
    spread = (away * weights[:, None]).T @ away
    return _Student(mean, _root(spread))


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


def _effective(weights: Any) -> float:
    """How many equal points are worth as much."""
    return float(weights.sum() ** 2 / (weights**2).sum())


def _systematic(weights: Any, generator: Any) -> Any:
    """Row numbers drawn by weight, evenly spread (systematic resampling)."""
    count = len(weights)
    places = (generator.random() + np.arange(count)) / count
    return np.minimum(np.searchsorted(np.cumsum(weights / weights.sum()), places), count - 1)
