"""Metabolisable energy: of a food from its analysis, in kcal per kg as fed, and what an animal
needs of it in a day, by body weight.

Percentages are as fed. Coefficients and formulas stand with their sources in
`rules/nutrients/energy.yaml` and `rules/nutrients/daily-energy.yaml`.
"""

from functools import cache
from typing import Any, NamedTuple

from panellint.catalogue.model import Range
from panellint.core.errors import ImpossibleFigure
from panellint.core.numbers import check_amount, decimal, need
from panellint.core.units import grams_in, kilocalories
from panellint.nutrition.bases import Analysis, dry_matter
from panellint.rulepacks.data import data

#: What `method` a figure of energy was worked out by, in the words of outputs.
MODIFIED_ATWATER = "modified-atwater"
NRC_2006 = "nrc-2006"
NATURAL_PRODUCTS = "natural-products"
#: The parts that give energy.
_SHARING = ("protein", "fat", "carbohydrate")


class EnergyShares(NamedTuple):
    """Parts of the metabolisable energy, in percent; they add up to 100."""

    protein: float
    fat: float
    carbohydrate: float


class FourSteps(NamedTuple):
    """The steps of the NRC 2006 equation: kcal/kg as fed, digestibility in percent."""

    gross: float
    digestibility: float
    digestible: float
    metabolisable: float


class Method(NamedTuple):
    """A way to work out energy: its id, what it is called, and where it stands."""

    id: str
    title: str
    source: str


@cache
def _constants(method: str) -> Any:
    return next(m for m in data("nutrients/energy")["methods"] if m["id"] == method)


def method(name: str) -> Method:
    """What is to be said of a method: `modified-atwater`, `nrc-2006`, `natural-products`."""
    known = _constants(name)
    source = known["source"]
    return Method(name, known["title"], f"{source['document']}, {source['section']}")


def factors(name: str = MODIFIED_ATWATER, species: str | None = None) -> dict[str, float]:
    """kcal per g of protein, fat and carbohydrate of a method that has such factors."""
    constants: dict[str, Any] = _constants(name)["factors"]
    return _of_species(constants, species) if "protein" not in constants else constants


def _of_species(table: dict[str, Any], species: str | None) -> Any:
    if species not in table:
        raise ImpossibleFigure(f"no equation for the species {species or 'that is not stated'}")
    return table[species]


def _parts(food: Analysis, *names: str) -> dict[str, float]:
    """Parts of a food by name, percent as fed; raises MissingFigure for one that is unknown."""
    return dict(zip(names, need(**{name: getattr(food, name) for name in names}), strict=True))


def by_factors(weights: dict[str, float], food: Analysis) -> float:
    """kcal/kg as fed: ten times the sum of factor (kcal/g) times percent as fed."""
    return 10 * sum(weights[name] * value for name, value in _parts(food, *_SHARING).items())


def modified_atwater(food: Analysis) -> float:
    """kcal/kg as fed = 10 x (3.5 protein + 8.5 fat + 3.5 carbohydrate), percent as fed.

    AAFCO model regulation PF9(a)(3).
    """
    return by_factors(factors(MODIFIED_ATWATER), food)


def four_steps(species: str, food: Analysis) -> FourSteps:
    """The NRC 2006 equation step by step (FEDIAF, annex 7.2); percent as fed.

    Gross energy from the parts, its digestibility from the crude fibre of the dry matter,
    less what leaves with the urine.
    """
    known = _constants(NRC_2006)
    part = _parts(food, *_SHARING, "fibre", "moisture")
    gross = 10 * sum(weight * part[name] for name, weight in known["gross"].items())
    line = _of_species(known["digestibility"], species)
    fibre_dm = dry_matter(part["fibre"], part["moisture"])
    digestibility = line["at_no_fibre"] - line["per_fibre"] * fibre_dm
    digestible = gross * digestibility / 100
    urine = 10 * _of_species(known["urine"], species) * part["protein"]
    return FourSteps(gross, digestibility, digestible, digestible - urine)


def fibre_beyond_equation(food: Analysis) -> bool:
    """True where the crude fibre of the dry matter is above what the NRC equation suits."""
    part = _parts(food, "fibre", "moisture")
    limit: float = _constants(NRC_2006)["fibre_caution_above"]
    return dry_matter(part["fibre"], part["moisture"]) > limit


def energy_of(food: Analysis, name: str, species: str | None = None) -> float:
    """kcal/kg as fed by the method `name`. Raises NotComputable."""
    if name == NRC_2006:
        return check_amount("energy", four_steps(species or "", food).metabolisable)
    return by_factors(factors(name, species), food)


def energy_shares(food: Analysis) -> EnergyShares:
    """What part of the energy by modified Atwater protein, fat and carbohydrate give, percent."""
    weights = factors()
    total = check_amount("energy", by_factors(weights, food))
    parts = _parts(food, *_SHARING)
    return EnergyShares(*(1000 * weights[name] * parts[name] / total for name in _SHARING))


def uplift_of_guarantees(moisture_class: str) -> float:
    """What energy worked out from guarantees is multiplied by in practice, to meet the truth."""
    return float(data("nutrients/energy")["uplift_of_guarantees"]["factors"][moisture_class])


def kcal_per_kg(value: float, unit: str, per: str, grams: float | None = None) -> float:
    """kcal/kg as fed of one figure of a calorie line.

    `unit` is kcal, kJ or MJ (also Cal, calories); `per` a weight (`kg`, `100 g`, `lb`...) or a
    familiar unit (`cup`, `can`) that weighs `grams`. Raises ImpossibleFigure for a unit of
    energy that is not known, and for a familiar unit without a weight.
    """
    energy = kilocalories(value, unit)
    weight = grams_in(per)
    grams = grams if weight is None else float(weight)
    if grams is None:
        raise ImpossibleFigure(f"no weight is given for one {per}", "energy")
    return check_amount("energy", energy) * 1000 / check_amount("weight", grams)


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
