"""What `compare`, `blend` and `plan` answer."""

from typing import TypedDict

from panellint.results.nutrition import BasesData, CarbohydrateTarget, Parts
from panellint.results.shares import LikelyPart


class DailyNeed(TypedDict):
    """What an animal needs in a day, kcal, and the range among animals."""

    title: str
    kcal_per_day: float | None
    low: float | None
    high: float | None
    formula: str
    source: str


class AnimalNeed(DailyNeed):
    """The daily need of an animal, and which it is: dog or cat."""

    species: str


class ComparedFood(TypedDict):
    """One food: `values` on the basis of the comparison, `energy_from` label or computed;
    `species` dog, cat or None; what is `likely` of it by part, and where it stands against the
    trade's `target` of carbohydrate."""

    name: str
    path: str
    species: str | None
    form: str
    values: Parts
    energy_shares: Parts | None
    kcal_per_kg: float | None
    energy_from: str | None
    cost_per_1000_kcal: float | None
    grams_per_day: float | None
    cost_per_day: float | None
    currency: str
    likely: dict[str, LikelyPart]
    target: CarbohydrateTarget | None
    assumed: list[str]
    not_computed: list[str]


class Comparison(TypedDict):
    """Foods on one basis, in order, those for dogs before those for cats; `animals` are the needs
    of a day by species, `animal` the only one."""

    basis: str
    sorted_by: str
    animal: AnimalNeed | None
    animals: list[AnimalNeed]
    foods: list[ComparedFood]
    words: list[str]
    notes: list[str]


class PortionData(TypedDict):
    """One side of a blend; `now` is what it has of the target's part, on its basis."""

    name: str
    path: str
    complete: bool | None
    estimated: bool
    kcal_per_kg: float | None
    as_fed: Parts
    now: float | None


class TargetData(TypedDict):
    """What the bowl is to hold."""

    part: str
    basis: str
    value: float | None
    sense: str


class ShareRange(TypedDict):
    """Percent of the bowl; the most is None where no share is enough at the far end."""

    low: float | None
    high: float | None


class BowlEnergy(TypedDict):
    """The energy of the bowl and where it comes from, in percent."""

    kcal_per_kg: float | None
    method: str
    shares: Parts


class Money(TypedDict):
    """What the food of a day and of a month costs, in the currency as printed."""

    per_day: float | None
    per_month: float | None
    currency: str


class DayOfBlend(TypedDict):
    """The amounts of a day, in grams; `measures` are those of base and added in the labels' own
    units, `costs` one sum for each currency, and `without_price` the foods that have no price."""

    measures: list[str]
    costs: list[Money]
    without_price: list[str]
    kcal: float | None
    grams: float | None
    base_grams: float | None
    added_grams: float | None
    animal: str
    formula: str
    source: str


class Completeness(TypedDict):
    """Percent of the energy from food that is not complete, against the customary most."""

    incomplete_energy_percent: float | None
    customary_most_percent: float
    practice: bool
    over: bool
    not_said: list[str]
    share_percent_at_customary_most: float | None


class Blend(TypedDict):
    """How much of one food to add to another, and what the bowl then is."""

    base: PortionData
    added: PortionData
    target: TargetData
    possible: bool
    reached: float | None
    share_percent: float | None
    share_percent_range: ShareRange | None
    added_grams_per_kg_of_base: float | None
    added_energy_percent: float | None
    bases: BasesData
    energy: BowlEnergy
    per_day: DayOfBlend | None
    completeness: Completeness
    words: list[str]


class PlanAnimal(AnimalNeed):
    """The animal and its need; `confirmed` is whether the equation was seen at its source.
    `kilograms` is the weight that it takes: the target weight where the aim is to lose or gain."""

    kilograms: float
    life: str
    aim: str
    confirmed: bool


class Measure(TypedDict):
    """An amount in a unit of the label ("cup", "can", "g"); `words` are rounded as one measures
    them in a kitchen, `amount` is not."""

    unit: str
    amount: float | None
    words: str


class DirectionsData(TypedDict):
    """What the label's own directions give the animal of this one food alone: kcal a day, and
    how many percent above (below: negative) the need; None where they do not reach its weight."""

    words: str
    low_kcal: float | None
    high_kcal: float | None
    low_percent: float | None
    high_percent: float | None


class PlanFood(TypedDict):
    """One food of the bowl. `part` are the words that were asked for, `complete` whether the label
    calls it complete (None: not said), `energy_from` label or computed."""

    name: str
    path: str
    part: str
    complete: bool | None
    kcal_per_kg: float | None
    energy_from: str
    kcal: float | None
    energy_percent: float | None
    grams: float | None
    measures: list[Measure]
    cost: Money | None
    directions: DirectionsData | None


class Plan(TypedDict):
    """A day's bowl: `bases` and `energy` are those of the whole; `given_percent` is its energy in
    percent of the need. `costs` has one sum for each currency, and `cost_of_all` is false where
    a food has no price. `watch` are sentences on what may go wrong, `notes` on the figures."""

    animal: PlanAnimal
    foods: list[PlanFood]
    kcal: float | None
    given_percent: float | None
    grams: float | None
    bases: BasesData
    energy: BowlEnergy
    costs: list[Money]
    cost_of_all: bool
    completeness: Completeness
    watch: list[str]
    notes: list[str]
