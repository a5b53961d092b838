"""The mass balance of a batch: what goes in, what leaves, what is left, and what cannot be.

Dry matter neither comes nor goes but for fat that is rendered out, so that a finished weight and
a moisture are two sides of one figure.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from panellint.core.errors import Fault, InputError
from panellint.core.numbers import number
from panellint.maker.content import AS_MIXED, FINISHED
from panellint.maker.formula import Formula
from panellint.nutrition.mixture import Terms
from panellint.rulepacks.data import data

if TYPE_CHECKING:
    from panellint.results.batch import MassBalance


class _Ends(NamedTuple):
    """A weight in kg per 100 kg of the mix: least, most, estimate."""

    low: float
    high: float
    middle: float


def balance(formula: Formula) -> MassBalance | None:
    """Returns the weights of the mix, the food and what leaves, in kg per 100 kg of the mix; None
    where an ingredient of weight has no figure for its water."""
    if formula.without_figure("moisture", AS_MIXED):
        return None
    water = formula.content("moisture", AS_MIXED)
    food = _food(formula)
    fat = 100 * float(formula.water.fat_lost)
    return {
        "mix": 100.0,
        "water_in": _rounded(water.middle),
        "dry_matter": _rounded(100 - water.middle),
        "water_out": _rounded(100 - food.middle - fat),
        "fat_out": _rounded(fat),
        "food": _rounded(food.middle),
        "moisture": _rounded(formula.content("moisture", FINISHED).middle),
        "from": formula.water.origin,
    }


def check(formula: Formula) -> None:
    """Raises InputError where no food of these ingredients can have the yield, or the moisture,
    that is stated: at no composition within the ranges of its ingredients."""
    hair = float(data("data/batch")["balance_misses_by"]["kg_per_100_kg"])
    low, _, middle = (100 * one for one in formula.dry_matter())
    food, water = _food(formula), formula.water
    if water.yield_ is not None and food.high < low - hair:
        raise _impossible(
            formula,
            "yield",
            f"a yield of {_kg(food.high)} % is below the dry matter that goes in: at least "
            f"{_kg(low)} % of the mix, by estimate {_kg(middle)} %",
        )
    fat_in = formula.mixed.extreme([Terms({"fat": 1.0})] * len(formula.components), True)
    if 100 * float(water.fat_lost) > fat_in + hair:
        words = f"more fat leaves than goes in: at most {_kg(fat_in)} kg in 100 kg of the mix"
        raise _impossible(formula, "yield", words)
    if food.low > 100 + hair:
        wanted = _kg(food.low - 100)
        kind = "yield" if water.yield_ is not None else "finished_moisture"
        raise _impossible(
            formula,
            kind,
            f"the finished food is heavier than the mix: at least {wanted} kg of water for each "
            "100 kg of the mix must be added, and no line adds it",
        )
    if water.beside is not None:
        stated = 100 * float(water.beside)
        if not food.low - hair <= stated <= food.high + hair:
            raise _impossible(
                formula,
                "yield",
                f"a yield of {_kg(stated)} % does not fit the finished moisture of "
                f"{number(float(water.moisture or 0))} %, which leaves {_kg(food.low)} to "
                f"{_kg(food.high)} %",
            )


def _food(formula: Formula) -> _Ends:
    low, high = formula.yield_range()
    return _Ends(100 * low, 100 * high, 100 * formula.finished_weight())


def _impossible(formula: Formula, kind: str, words: str) -> InputError:
    place = formula.batch.fact_places.get(kind)
    return InputError(place.fault(words) if place else Fault(formula.batch.path, None, None, words))


def _kg(value: float) -> str:
    return number(round(value, 1), 5)


def _rounded(value: float) -> float:
    return round(value, 2) + 0.0
