"""What `plan` answers: a day's bowl of one food or several for one animal."""

from __future__ import annotations

from typing import TypedDict

from panellint.results.foods import AnimalNeed, BowlEnergy, Completeness, Money
from panellint.results.nutrition import BasesData


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
