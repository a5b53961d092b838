"""A day's bowl: how much of each food gives the energy that an animal needs, and what it then is.

Amounts that are fixed ("1 tablespoon", "half a can") come first; the shares of the others are
shares of the energy that is left, since a half by weight of a wet and a dry food is no half.
"""

import re
from collections.abc import Sequence
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.core.errors import PanellintError
from panellint.core.numbers import NUMBER_OR_FRACTION, read_fraction
from panellint.core.phrases import listed
from panellint.core.records import to_data
from panellint.core.text import one_line
from panellint.core.units import unit_of
from panellint.label.feeding import read_directions, unit_name
from panellint.nutrition import blending
from panellint.nutrition.energy import DailyNeed
from panellint.nutrition.serialize import PLACES, rounded
from panellint.results import foods as shapes
from panellint.rulepacks.data import data
from panellint.tasks.animal import Animal, animal_data, need_of, species_of
from panellint.tasks.bowl import bases_of, completeness_of, energy_of, harmful, sentences
from panellint.tasks.food import Food, costs_of, food_of, measures_of, money_of

_AMOUNT = re.compile(rf"(?P<number>{NUMBER_OR_FRACTION})\s*(?P<unit>%|[^\W\d_][\w .]*)?")
#: What a food gives where nobody says its part.
_EVEN = "an even part"


class Part(NamedTuple):
    """What is asked of a food: its kcal where the amount is fixed, else its share of the energy
    that is left (None: an even part of what no other share takes)."""

    words: str
    kcal: float | None = None
    share: float | None = None


class _Dish(NamedTuple):
    """A food of the bowl: what is asked of it and what comes of that, a day."""

    food: Food
    context: LabelContext
    part: Part
    kcal: float
    kcal_per_kg: float

    @property
    def grams(self) -> float:
        """Grams a day."""
        return 1000 * self.kcal / self.kcal_per_kg


def plan(contexts: Sequence[LabelContext], parts: Sequence[str], animal: Animal) -> shapes.Plan:
    """Returns the day's bowl as plain data; `panellint.api.plan` says the rest."""
    species = species_of(animal.species, [context.species for context in contexts])
    need = need_of(animal, [species])
    if parts and len(parts) != len(contexts):
        raise PanellintError(f"{len(parts)} parts for {len(contexts)} foods; give one for each")
    foods = [food_of(context) for context in contexts]
    asked = [
        read_part(text, food) for text, food in zip(parts or [""] * len(foods), foods, strict=True)
    ]
    dishes = [
        _Dish(food, context, part, kcal, _energy_of(food))
        for food, context, part, kcal in zip(
            foods, contexts, asked, _energies(asked, need.kcal), strict=True
        )
    ]
    kcal = sum(dish.kcal for dish in dishes)
    grams = sum(dish.grams for dish in dishes)
    bowl = blending.blend([(dish.food.statement.analysis, dish.grams) for dish in dishes])
    energy = energy_of(bowl, 1000 * kcal / grams, "the labels' own figures, else computed")
    completeness = completeness_of(
        [
            (dish.food.name, dish.food.statement.facts.complete, 100 * dish.kcal / kcal)
            for dish in dishes
        ]
    )
    return {
        "animal": to_data(
            shapes.PlanAnimal,
            animal,
            PLACES,
            **animal_data(species, need),
            kilograms=animal.target or animal.kilograms,
            confirmed=need.confirmed,
        ),
        "foods": [_dish(dish, kcal, animal, need) for dish in dishes],
        "kcal": rounded(kcal),
        "given_percent": rounded(100 * kcal / need.kcal),
        "grams": rounded(grams),
        "bases": bases_of(bowl, energy["kcal_per_kg"]),
        "energy": energy,
        "costs": costs_of((dish.food, dish.grams) for dish in dishes),
        "cost_of_all": all(dish.food.cost_of(1) is not None for dish in dishes),
        "completeness": completeness,
        "watch": sentences(
            "plan_watch",
            dishes=dishes,
            completeness=completeness,
            animal=animal,
            species=species,
            given=100 * kcal / need.kcal,
            harmful=harmful,
        ),
        "notes": sentences("plan_notes", dishes=dishes, need=need, even=_EVEN),
    }


