"""How much of one food to add to another so that the bowl meets a target, and what it then is."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import isfinite

from panellint.analysis.context import LabelContext
from panellint.catalogue.model import ANYTHING, CatalogueEntry, Range
from panellint.catalogue.rows import means_of
from panellint.core.errors import ImpossibleFigure, MissingFigure, NotComputable
from panellint.core.numbers import decimal
from panellint.core.records import to_data
from panellint.nutrition import blending
from panellint.nutrition.assessment import Assessment
from panellint.nutrition.bases import PARTS, Analysis
from panellint.nutrition.energy import DailyNeed, factors, modified_atwater
from panellint.nutrition.serialize import PLACES, rounded
from panellint.nutrition.targets import Target
from panellint.results.foods import (
    Blend,
    Completeness,
    DayOfBlend,
    PortionData,
    ShareRange,
    TargetData,
)
from panellint.tasks.bowl import bases_of, completeness_of, energy_of, sentences
from panellint.tasks.food import Food, costs_of, food_of, serving_words

#: What a target can be set for.
PARTS_OF_TARGETS = ("carbohydrate", "protein", "fat", "fibre", "ash", "moisture", "energy")


@dataclass(frozen=True, slots=True)
class Portion:
    """One side of a blend: parts in percent as fed, energy in kcal/kg as fed.

    `complete` is whether it is a complete food (None: not said). `box` are literature ranges of
    the parts, where the figures are no label's own; `food` is the label's, with its price and
    the units that it is served in.
    """

    name: str
    analysis: Analysis
    kcal_per_kg: float
    complete: bool | None = None
    path: str = ""
    box: Mapping[str, Range] | None = None
    food: Food | None = None

    @property
    def estimated(self) -> bool:
        """True where the figures are no label's."""
        return self.box is not None


def portion_of(statement: Assessment, name: str, path: str = "") -> Portion:
    """A food of a panel as one side of a blend.

    Its energy is the computed one, so that both sides are told alike. Raises MissingFigure where
    the label does not let one compute it.
    """
    if statement.kcal_per_kg is None:
        reasons = "; ".join(f"{refused.what}: {refused.because}" for refused in statement.refused)
        raise MissingFigure(f"{name} has no energy that can be worked out ({reasons})", "energy")
    kcal = modified_atwater(statement.analysis)
    return Portion(name, statement.analysis, kcal, statement.facts.complete, path)


def portion_of_label(context: LabelContext) -> tuple[Portion, str | None]:
    """Returns a label as one side of a blend, and the species that it is for. Raises as
    `portion_of`."""
    food = food_of(context)
    portion = replace(portion_of(food.statement, food.name, food.path), food=food)
    return portion, food.statement.facts.species


def portion_of_known(known: CatalogueEntry, name: str | None = None) -> Portion:
    """An ingredient of the catalogue as one side of a blend: the mean of its table rows, or the
    middle of its range where no table has a part.

    Crude fibre of an animal ingredient that no table gives is none. Carbohydrate that no table
    gives is what is left of 100; the parts are scaled to make 100. Raises MissingFigure where
    more is lacking.
    """
    means = means_of(known.own_of or known.id)
    middle: dict[str, float | None] = {}
    for part in PARTS:
        usual = known.range_of(part)
        mean = means.get(part)
        if usual is not None and (mean is None or not usual.low <= mean <= usual.high):
            mean = (usual.low + usual.high) / 2
        middle[part] = None if usual is None else mean
    if middle["fibre"] is None and known.origin == "animal":
        middle["fibre"] = 0.0
    values = {part: value for part, value in middle.items() if value is not None}
    missing = [part for part in PARTS[:5] if part not in values]
    if missing:
        raise MissingFigure(
            f"the catalogue has no {' and no '.join(missing)} of {name or known.names[0]}", *missing
        )
    values.setdefault("carbohydrate", max(0.0, 100 - sum(values.values())))
    total = sum(values.values())
    analysis = Analysis.of({part: value * 100 / total for part, value in values.items()})
    kcal = modified_atwater(analysis)
    box = {part: known.range_of(part) or ANYTHING for part in PARTS}
    if known.range_of("fibre") is None and known.origin == "animal":
        box["fibre"] = Range(0.0, 0.0)
    return Portion(name or known.names[0], analysis, kcal, False, box=box)


