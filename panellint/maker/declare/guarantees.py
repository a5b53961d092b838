"""Guarantees that hold with a margin, the calorie line, the additives of a European label."""

from collections.abc import Iterator
from math import ceil, floor

from panellint.analysis.context import LabelContext
from panellint.core.numbers import number
from panellint.core.phrases import capital, listed
from panellint.maker.component import BatchContent
from panellint.maker.context import weighed
from panellint.maker.declare.entries import is_additive, official
from panellint.maker.reconcile.guarantees import energy_content
from panellint.nutrition.bases import PARTS
from panellint.nutrition.bounds import undeclared_at_most
from panellint.rulepacks.data import data

_HAIR = 1e-9


def guaranteed(side: str, content: BatchContent, away: float, worst: bool) -> float:
    """A guarantee in percent as fed, `away` points to the safe side of the estimate, then rounded
    away from the truth. With `worst` it is no nearer than the end of the composition range."""
    step = float(data("data/batch")["margins"]["step"])
    if side == "min":
        value = content.middle - away
        value = min(value, content.low) if worst else value
        return max(0.0, step * floor(value / step + _HAIR))
    value = content.middle + away
    value = max(value, content.high) if worst else value
    return min(100.0, step * ceil(value / step - _HAIR))


def margin_of(context: LabelContext, nutrient: str, content: BatchContent) -> float:
    """How far a guarantee lies from the estimate, in points as fed.

    By the maker's own spread where all that has weight comes with one: as many standard
    deviations as leave few batches outside. Else what makers print, on average, from what is
    measured in foods of the form, and no more than a part of the estimate.
    """
    margins = data("data/batch")["margins"]
    own = weighed(context).formula.spread(nutrient)
    if own is not None:
        return float(margins["deviations"]) * own
    food = "wet" if context.form.moisture_class == "wet" else "dry"
    points = abs(float(data("data/likely")["likely"]["margins"][food][nutrient][0]))
    return min(points, float(margins["at_most_percent"][nutrient]) * content.middle / 100)


def us_guarantees(context: LabelContext, margin: float, worst: bool) -> Iterator[tuple[str, float]]:
    """The lines of the guaranteed analysis, words and percent; ash too where it is not what the
    form presumes, since carbohydrate and calories follow from it."""
    presumed, ash = context.form.ash, weighed(context).content("ash").middle
    strange = presumed is not None and not presumed.low <= ash <= presumed.high
    for nutrient, side, words in data("data/batch")["guarantees"]["us"]:
        if nutrient == "ash" and not strange:
            continue
        if weighed(context).formula.without_figure(nutrient):
            continue
        content = weighed(context).content(nutrient)
        away = margin * margin_of(context, nutrient, content)
        value = guaranteed(side, content, away, worst)
        if nutrient == "moisture":
            value = _under_the_ceiling(context, value)
        yield f"{words} ({side}.)", value


def _under_the_ceiling(context: LabelContext, value: float) -> float:
    """A moisture that only its margin carries over the market's ceiling is declared at it."""
    estimate = weighed(context).content("moisture").middle
    for rule in context.settings.rules_about(context.kind):
        if rule.check == "moisture-ceiling":
            ceiling = rule.parameters.number("above")
            if estimate <= ceiling:
                value = min(value, ceiling)
    return value


def eu_constituents(context: LabelContext) -> str:
    """The analytical constituents, declared as averages; moisture where it must be said, by
    what the food comes to or by what foods of its form usually hold."""
    step = float(data("data/batch")["margins"]["declared_step"])
    parts = []
    for nutrient, words in data("data/batch")["guarantees"]["eu"]:
        if weighed(context).formula.without_figure(nutrient):
            continue
        content = weighed(context).content(nutrient).middle
        value = round(content / step) * step
        unsaid = undeclared_at_most(context.market, nutrient)
        usual = context.form.moisture_usual if nutrient == "moisture" else None
        if unsaid is not None and max(content, usual.low if usual else 0.0) <= unsaid:
            continue
        parts.append(f"{words} {number(round(value, 2))} %")
    return ", ".join(parts)


def kilocalories(context: LabelContext) -> float | None:
    """kcal/kg of the estimate, rounded for print; None where it cannot be told."""
    energy = energy_content(context)
    if energy is None:
        return None
    step = float(data("data/batch")["margins"]["energy_step"])
    kcal = energy[0].middle
    # Of a food that is nearly all salt or water a step is a large part.
    coarse = round(kcal / step) * step
    return float(coarse if abs(coarse - kcal) <= kcal / 100 else round(kcal)) or None


def unsaid(context: LabelContext) -> Iterator[str]:
    """What is not guaranteed, and for want of which figures."""
    by_names: dict[tuple[str, ...], list[str]] = {}
    for part in (name for name in PARTS if name != "carbohydrate"):
        if names := weighed(context).formula.without_figure(part):
            by_names.setdefault(names, []).append(part)
    for names, parts in by_names.items():
        yield (
            f"nothing is said of {listed(parts)}, nor of the energy: no figure for "
            f"{listed(names)}; give its analysis in the sheet"
        )


def additives(context: LabelContext) -> Iterator[str]:
    """The lines of a European additives section: each substance with its weight per kg of the
    finished food, by group; preservatives, antioxidants and colours by their function."""
    known = data("data/batch")["additives"]
    low, high = weighed(context).formula.yield_range()
    per_kg = 1e6 / ((low + high) / 2)
    by_group: dict[str, dict[str, float]] = {}
    functions: dict[str, set[str]] = {}
    for component in weighed(context).formula.components:
        group = is_additive(component)
        kind = component.known.kind if component.known else ""
        if not group or not component.share:
            continue
        if kind in known["functions"]:
            functions.setdefault(group, set()).add(known["functions"][kind])
            continue
        name = official(component, context.market)
        amounts = by_group.setdefault(group, {})
        amounts[name] = amounts.get(name, 0.0) + float(component.share) * per_kg
    for group in known["groups"]:
        pieces = [
            f"{capital(name)} {number(amount, 3)} mg"
            for name, amount in sorted(by_group.get(group, {}).items(), key=lambda p: (-p[1], p[0]))
        ]
        pieces += sorted(functions.get(group, ()))
        if pieces:
            yield f"{group}: {', '.join(pieces)}."
