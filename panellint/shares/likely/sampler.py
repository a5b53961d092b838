"""Sequential Monte Carlo: many points led from a prior to a posterior in steps.

The likelihood is raised to a power that grows from nothing to one so that at least half of the
points keep their worth at each step; then the points are drawn anew by their weights and moved
by random walks (Del Moral, Doucet, Jasra 2006, J R Stat Soc B 68:411).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

_KEEP = 0.5  # the part of the points that a step must leave effective
_MOVES = 3
_LAST_MOVES = 12
_ACCEPTED = 0.25


def sample(
    draw: Callable[[Any, int], Any],
    log_prior: Callable[[Any], Any],
    log_likelihood: Callable[[Any], Any],
    count: int,
    generator: Any,
) -> Any | None:
    """Points of the posterior, one row each; None where the likelihood is nowhere finite.

    `draw(generator, count)` gives points of the prior; `log_prior` and `log_likelihood` take
    rows of points.
    """
    points = draw(generator, count)
    fit = log_likelihood(points)
    prior = log_prior(points)
    if not np.isfinite(fit).any():
        return None
    fit = np.where(np.isfinite(fit), fit, -np.inf)
    power, size = 0.0, 2.4 / np.sqrt(points.shape[1])
    while power < 1.0:
        step = _next(fit, power)
        weights = np.exp((step - power) * (fit - fit.max()))
        chosen = _systematic(weights / weights.sum(), generator)
        points, fit, prior = points[chosen], fit[chosen], prior[chosen]
        power = step
        moves = _LAST_MOVES if power >= 1.0 else _MOVES
        spread = np.cov(points, rowvar=False).reshape(points.shape[1], -1)
        root = np.linalg.cholesky(spread + 1e-9 * np.eye(len(spread)))
        for _ in range(moves):
            moved = points + size * generator.standard_normal(points.shape) @ root.T
            moved_fit, moved_prior = log_likelihood(moved), log_prior(moved)
            gain = power * (moved_fit - fit) + moved_prior - prior
            taken = np.log(generator.random(len(points))) < gain
            points[taken], fit[taken], prior[taken] = (
                moved[taken],
                moved_fit[taken],
                moved_prior[taken],
            )
            size *= np.exp(0.6 * (taken.mean() - _ACCEPTED))
    return points


def _next(fit: Any, power: float) -> float:
    """The largest power that leaves enough points effective."""
    low, high = power, 1.0
    if _effective(fit, high - power) >= _KEEP:
        return 1.0
    for _ in range(30):
        middle = (low + high) / 2
        if _effective(fit, middle - power) >= _KEEP:
            low = middle
        else:
            high = middle
    return max(low, power + 1e-6)


def _effective(fit: Any, step: float) -> float:
    weights = np.exp(step * (fit - fit.max()))
    return float(weights.sum() ** 2 / (weights**2).sum() / len(weights))


def _systematic(weights: Any, generator: Any) -> Any:
    """Row numbers drawn by weight, evenly spread (systematic resampling)."""
    places = (generator.random() + np.arange(len(weights))) / len(weights)
    return np.minimum(np.searchsorted(np.cumsum(weights), places), len(weights) - 1)