def blend(base: Portion, added: Portion, target: Target, *, need: DailyNeed | None = None) -> Blend:
    """Returns what meets the target, as plain data: the object of `blend --format json`.

    `need` is an animal's daily energy, for the amounts of a day. Where no share of the added
    food meets the target, `possible` is false and the rest tells the nearest that can be
    reached. Raises NotComputable where the question has no meaning or a figure is missing.
    """
    if target.part not in PARTS_OF_TARGETS:
        raise ImpossibleFigure(
            f"no target can be set for {target.part!r}; there are {', '.join(PARTS_OF_TARGETS)}"
        )
    if not isfinite(target.value) or target.value < 0:
        raise ImpossibleFigure(f"a target of {decimal(target.value)}")
    weights = factors()
    sides = [
        blending.amounts(side.analysis, side.kcal_per_kg, target.part, target.basis, weights)
        for side in (base, added)
    ]
    shares = blending.share_for(sides[0], sides[1], target.value, target.sense)
    share = shares.share
    bowl = blending.blend([(base.analysis, 1 - share), (added.analysis, share)])
    kcal = (1 - share) * base.kcal_per_kg + share * added.kcal_per_kg
    of_energy = blending.energy_share_of(share, base.kcal_per_kg, added.kcal_per_kg)
    day = None if need is None else _day(need, kcal, base, added, share)
    completeness = _completeness(base, added, share, of_energy)
    between = _between(sides[0], added, target, weights) if 0 < share < 1 else None
    return {
        "base": _portion_data(base, sides[0]),
        "added": _portion_data(added, sides[1]),
        "target": to_data(TargetData, target, PLACES),
        "possible": shares.possible,
        "reached": rounded(shares.reached),
        "share_percent": rounded(100 * share),
        "share_percent_range": between,
        "added_grams_per_kg_of_base": rounded(1000 * shares.per_kg),
        "added_energy_percent": rounded(of_energy),
        "bases": bases_of(bowl, kcal),
        "energy": energy_of(bowl, kcal, "modified Atwater"),
        "per_day": day,
        "completeness": completeness,
        "words": sentences(
            "blend",
            base=base,
            added=added,
            target=target,
            shares=shares,
            reached=Target(target.part, target.basis, round(shares.reached, 2), "at"),
            of_energy=of_energy,
            completeness=completeness,
            day=day,
            between=between,
        ),
    }


def _day(need: DailyNeed, kcal: float, base: Portion, added: Portion, share: float) -> DayOfBlend:
    """Returns the amounts of a day for a bowl of `kcal` per kg, of which `share` is added food."""
    grams = 1000 * need.kcal / kcal
    sides = [(base, grams * (1 - share)), (added, grams * share)]
    return {
        "measures": [
            serving_words(side.food, weight * (side.food.kcal_per_kg or 0.0) / 1000)
            if side.food and side.food.kcal_per_kg
            else f"{weight:.0f} g"
            for side, weight in sides
        ],
        "costs": costs_of((side.food, weight) for side, weight in sides),
        "without_price": [
            side.name
            for side, weight in sides
            if weight and (side.food is None or side.food.cost_of(weight) is None)
        ],
        "kcal": rounded(need.kcal),
        "grams": rounded(grams),
        "base_grams": rounded(grams * (1 - share)),
        "added_grams": rounded(grams * share),
        "animal": need.title,
        "formula": need.formula,
        "source": need.source,
    }


def _between(
    base: blending.Amounts, added: Portion, target: Target, weights: dict[str, float]
) -> ShareRange | None:
    """The shares that may be needed over the literature ranges of the added food."""
    if added.box is None:
        return None
    try:
        distance = blending.distance_range(
            added.box, target.part, target.basis, weights, target.value
        )
        low, high = blending.share_range(base, distance, target.value)
    except NotComputable:
        return None
    return {"low": rounded(100 * low), "high": rounded(None if high is None else 100 * high)}


def _portion_data(side: Portion, amounts: blending.Amounts) -> PortionData:
    now = blending.quantity(amounts)
    return to_data(PortionData, side, PLACES, as_fed=side.analysis.as_dict(), now=now)


def _completeness(base: Portion, added: Portion, share: float, of_energy: float) -> Completeness:
    """Which part of the energy comes from food that is not complete, and how much of the added
    food may be in the bowl by custom."""
    parts = ((base, 100 - of_energy), (added, of_energy))
    completeness = completeness_of([(side.name, side.complete, percent) for side, percent in parts])
    if base.complete is not False and not added.complete:
        most = blending.share_at_energy(
            completeness["customary_most_percent"], base.kcal_per_kg, added.kcal_per_kg
        )
        completeness["share_percent_at_customary_most"] = rounded(100 * most)
    return completeness
