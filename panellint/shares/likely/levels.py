"""Usual levels: how much of a mix an ingredient customarily is, from `rules/data/likely.yaml`."""

from functools import cache
from math import log
from statistics import NormalDist
from typing import Any, NamedTuple

from panellint.catalogue.model import CatalogueEntry
from panellint.core.units import convert
from panellint.ingredients.model import Ingredient
from panellint.nutrition.nutrients import unit_of
from panellint.nutrition.profiles import DRY_MATTER, profile
from panellint.rulepacks.data import data
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
