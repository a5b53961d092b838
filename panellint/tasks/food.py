"""A food as tasks on several labels take it: its figures, its price, the units it is served in."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from panellint.analysis.context import LabelContext
from panellint.analysis.nutrition_input import cost_of, statement_of
from panellint.core.units import VOLUME, unit_of
from panellint.label.feeding import unit_name
from panellint.nutrition.assessment import Assessment
from panellint.nutrition.serialize import rounded
from panellint.results.foods import Measure, Money
from panellint.rulepacks.data import data

_FRACTIONS = {Fraction(1, 4): "1/4", Fraction(1, 2): "1/2", Fraction(3, 4): "3/4"}


@dataclass(frozen=True, slots=True)
class Food:
    """One food: its statement, and where it is known what a package costs.

    `net_weight_kg` is the weight of the package whose price `price` is, in `currency`. `units`
    maps the units that the label tells the energy of (cup, can, pouch) to their kcal.
    """

    name: str
    path: str
    statement: Assessment
    price: float | None = None
    net_weight_kg: float | None = None
    currency: str = ""
    units: Mapping[str, float] = field(default_factory=dict)

    @property
    def kcal_per_kg(self) -> float | None:
        """The label's own energy, else the computed; None where neither is known."""
        return self.statement.facts.kcal_per_kg or self.statement.kcal_per_kg

    def cost_of_energy(self, kcal: float) -> float | None:
        """What so much energy costs; None without price, weight of the package, or energy."""
        return self.cost_of(1000 * kcal / self.kcal_per_kg) if self.kcal_per_kg else None

    def cost_of(self, grams: float) -> float | None:
        """What so many grams cost; None without price or weight of the package."""
        if not self.price or self.price < 0 or not self.net_weight_kg:
            return None
        return self.price * grams / (1000 * self.net_weight_kg)


def food_of(context: LabelContext) -> Food:
    """The food of a label, with what the panel file says of price and weight."""
    cost = cost_of(context)
    path = context.source.path
    return Food(
        name=context.label.product_name or path,
        path=path,
        statement=statement_of(context),
        price=cost.price,
        net_weight_kg=cost.kilograms,
        currency=cost.currency,
        units=_units(context),
    )


def _units(context: LabelContext) -> dict[str, float]:
    """Returns the kcal of each household unit that the calorie line has a figure for, and of the
    other spoons and cups where it has one of a volume."""
    units: dict[str, float] = {}
    for figure in context.label.energy.figures if context.label.energy else ():
        unit = unit_name(figure.per)
        kcal = float(figure.value) / (1.0 if figure.unit == "kcal" else 4.184)
        if kcal > 0 and unit != "g" and not any(char.isdigit() for char in unit):
            units.setdefault(unit, kcal)
    for unit, kcal in list(units.items()):
        measure = unit_of(unit)
        if measure is not None and measure.measure == VOLUME:
            for name in ("cup", "tablespoon", "teaspoon"):
                other = unit_of(name)
                assert other is not None  # the table of units has these three
                units.setdefault(name, kcal * float(other.size / measure.size))
            break
    return units


def measures_of(food: Food, kcal: float) -> list[Measure]:
    """Returns what gives so much energy, in the label's own unit where it has one and in grams
    where its energy per kilogram is known; the handiest first."""
    measures: list[Measure] = []
    if unit := _handy(food, kcal):
        measures.append(_measure(unit, kcal / food.units[unit]))
    if food.kcal_per_kg:
        grams = 1000 * kcal / food.kcal_per_kg
        measures.append({"unit": "g", "amount": rounded(grams), "words": f"{grams:.0f} g"})
    return measures


def serving_words(food: Food, kcal: float) -> str:
    """Returns such as "1 1/4 cups (137 g)"."""
    first, *others = [measure["words"] for measure in measures_of(food, kcal)]
    return f"{first} ({others[0]})" if others else first


def _handy(food: Food, kcal: float) -> str:
    """Returns the unit to serve in: the first that the label prints, spoons for little of a cup."""
    if not food.units:
        return ""
    first = next(iter(food.units))
    few = data("words/household")["spoons_below_cups"]
    if first == "cup" and kcal / food.units[first] < few:
        return "tablespoon"
    return first


def _measure(unit: str, amount: float) -> Measure:
    steps = data("words/household")["steps"]
    step = Fraction(str(steps.get(unit, steps["otherwise"])))
    near = round(amount / step) * step
    few = f"{_shown(near)} {unit}" if near else f"less than {_shown(step)} {unit}"
    plurals = data("words/household")["units"].get(unit) or [f"{unit}s"]
    words = few if near <= 1 else f"{_shown(near)} {plurals[0]}"
    return {"unit": unit, "amount": rounded(amount), "words": words}


def _shown(amount: Fraction) -> str:
    whole, part = divmod(amount, 1)
    if not part:
        return str(whole)
    rest = _FRACTIONS.get(part) or f"{float(part):.2f}"
    return f"{whole} {rest}" if whole else rest


def money_of(food: Food, grams: float) -> Money | None:
    """Returns what a day and a month of so many grams a day cost; None without a price."""
    day = food.cost_of(grams)
    return None if day is None else money(day, food.currency)


def costs_of(foods: Iterable[tuple[Food | None, float]]) -> list[Money]:
    """Returns what foods cost of which so many grams a day are fed, one sum for each currency;
    those without a price are left out."""
    sums: dict[str, float] = {}
    for food, grams in foods:
        cost = food.cost_of(grams) if food else None
        if food and cost is not None:
            sums[food.currency] = sums.get(food.currency, 0.0) + cost
    return [money(cost, currency) for currency, cost in sorted(sums.items())]


def money(per_day: float, currency: str) -> Money:
    """Returns a cost of a day with that of a month."""
    days = data("words/household")["days_in_a_month"]
    return {"per_day": rounded(per_day), "per_month": rounded(days * per_day), "currency": currency}
