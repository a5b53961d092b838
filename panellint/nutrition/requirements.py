"""What an animal needs of energy in a day, by body weight.

Formulas and their sources stand in `rules/nutrients/daily-energy.yaml`.
"""

from typing import NamedTuple

from panellint.catalogue.model import Range
from panellint.core.errors import ImpossibleFigure
from panellint.core.numbers import check_amount, decimal
from panellint.rulepacks.data import data

_DATA = "nutrients/daily-energy"


class DailyNeed(NamedTuple):
    """kcal of metabolisable energy a day: the usual figure and the range of the source.

    `formula` is the arithmetic in words; `low` of the range is 0 where the source sets none.
    """

    kcal: float
    range: Range
    title: str
    formula: str
    source: str
    confirmed: bool


def ways_of_life(species: str) -> tuple[str, ...]:
    """The ids that `daily_energy` takes for a species."""
    return tuple(row["id"] for row in data(_DATA)["needs"] if row["species"] == species)


def daily_energy(species: str, kilograms: float, life: str = "adult") -> DailyNeed:
    """Daily need of an animal of `kilograms` body weight; `life` is a way of life.

    Raises ImpossibleFigure for a weight that is none, or an unknown species or way of life.
    """
    check_amount("body weight", kilograms)
    row = next(
        (r for r in data(_DATA)["needs"] if r["species"] == species and r["id"] == life), None
    )
    if row is None:
        choices = ", ".join(ways_of_life(species)) or "nothing for that species"
        raise ImpossibleFigure(f"no daily need for {life} {species}; there are {choices}")
    power = kilograms ** row["exponent"]
    extra = row.get("per_kg", 0) * kilograms
    source = row["source"]
    plus = f" + {decimal(row['per_kg'])} x {decimal(kilograms)}" if extra else ""
    return DailyNeed(
        kcal=row["factor"] * power + extra,
        range=Range(
            0.0 if row["low"] is None else row["low"] * power + extra, row["high"] * power + extra
        ),
        title=row["title"],
        formula=f"{decimal(row['factor'])} x {decimal(kilograms)}^{row['exponent']}{plus}",
        source=", ".join(filter(None, map(source.get, ("document", "section", "edition")))),
        confirmed=bool(row["confirmed"]),
    )


def losing_energy(species: str, kilograms: float) -> DailyNeed:
    """Daily energy of an animal that is to lose weight, by the resting need of its target weight.

    Raises ImpossibleFigure for a weight that is none, or an unknown species.
    """
    check_amount("target weight", kilograms)
    resting, losing = data(_DATA)["resting"], data(_DATA)["losing"].get(species)
    if losing is None:
        raise ImpossibleFigure(f"no daily need for {species}")
    by = losing["by"]
    kcal = by * resting["factor"] * kilograms ** resting["exponent"]
    source = losing["source"]
    return DailyNeed(
        kcal=kcal,
        range=Range(kcal, kcal),
        title=f"{species} that is to come down to {decimal(kilograms)} kg",
        formula=f"{decimal(by)} x {decimal(resting['factor'])} x "
        f"{decimal(kilograms)}^{resting['exponent']}",
        source=f"{source['document']}, {source['section']}",
        confirmed=bool(losing["confirmed"]),
    )
