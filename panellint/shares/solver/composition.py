"""The parts an ingredient is made of, from ranges to ranges that fit together."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache, cached_property, lru_cache
from math import inf, isfinite
from typing import NamedTuple, TypeAlias

from panellint.catalogue.model import PARTS, Range
from panellint.core.numbers import decimal
from panellint.core.units import part_of_whole
from panellint.ingredients.model import Ingredient
from panellint.rulepacks.data import data
from panellint.shares.premises import exact

#: Composition of an ingredient: nutrient id to range in the nutrient's own unit. What is
#: absent is unknown.
Ranges: TypeAlias = Callable[[Ingredient], Mapping[str, Range]]
#: The parts that are merged into one column where no constraint tells them apart.
OTHER = "other"


class Interval(NamedTuple):
    """An exact interval of fractions of a weight, both ends included."""

    low: Fraction
    high: Fraction


WHOLE = Interval(Fraction(0), Fraction(1))


@dataclass(frozen=True)
class Composition:
    """The six parts of one ingredient, as fractions of its weight.

    `parts` are as an analysis has them, carbohydrate by difference, and tightened: each end can
    be reached with the others inside theirs. By difference carbohydrate holds the errors of all
    others: it may lie a little outside its range, and below nothing where the nitrogenous part is
    analysed as more than it weighs. `nitrogen` is the most crude protein (6.25 x nitrogen) that a
    gram of that part is analysed as, 1 where all six can never pass 100 %: what analyses allow
    grows with it, so that no other need be tried. `fault` says in plain words why the ranges given
    could not be true together; they are then left out and every part may be anything.
    """

    parts: Mapping[str, Interval]
    fault: str = ""
    nitrogen: int | Fraction = 1

    @cached_property
    def _merged(self) -> dict[frozenset[str], dict[str, Interval]]:
        return {}

    def merged(self, apart: frozenset[str]) -> Mapping[str, Interval]:
        """The parts that stay apart, and the rest as one: a sum of boxes is a box."""
        if apart not in self._merged:
            rest = [interval for part, interval in self.parts.items() if part not in apart]
            intervals = {part: self.parts[part] for part in PARTS if part in apart}
            if rest:
                low = sum((interval.low for interval in rest), Fraction(0))
                high = sum((interval.high for interval in rest), Fraction(0))
                ends = (max(Fraction(0), min(end, Fraction(1))) for end in (low, high))
                intervals[OTHER] = Interval(*ends)
            self._merged[apart] = intervals
        return self._merged[apart]


def catalogue_ranges(ingredient: Ingredient) -> Mapping[str, Range]:
    """All ranges that the catalogue has for what the ingredient was taken for."""
    if ingredient.match is None:
        return {}
    return {name: figure.range for name, figure in ingredient.match.known.figures.items()}


def usual_levels(ingredient: Ingredient) -> Range | None:
    """The customary level of what an ingredient was taken for, in percent as mixed."""
    return ingredient.match.known.usual if ingredient.match else None


def composition_of(ingredient: Ingredient, ranges: Mapping[str, Range]) -> Composition:
    """The six parts from ranges in percent as added; a part that is absent is unknown."""
    known = ingredient.match.known if ingredient.match else None
    analysed = known is not None and "protein" in ranges
    factor = (known and known.nitrogen) or (_ordinary() if analysed else None)
    composition = _fitted(tuple([ranges.get(part) for part in PARTS]), factor, analysed)
    if not composition.fault:
        return composition
    why = (
        f"the composition ranges of {ingredient.name} contradict each other ({composition.fault}); "
        "nothing is taken as known of it"
    )
    return replace(composition, fault=why)


@cache
def _ordinary() -> Range:
    return Range(*data("data/analyses")["crude_protein"]["per_gram"])


@cache
def _error() -> Fraction:
    return exact(data("data/analyses")["closes_within"]["points"]) / 100


@lru_cache(maxsize=4096)
def _fitted(ranges: tuple[Range | None, ...], factor: Range | None, analysed: bool) -> Composition:
    """The parts from their ranges, where these fit together; else why they do not. What was
    `analysed` need not close."""
    nitrogen = max(exact(factor.high), Fraction(1)) if factor else Fraction(1)
    given: dict[str, Interval] = {}
    why = ""
    for part, span in zip(PARTS, ranges, strict=True):
        if span is None:
            given[part] = WHOLE
            continue
        if not all(isfinite(end) for end in span):
            why = why or f"{part} from {span.low} to {span.high} % is no range"
            continue
        low, high = (exact(end) / 100 for end in span)
        most = nitrogen if part == "protein" else Fraction(1)
        if low > high:
            ends = f"{decimal(100 * low)} to {decimal(100 * high)}"
            why = why or f"{part} from {ends} % is upside down"
        elif low > most or high < 0:
            ends = f"{decimal(100 * low)} to {decimal(100 * high)}"
            why = why or f"{part} of {ends} % cannot be"
        given[part] = Interval(max(low, Fraction(0)), min(high, most))
    if analysed and not why:
        low, high = given["carbohydrate"]
        excess = (1 - 1 / nitrogen) * given["protein"].high
        given["carbohydrate"] = Interval(low - _error() - excess, high + _error())
    least = sum((interval.low for interval in given.values()), Fraction(0))
    most = sum((interval.high for interval in given.values()), Fraction(0))
    if least > 1:
        why = why or f"the least of all parts comes to {decimal(100 * least)} %"
    elif most < 1:
        why = why or f"the most of all parts comes to only {decimal(100 * most)} %"
    if why:
        return Composition(dict.fromkeys(PARTS, WHOLE), why)
    parts = {
        part: Interval(
            max(interval.low, 1 - (most - interval.high)),
            min(interval.high, 1 - (least - interval.low)),
        )
        for part, interval in given.items()
    }
    return Composition(parts, nitrogen=nitrogen if parts["carbohydrate"].low < 0 else 1)


def nutrient_interval(
    nutrient: str, unit: str, ranges: Mapping[str, Range], composition: Composition
) -> tuple[Fraction, Fraction | None]:
    """The least and the most of a nutrient as a part of the weight, or in its unit for IU.

    None for the most where nothing is known of a nutrient that is no part of the weight.
    """
    if nutrient in composition.parts:
        low, high = composition.parts[nutrient]
        return max(low, Fraction(0)), high
    scale = part_of_whole(unit)
    given = ranges.get(nutrient)
    if given is None or not 0 <= given.low <= given.high < inf:
        return Fraction(0), None if scale is None else Fraction(1)
    if scale is None:
        return exact(given.low), exact(given.high)
    return min(exact(given.low) * scale, Fraction(1)), min(exact(given.high) * scale, Fraction(1))
