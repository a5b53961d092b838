"""Weights, prices and the water to add, in a few words of a label or of its user.

What the words leave open is None: nothing is guessed. The words are data
(`rules/words/amounts.yaml`).
"""

import re
from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from typing import Any, NamedTuple

from panellint.core.numbers import NUMBER, NUMBER_OR_FRACTION, read_fraction, read_number
from panellint.core.text import one_line
from panellint.core.units import MASS, VOLUME, spellings_of, unit_of
from panellint.rulepacks.data import data

#: No animal weighs so many kg; a longer figure is a slip.
_HEAVIEST = 1000
#: The weights that are looked for, the metric ones first.
_METRIC, _OTHER = ("kg", "g"), ("lb", "oz")
_MULTIPLE = re.compile(r"(?P<times>\d+)\s*[x×]\s*$", re.IGNORECASE)


class Price(NamedTuple):
    """A price with its currency as printed ("" where none is); `kilograms` is the weight that
    it is the price of, where it says so."""

    amount: float
    currency: str
    kilograms: float | None = None


class Water(NamedTuple):
    """The water to add: `amount` to `food`, each in its unit.

    A unit is "g", "part", or a volume with its `millilitres`. `stated` is False where parts are
    not said to be parts of the weight. Of a volume of food only its weight can tell more.
    """

    amount: float
    food: float
    food_unit: str
    stated: bool


def kilograms_in(text: str) -> float | None:
    """The weight that the text states, in kg: "2 x 85 g" and "3 lb (1.36 kg)" are such.

    Metric weights are taken where there are any; the largest, where there are several. Ounces
    that follow pounds are added. None without a weight.
    """
    weights: list[tuple[bool, float]] = []
    behind: tuple[int, str] | None = None
    for match in _words()[0].finditer(text):
        unit = unit_of(match["unit"])
        if unit is None or unit.measure != MASS:
            continue
        value = _value(match["number"]) * float(unit.size)
        times = _MULTIPLE.search(text, 0, match.start())
        if times:
            value *= _value(times["times"])
        gap = "" if behind is None else text[behind[0] : match.start()].strip(" ,&")
        if behind and behind[1] == "lb" and unit.name == "oz" and not gap:
            weights[-1] = (False, weights[-1][1] + value)
        else:
            weights.append((unit.name in _METRIC, value))
        behind = (match.end(), unit.name)
    best = [value for metric, value in weights if metric] or [value for _, value in weights]
    return max(best) / 1000 if best and max(best) > 0 else None


def body_weight_in(text: str) -> float | None:
    """The body weight that is written, in kg to hundredths: "20", "20 kg", "44lb"; kilograms where
    no unit stands. None where it is none."""
    number = read_fraction(text)
    kilograms = float(number) if number is not None else kilograms_in(text)
    return round(kilograms, 2) if kilograms and 0 < kilograms < _HEAVIEST else None


def price_in(text: str) -> Price | None:
    """The price that the text states: "$24.99", "3,49 EUR", "12.50 € for 1.5 kg". None where
    there is no figure."""
    figure = re.search(rf"{NUMBER}(?P<cents>(?<=[,.]\d{{3}})\.\d\d(?!\d))?", text)
    if figure is None:
        return None
    cents = figure["cents"] or ""
    amount = read_number(figure.group().removesuffix(cents))
    if amount is None:
        return None
    amount += Decimal(f"0{cents}")
    currency = _words()[1].search(text)
    rest = text[figure.end() :]
    per = re.search(r"(?:/|\bper\b|\bfor\b|\bà\b)\s*(?P<rest>.*)", rest, re.IGNORECASE | re.DOTALL)
    kilograms = None
    if per:
        weight = per["rest"]
        kilograms = kilograms_in(weight if weight[:1].isdigit() else f"1 {weight}")
    return Price(float(amount), currency.group().strip() if currency else "", kilograms)


