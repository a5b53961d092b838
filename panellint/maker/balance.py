"""The mass balance of a batch: what goes in, what leaves, what is left, and what cannot be.

Dry matter neither comes nor goes but for fat that is rendered out, so that a finished weight and
a moisture are two sides of one figure.
"""

from collections.abc import Iterator

from panellint.core.errors import Fault, InputError
from panellint.core.numbers import number
from panellint.core.records import to_data
from panellint.maker.component import AS_MIXED, FINISHED
from panellint.maker.formula import Formula
from panellint.nutrition.mixture import Terms
from panellint.results.batch import MassBalance
from panellint.rulepacks.data import data


def balance(formula: Formula) -> MassBalance | None:
    """Returns the weights of the mix, the food and what leaves, in kg per 100 kg of the mix; None
    where an ingredient of weight has no figure for its water."""
    if formula.without_figure("moisture", AS_MIXED):
        return None
    water = formula.content("moisture", AS_MIXED)
    food = 100 * formula.finished_weight()
    fat = 100 * float(formula.water.fat_lost)
    weights = {
        "mix": 100.0,
        "water_in": water.middle,
        "dry_matter": 100 - water.middle,
        "water_out": 100 - food - fat,
        "fat_out": fat,
        "food": food,
        "moisture": formula.content("moisture", FINISHED).middle,
        "from": formula.water.origin,
    }
    return to_data(MassBalance, weights, 2)


def check(formula: Formula) -> None:
    """Raises InputError where no food of these ingredients can have the yield, or the moisture,
    that is stated: at no composition within the ranges of its ingredients."""
    for kind, words in _impossible(formula):
        place = formula.batch.fact_places.get(kind)
        raise InputError(
            place.fault(words) if place else Fault(formula.batch.path, None, None, words)
        )


def _impossible(formula: Formula) -> Iterator[tuple[str, str]]:
    """What cannot be: the kind of fact that says it, and why."""
    hair = float(data("data/batch")["balance_misses_by"]["kg_per_100_kg"])
    low, _, middle = (100 * share for share in formula.dry_matter())
    least, most = (100 * end for end in formula.yield_range())
    water = formula.water
    if water.yield_ is not None and most < low - hair:
        yield (
            "yield",
            f"a yield of {_kg(most)} % is below the dry matter that goes in: at least "
            f"{_kg(low)} % of the mix, by estimate {_kg(middle)} %",
        )
    fat_in = formula.mixed.extreme([Terms({"fat": 1.0})] * len(formula.components), True)
    if 100 * float(water.fat_lost) > fat_in + hair:
        words = f"more fat leaves than goes in: at most {_kg(fat_in)} kg in 100 kg of the mix"
        yield "yield", words
    if least > 100 + hair:
        yield (
            "yield" if water.yield_ is not None else "finished_moisture",
            f"the finished food is heavier than the mix: at least {_kg(least - 100)} kg of water "
            "for each 100 kg of the mix must be added, and no line adds it",
        )
    stated = 100 * float(water.beside or 0)
    if water.beside is not None and not least - hair <= stated <= most + hair:
        yield (
            "yield",
            f"a yield of {_kg(stated)} % does not fit the finished moisture of "
            f"{number(float(water.moisture or 0))} %, which leaves {_kg(least)} to {_kg(most)} %",
        )


def _kg(value: float) -> str:
    return number(round(value, 1), 5)
