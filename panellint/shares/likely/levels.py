"""Usual levels: how much of a mix an ingredient customarily is, from `rules/data/likely.yaml`."""

from __future__ import annotations

from functools import cache
from math import log
from statistics import NormalDist
from typing import TYPE_CHECKING, Any, NamedTuple

from panellint.rulepacks.data import data
from panellint.shares.unlisted import is_unlisted

if TYPE_CHECKING:
    from panellint.ingredients.model import Ingredient


class Level(NamedTuple):
    """A log-normal level: the logarithm of its middle in percent of the mix, and the standard
    deviation of the logarithm."""

    middle: float
    deviation: float


@cache
def model() -> dict[str, Any]:
    """The figures of the model."""
    found: dict[str, Any] = data("data/likely")["likely"]
    return found


def level_of(given: dict[str, float]) -> Level:
    """A level from its middle and the factor to either side that holds two of three foods."""
    return Level(log(given["middle"]), log(given["factor"]))


def usual_level(entry: Ingredient) -> Level | None:
    """The usual level of a declared ingredient; None for what makes up the food."""
    known = entry.match.known if entry.match else None
    if known is None:
        return None
    levels = model()["levels"]
    if is_unlisted(entry):
        return level_of(levels["unlisted"]["water" if known.kind == "water" else "additives"])
    if known.usual is not None and known.usual.high > 0:
        high = known.usual.high
        low = max(known.usual.low, high / 20)
        ends = NormalDist().inv_cdf(0.5 + levels["customary-holds"] / 200)
        return Level((log(low) + log(high)) / 2, max((log(high) - log(low)) / 2 / ends, 0.15))
    if known.state == "premix":
        return level_of(levels["premix"])
    given = levels["kinds"].get(known.kind)
    return level_of(given) if given else None
