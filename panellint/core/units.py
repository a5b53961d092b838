"""Units of contents: an amount per weight of food, or per 1000 kcal.

A unit is an amount (`g`, `mg`, `µg`, `IU`, `CFU`) over a weight (`kg`, `100 g`, `g`, `lb`), or
`%` or `ppm`. Amounts of mass change into each other; IU and CFU stay what they are.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache

from panellint.core.errors import ImpossibleFigure
from panellint.core.numbers import check_amount

#: Grams in one unit of mass; definitions (the pound is the international one).
_GRAMS = {"kg": 1000.0, "g": 1.0, "mg": 1e-3, "µg": 1e-6, "lb": 453.59237, "oz": 28.349523125}
_SPELLINGS = {
    "ug": "µg",
    "mcg": "µg",
    "μg": "µg",
    "kilogram": "kg",
    "gram": "g",
    "grams": "g",
    "milligram": "mg",
    "milligrams": "mg",
    "pound": "lb",
    "lbs": "lb",
    "ounce": "oz",
    "iu": "IU",
    "i.u.": "IU",
    "ie": "IU",
    "cfu": "CFU",
}
#: Grams per kg in one of these.
_WHOLE = {"%": 10.0, "percent": 10.0, "ppm": 1e-3, "ppb": 1e-6}
_OVER = re.compile(r"^(?P<count>\d+(?:\.\d+)?)?\s*(?P<unit>[^\d\s].*)$")


@cache
def _parse(unit: str) -> tuple[str, float]:
    """The kind of amount (`g` for all mass, else itself) and how much of it 1 is, per kg."""
    folded = unit.strip()
    if folded.lower() in _WHOLE:
        return "g", _WHOLE[folded.lower()]
    amount, _, weight = folded.partition("/")
    match = _OVER.match(weight.strip())
    name = _name(amount)
    if not match or name is None:
        raise ImpossibleFigure(f"unknown unit {unit!r}")
    over = _name(match["unit"])
    if over not in _GRAMS:
        raise ImpossibleFigure(f"unknown unit {unit!r}")
    kilograms = float(match["count"] or 1) * _GRAMS[over] / 1000
    return ("g", _GRAMS[name] / kilograms) if name in _GRAMS else (name, 1 / kilograms)


def _name(text: str) -> str | None:
    word = text.strip()
    word = _SPELLINGS.get(word.lower(), word)
    return word if word in (*_GRAMS, "IU", "CFU") else None


def convert(value: float, unit: str, to: str) -> float:
    """A content told in another unit, both per weight of the same material.

    Raises ImpossibleFigure for an unknown unit, or where one counts mass and the other not.
    """
    kind, per_kg = _parse(unit)
    wanted, wanted_per_kg = _parse(to)
    if kind != wanted:
        raise ImpossibleFigure(f"{unit} cannot be told in {to}")
    return value * per_kg / wanted_per_kg


def per_energy(value: float, unit: str, kcal_per_kg: float, to: str) -> float:
    """A content per weight told as an amount per 1000 kcal; `to` such as `mg/1000 kcal`."""
    amount = to.removesuffix("/1000 kcal")
    per_kg = convert(value, unit, f"{amount}/kg")
    return per_kg * 1000 / check_amount("energy", kcal_per_kg)


@lru_cache(maxsize=256)
def grams_in(per: str) -> float | None:
    """The weight that a figure is told per (`kg`, `100 g`, `lb`...) in grams; None for what is no
    weight (`cup`)."""
    match = _OVER.match(per.strip())
    over = _name(match["unit"]) if match else None
    return float(match["count"] or 1) * _GRAMS[over] if match and over in _GRAMS else None