def read_part(text: str, food: Food) -> Part:
    """Returns what a text such as "half", "30 %", "2 parts", "1 tablespoon" or "rest" asks.

    Raises PanellintError where it is not understood, or where the label does not say what such a
    unit of the food holds.
    """
    words, written = one_line(text).lower(), data("words/household")
    if not words or words in written["rest"]:
        return Part(words or _EVEN)
    if words in written["shares"]:
        return Part(words, share=written["shares"][words])
    match = _AMOUNT.fullmatch(words)
    number = read_fraction(match["number"]) if match else None
    if match is None or number is None or number <= 0:
        known = "half, 30 %, 1 tablespoon, 50 g, rest"
        raise PanellintError(f"{text!r} is no part of a bowl; parts read such as {known}")
    amount, printed = float(number), (match["unit"] or "").strip()
    if not printed:
        return Part(words, share=amount)
    if printed == "%":
        return Part(words, share=amount / 100)
    unit, measure = unit_name(printed), unit_of(printed)
    if unit == "g" and measure is not None:
        return Part(words, kcal=amount * float(measure.size) * _energy_of(food) / 1000)
    if unit not in food.units:
        known = listed([*food.units, "g"], "or")
        raise PanellintError(
            f"the label of {food.name} does not say what a {unit} holds; use {known}"
        )
    return Part(words, kcal=amount * food.units[unit])


def _energy_of(food: Food) -> float:
    if food.kcal_per_kg is None:
        raise PanellintError(f"{food.name} has no energy that can be worked out")
    return food.kcal_per_kg


def _energies(parts: Sequence[Part], need: float) -> list[float]:
    """Returns the kcal that each food gives: the fixed amounts, then shares of what they leave."""
    left = need - sum(part.kcal or 0.0 for part in parts)
    sharing = [part for part in parts if part.kcal is None]
    if sharing and left <= 0:
        raise PanellintError("the fixed amounts give all the energy of the day already")
    taken = sum(part.share or 0.0 for part in sharing)
    rest = [part for part in sharing if part.share is None]
    if taken > 1 + 1e-9 or (rest and taken >= 1):
        raise PanellintError(f"the shares come to {100 * taken:.0f} % of the energy")
    if sharing and not rest and taken < 1 - 1e-6:
        raise PanellintError(
            f"the shares come to {100 * taken:.0f} % of the energy; name a food for the rest"
        )
    even = (1 - taken) / len(rest) if rest else 0.0
    return [
        part.kcal if part.kcal is not None else left * (even if part.share is None else part.share)
        for part in parts
    ]


# What comes of it ----------------------------------------------------------------------------


def _dish(dish: _Dish, kcal: float, animal: Animal, need: DailyNeed) -> shapes.PlanFood:
    food = dish.food
    return to_data(
        shapes.PlanFood,
        dish,
        PLACES,
        name=food.name,
        path=food.path,
        part=dish.part.words,
        complete=food.statement.facts.complete,
        energy_from="label" if food.statement.facts.kcal_per_kg else "computed",
        energy_percent=100 * dish.kcal / kcal,
        measures=measures_of(food, dish.kcal),
        cost=money_of(food, dish.grams),
        directions=_directions(dish, animal.kilograms, need.kcal),
    )


def _directions(dish: _Dish, kilograms: float, need: float) -> shapes.DirectionsData | None:
    """Returns what the label itself gives the animal; None where it prints no directions."""
    texts = [section.text for section in dish.context.sections_of("feeding")]
    if not texts:
        return None
    words = one_line(" ".join(texts))
    read = next(filter(None, map(read_directions, texts)), None)
    amount = read.amount(kilograms) if read else None
    per_unit = dish.kcal_per_kg / 1000 if amount and amount.unit == "g" else None
    if amount and per_unit is None:
        per_unit = dish.food.units.get(amount.unit)
    low = high = None
    if amount and per_unit is not None:
        low, high = amount.low * per_unit, amount.high * per_unit
    return to_data(
        shapes.DirectionsData,
        None,
        PLACES,
        words=words,
        low_kcal=low,
        high_kcal=high,
        low_percent=None if low is None else 100 * (low / need - 1),
        high_percent=None if high is None else 100 * (high / need - 1),
    )
