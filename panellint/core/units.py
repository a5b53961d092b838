"""Units: one table of what labels and sheets measure in, and contents told in another unit.

A content is an amount (`g`, `mg`, `µg`, `IU`, `CFU`) over a weight (`kg`, `100 g`, `g`, `lb`), or
`%` or `ppm`. Amounts of mass change into each other; IU, CFU and units of activity stay what they
are.
"""

import re
from fractions import Fraction
from functools import cache, lru_cache
from typing import NamedTuple

from panellint.core.errors import ImpossibleFigure
from panellint.core.numbers import check_amount
from panellint.core.text import fold

MASS, VOLUME, ENERGY, IU, CFU = "mass", "volume", "energy", "IU", "CFU"
#: Units of the activity of enzymes; each assay has its own, and none changes into another.
ACTIVITY = "activity"
_ASSAYS = "HUT|CU|DU|SKB|FIP|GDU|SAPU|PPU|LU|FCCLU|ALU|NFU|BGU|XU|AGU|FCCPU"


class Unit(NamedTuple):
    """A unit under its one name.

    `size` is how much of the measure's own unit it is: of mass the gram, of volume the
    millilitre, of energy the kilocalorie, of what is counted one. `spellings` are all ways to
    write it, in lower case.
    """

    name: str
    measure: str
    size: Fraction
    spellings: tuple[str, ...]


def _unit(name: str, measure: str, size: int | Fraction, others: str = "") -> Unit:
    spellings = (name.lower(), *filter(None, others.split("|")))
    return Unit(name, measure, Fraction(size), spellings)


# Sizes are definitions: the international pound and its ounce, the fluid measures of the United
# States, the thermochemical calorie of 4.184 J.
_POUND, _FLUID_OUNCE, _CALORIE = map(Fraction, ("453.59237", "29.5735295625", "4.184"))
UNITS = (
    _unit("kg", MASS, 1000, "kgs|kilogram|kilograms|kilogramme|kilogrammes|kilo|kilos"),
    _unit("g", MASS, 1, "gr|gm|gram|grams|gramme|grammes"),
    _unit("mg", MASS, Fraction(1, 10**3), "milligram|milligrams"),
    _unit("µg", MASS, Fraction(1, 10**6), "μg|ug|mcg|microgram|micrograms"),
    _unit("lb", MASS, _POUND, "lbs|pound|pounds"),
    _unit("oz", MASS, _POUND / 16, "ounce|ounces"),
    _unit("ml", VOLUME, 1, "milliliter|milliliters|millilitre|millilitres"),
    _unit("l", VOLUME, 1000, "liter|liters|litre|litres"),
    _unit("fl oz", VOLUME, _FLUID_OUNCE, "fl. oz|fl.oz|floz|fluid ounce|fluid ounces"),
    _unit("cup", VOLUME, 8 * _FLUID_OUNCE, "cups"),
    _unit("tablespoon", VOLUME, _FLUID_OUNCE / 2, "tablespoons|tbsp|tbsps"),
    _unit("teaspoon", VOLUME, _FLUID_OUNCE / 6, "teaspoons|tsp|tsps"),
    _unit("kcal", ENERGY, 1, "kcals|kcal me|cal|cals|calorie|calories|kilocalorie|kilocalories"),
    _unit("kJ", ENERGY, 1 / _CALORIE, "kilojoule|kilojoules"),
    _unit("MJ", ENERGY, 1000 / _CALORIE, "megajoule|megajoules"),
    _unit(
        "IU",
        IU,
        1,
        "i.u.|i.e.|u.i.|ie|ui|j.m.|j.m|m.j.|m.j|mj.|ky|iu/ie|ie/iu|ui/ie|ie/ui|iu/ui|ui/iu",
    ),
    _unit("KIU", IU, 1000),
    _unit("CFU", CFU, 1),
    _unit("million CFU", CFU, 10**6),
    _unit("billion CFU", CFU, 10**9),
    *(_unit(name, f"{ACTIVITY} by {name}", 1, f"{name.lower()}s") for name in _ASSAYS.split("|")),
)
_BY_SPELLING = {spelling: unit for unit in UNITS for spelling in unit.spellings}
#: Grams per gram in one of these.
_PARTS = {
    "%": Fraction(1, 100),
    "percent": Fraction(1, 100),
    "per cent": Fraction(1, 100),
    "ppm": Fraction(1, 10**6),
    "ppb": Fraction(1, 10**9),
}
_OVER = re.compile(r"(?P<count>\d+(?:\.\d+)?)?\s*(?P<unit>[^\d\s].*)")
_PER = re.compile(r" ?(?:/|\bper ) ?", re.IGNORECASE)