def water_in(text: str, *, first_water: bool = False) -> Water | None:
    """How much water a preparation adds to how much food; None where the words do not say both.

    "1 part food, 1.5 parts warm water by weight", "add 150 ml water to 100 g", "1 cup of food
    and 1 1/4 cups of water", "1:3 food to water", "its own weight in water". With `first_water`
    the words answer how much water there is to add, and the first quantity is of water where
    none is said to be: "300 ml per 100 g", "2 l per kg".
    """
    written = data("words/amounts")
    folded = one_line(text)
    if first_water:
        folded = re.sub(r"\b(per|to|for) (?=(?:kg|g|l|lb|oz)\b)", r"\1 1 ", folded)
    stated = _matches(folded, written["by_weight"])
    by_volume = _matches(folded, written["by_volume"])
    ratio = re.search(rf"(?P<one>{NUMBER_OR_FRACTION})\s*:\s*(?P<two>{NUMBER_OR_FRACTION})", folded)
    if ratio:
        one, two = _value(ratio["one"]), _value(ratio["two"])
        for key, (dry, wet) in (("food_first", (one, two)), ("water_first", (two, one))):
            if re.search(written["ratio"][key], folded, re.IGNORECASE) and dry > 0 and wet > 0:
                return Water(wet, dry, "volume" if by_volume else "g", stated)
        return None
    amounts = list(_amounts(folded, written["water"], by_volume))
    water = next((amount for amount in amounts if amount[2]), None)
    food = next((amount for amount in amounts if not amount[2]), None)
    if water is None and first_water and len(amounts) == 2:
        water, food = amounts
    if water is None:
        for key, times in (("equal", 1.0), ("twice", 2.0)):
            as_much = _matches(folded, written["as_much"][key])
            if as_much and re.search(written["water"], folded, re.I):
                return Water(times, 1.0, "volume" if by_volume else "g", stated)
        return None
    if food is None:
        return None
    return _matched(water, food, stated)


def _matched(
    water: tuple[float, str, bool], food: tuple[float, str, bool], stated: bool
) -> Water | None:
    (amount, unit, _), (weight, food_unit, _) = water, food
    if weight <= 0 or amount <= 0:
        return None
    if unit == "part" or food_unit == "part":
        # A part of water to a part of food; a cup to a part says nothing.
        return Water(amount, weight, "g", stated) if unit == food_unit else None
    if unit == "volume" or food_unit == "volume":
        return Water(amount, weight, "volume", True) if unit == food_unit else None
    density = float(data("words/amounts")["water_density"])
    of_water, of_food = unit_of(unit), unit_of(food_unit)
    if of_water is None or of_food is None:
        return None
    grams = amount * float(of_water.size) * (1.0 if of_water.measure == MASS else density)
    if of_food.measure == MASS:
        return Water(grams, weight * float(of_food.size), "g", True)
    return Water(grams, weight, food_unit, True)


def _amounts(text: str, water: str, by_volume: bool) -> Iterator[tuple[float, str, bool]]:
    """Each quantity: how much, in which unit, and whether it is of water."""
    quantities = list(_words()[0].finditer(text))
    for at, match in enumerate(quantities):
        known = unit_of(match["unit"])
        unit = known.name if known else "part"
        if unit == "part" and by_volume:
            unit = "volume"
        end = quantities[at + 1].start() if at + 1 < len(quantities) else len(text)
        behind = text[match.end() : end]
        yield _value(match["number"]), unit, re.search(water, behind, re.I) is not None


def _matches(text: str, patterns: list[str]) -> bool:
    return re.search("|".join(patterns), text, re.IGNORECASE) is not None


def _value(text: str) -> float:
    return float(read_fraction(text) or 0)


@cache
def _words() -> tuple[re.Pattern[str], re.Pattern[str]]:
    """Searches for a quantity and for a currency."""
    written: Any = data("words/amounts")
    units = "|".join([spellings_of(*_METRIC, *_OTHER, VOLUME), *written["parts"]])
    return (
        re.compile(
            rf"(?P<number>{NUMBER_OR_FRACTION})\s*-?(?P<unit>{units})(?![a-z])\.?", re.IGNORECASE
        ),
        re.compile("|".join(sorted(written["currencies"], key=len, reverse=True))),
    )
