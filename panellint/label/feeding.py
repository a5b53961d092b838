"""Feeding directions: how much a day the label gives to an animal of a body weight.

Three ways are read: amounts beside weights ("10 lb 1 cup, 30 lb 2 cups"), an amount per weight
("1 can per 10 lb of body weight") and a percentage of the body weight. What is not one of them
gives nothing; nothing is guessed beyond the ends of a table.
"""

import re
from functools import cache
from itertools import pairwise
from typing import NamedTuple

from panellint.core.numbers import NUMBER_OR_FRACTION, read_fraction
from panellint.core.text import one_line
from panellint.core.units import unit_of
from panellint.rulepacks.data import data


class Amount(NamedTuple):
    """A day's amount, from and to, in a unit: g, or a word of the label in the singular."""

    low: float
    high: float
    unit: str


class Directions(NamedTuple):
    """`table` holds amounts by body weight in kg, from the lightest; `per_kg` is the amount for
    each kg of it, where it is one for all."""

    table: tuple[tuple[float, Amount], ...] = ()
    per_kg: Amount | None = None

    def amount(self, kilograms: float) -> Amount | None:
        """Returns a day's amount at a body weight, on the straight line between two rows; None
        beyond the ends of the table."""
        if self.per_kg is not None:
            low, high, unit = self.per_kg
            return Amount(low * kilograms, high * kilograms, unit)
        for (light, less), (heavy, more) in pairwise([*self.table[:1], *self.table]):
            if light <= kilograms <= heavy and less.unit == more.unit:
                along = 0.0 if heavy == light else (kilograms - light) / (heavy - light)
                low = less.low + along * (more.low - less.low)
                high = less.high + along * (more.high - less.high)
                return Amount(low, high, less.unit)
        return None


def read_directions(text: str) -> Directions | None:
    """Returns the directions in a section's text; None where none of the three ways is read."""
    (percent, per_weight, heading, *rows_of), folded = _words(), one_line(text).lower()
    if share := percent.search(folded):
        low, high = _ends(share)
        return Directions(per_kg=Amount(10 * low, 10 * high, "g"))
    if ratio := per_weight.search(folded):
        unit, weight = unit_name(ratio["unit"]), _kilograms(ratio)
        low, high = _ends(ratio)
        grams = _grams(ratio["unit"])
        return Directions(per_kg=Amount(low * grams / weight, high * grams / weight, unit))
    common = heading.search(folded)
    rows: dict[float, Amount] = {}
    for row in (row for search in rows_of for row in search.finditer(folded)):
        printed = row["unit"] or (common["unit"] if common else "")
        if printed:
            low, high = _ends(row)
            grams = _grams(printed)
            rows.setdefault(_kilograms(row), Amount(low * grams, high * grams, unit_name(printed)))
    return Directions(tuple(sorted(rows.items()))) if rows else None


def _ends(match: re.Match[str]) -> tuple[float, float]:
    low = float(read_fraction(match["low"]) or 0)
    return low, float(read_fraction(match["high"]) or 0) if match["high"] else low


def _kilograms(match: re.Match[str]) -> float:
    unit = unit_of(match["mass"])
    size = float(unit.size) / 1000 if unit else 1.0
    return float(read_fraction(match["weight"]) or 0) * size or 1.0


def _grams(printed: str) -> float:
    """How many of the unit that is kept one of the printed unit is: grams of weights, else 1."""
    unit = unit_of(printed)
    return float(unit.size) if unit and unit.measure == "mass" else 1.0


def unit_name(printed: str) -> str:
    """Returns a household unit under its one name, in the singular: "cups" is "cup"; "g" for all
    weights."""
    unit = unit_of(printed)
    if unit is not None:
        return "g" if unit.measure == "mass" else unit.name
    for name, spellings in data("words/household")["units"].items():
        if printed.lower() in (name, *spellings):
            return str(name)
    return printed


@cache
def _words() -> tuple[re.Pattern[str], ...]:
    """Searches for a percentage of the body weight, an amount per weight, the unit over a table, a
    row with the weight first and one with it last."""
    written = data("words/household")
    names = [word for name, more in written["units"].items() for word in (name, *more)]
    units = "|".join(sorted([*names, "grams", "g", "ounces", "oz"], key=len, reverse=True))
    number = NUMBER_OR_FRACTION
    amount = rf"(?P<low>{number})(?:\s*(?:to|-|–)\s*(?P<high>{number}))?"
    weight = rf"(?P<weight>{number})\s*-?(?P<mass>kg|lbs?|pounds?)\b"
    body = "|".join(written["body_weight"])
    return (
        re.compile(rf"{amount}\s*(?:%|percent|per cent)\s*(?:of\s+)?(?:\w+\s+){{0,2}}(?:{body})"),
        re.compile(rf"{amount}\s*(?P<unit>{units})\s*(?:per|for every|for each)\s*{weight}"),
        re.compile(rf"\b(?P<unit>{units})\s+(?:per|a|each)\s+day"),
        re.compile(rf"{weight}[^\d;]{{0,24}}?{amount}(?:\s*(?P<unit>{units})\b)?(?!\s*(?:kg|lb))"),
        re.compile(rf"{amount}\s*(?P<unit>{units})\b[^\d;.]{{0,30}}?\bfor an? {weight}"),
    )