def unit_of(text: str) -> Unit | None:
    """Returns the unit that a text is a spelling of, in any case; None where it is none."""
    return _BY_SPELLING.get(fold(text))


def units_of(measure: str) -> tuple[str, ...]:
    """Returns the names of the units of a measure ("mass", "CFU", "activity")."""
    return tuple(unit.name for unit in UNITS if unit.measure.partition(" ")[0] == measure)


def spellings_of(*units: str) -> str:
    """Returns all spellings of units, by their names or measures, as alternatives of a regular
    expression; the longest comes first."""
    words = [
        spelling
        for unit in UNITS
        if unit.name in units or unit.measure.partition(" ")[0] in units
        for spelling in unit.spellings
    ]
    words.sort(key=lambda word: (-len(word), word))
    return "|".join(re.escape(word).replace(r"\ ", r"\s+") for word in words)


#: "UI/IE", international units by the letters of two languages.
_IN_TWO_LANGUAGES = re.compile("^(?:iu|ui|ie)/(?:iu|ui|ie)")


@lru_cache(maxsize=256)
def content_unit(printed: str) -> str:
    """Returns a unit of contents in its one spelling: `%` (g/100 g too), `mg/kg`, `CFU/lb`.

    A word that is no unit is kept ("kcal/can").
    """
    folded = _IN_TWO_LANGUAGES.sub("iu", fold(printed))
    if folded in _PARTS:
        return "%" if _PARTS[folded] == Fraction(1, 100) else "mg/kg"
    head, *tail = (_one_name(part) for part in _PER.split(folded, maxsplit=1))
    unit = "/".join([head, *(part.replace(" ", "") for part in tail)])
    return "%" if unit == "g/100g" else unit


def _one_name(text: str) -> str:
    unit = unit_of(text)
    return unit.name if unit else text


@cache
def _parse(content: str) -> tuple[str, Fraction]:
    """What an amount measures, and how much of it 1 is for each gram of the whole."""
    folded = fold(content)
    if folded in _PARTS:
        return MASS, _PARTS[folded]
    amount, _, weight = folded.partition("/")
    over, unit = grams_in(weight), unit_of(amount)
    if not over or unit is None or unit.measure in (VOLUME, ENERGY):
        raise ImpossibleFigure(f"unknown unit {content!r}")
    return unit.measure, unit.size / over


@lru_cache(maxsize=256)
def _factor(content: str, to: str) -> float:
    (measure, size), (wanted, wanted_size) = _parse(content), _parse(to)
    if measure != wanted:
        raise ImpossibleFigure(f"{content} cannot be told in {to}")
    return float(size / wanted_size)


def convert(value: float, unit: str, to: str) -> float:
    """Returns a content in another unit, both per weight of the same material.

    Raises ImpossibleFigure for an unknown unit, or where one counts mass and the other not.
    """
    return value * _factor(unit, to)


def part_of_whole(unit: str) -> Fraction | None:
    """Returns how much of a whole one unit of a content is; None for what is no part of the
    weight (IU, CFU, kcal) and for an unknown unit."""
    try:
        measure, size = _parse(unit)
    except ImpossibleFigure:
        return None
    return size if measure == MASS else None


def per_energy(value: float, unit: str, kcal_per_kg: float, to: str) -> float:
    """Returns a content per weight as an amount per 1000 kcal; `to` such as `mg/1000 kcal`."""
    amount = to.removesuffix("/1000 kcal")
    per_kg = convert(value, unit, f"{amount}/kg")
    return per_kg * 1000 / check_amount("energy", kcal_per_kg)


@lru_cache(maxsize=256)
def grams_in(weight: str) -> Fraction | None:
    """Returns the weight that a figure is told per (`kg`, `100 g`, `lb`...) in grams; None for
    what is no weight (`cup`)."""
    match = _OVER.fullmatch(fold(weight))
    unit = unit_of(match["unit"]) if match else None
    if match is None or unit is None or unit.measure != MASS:
        return None
    return Fraction(match["count"] or 1) * unit.size


def kilocalories(value: float, unit: str) -> float:
    """Returns an energy in kcal; raises ImpossibleFigure for an unknown unit of energy."""
    energy = unit_of(unit)
    if energy is None or energy.measure != ENERGY:
        raise ImpossibleFigure(f"unknown unit of energy {unit!r}", "energy")
    return value * float(energy.size)
