"""The calorie line: what it must say, whether its figures agree with one another, and the calories
of a household unit or a package against what such a unit can weigh."""

import re
from collections.abc import Iterator
from decimal import Decimal

from panellint.analysis.context import LabelContext
from panellint.analysis.nutrition_input import statement_of
from panellint.core.errors import NotComputable
from panellint.core.findings import Certainty, Observation, Related, State
from panellint.core.numbers import NUMBER, half_up, number
from panellint.core.source import Span, SpanIndex
from panellint.core.text import one_line
from panellint.core.units import ENERGY, grams_in, spellings_of
from panellint.label.calories import read_calories
from panellint.label.model import EnergyFigure, Section
from panellint.lint.checks.net_quantity import Quantity, quantities, units_of_pack
from panellint.lint.checks.support.free_text import free_text
from panellint.lint.checks.support.label_parts import (
    is_doubtful,
    is_whole,
    lacking,
    not_read,
    where,
)
from panellint.nutrition.energy import factors, kcal_per_kg, modified_atwater
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule

#: A figure of energy, one that a scanner has spoilt too: "3,9OO kcal".
_ENERGY = re.compile(
    rf"(?<![\w.,])(?:{NUMBER}|(?=[OIlS]{{0,3}}\d)[\dOIlS][\dOIlS.,]{{0,12}})\s*"
    rf"(?:{spellings_of(ENERGY)})(?![^\W\d_])",
    re.IGNORECASE,
)
_PER_WEIGHT = frozenset({"kg", "100g", "100 g", "g", "lb", "gram", "pound"})


def line(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds what a whole label's calorie line lacks."""
    fault = rule.parameters.text("fault")
    energy = context.label.energy
    if energy is None:
        if fault == "missing" and is_whole(context):
            place = where(context, "calories")
            if context.sections_of("calories"):
                yield Observation(place, Certainty.PROVEN, variant="unread", state=State.NOT_READ)
            elif is_doubtful(context, rule):
                yield Observation(place, Certainty.POSSIBLE, state=State.OPEN)
            else:
                yield lacking(context, place, Certainty.PROVEN, {}, "", "calories")
        return
    per_kg = figure_per_kg(context)
    unit = next((printed for printed in energy.figures if printed.per not in _PER_WEIGHT), None)
    first = energy.figures[0]
    values: dict[str, object] = {"printed": context.source.slice(first.span)}
    lacks = {
        "per-kg": per_kg is None,
        "familiar-unit": unit is None,
        "method": energy.method is None,
    }
    if lacks.get(fault, False):
        other = _other_figure(context) if fault != "method" else None
        if other is not None:
            yield not_read(context, other)._replace(certainty=Certainty.PRACTICE)
            return
        yield Observation(first.span, Certainty.PROVEN, values)
    else:
        yield Observation.met(energy.span)


def _other_figure(context: LabelContext) -> Span | None:
    """Returns where a figure of energy stands of which it was not read what it is given per."""
    assert context.label.energy is not None
    read = SpanIndex(figure.span for figure in context.label.energy.figures)
    start, end = context.label.energy.span
    for match in _ENERGY.finditer(context.source.text, start, end):
        if not read.overlap(Span(match.start(), match.start() + 1)):
            return Span(*match.span())
    return None


def unit_weight(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds figures per unit that are not the figure per kg times the unit's printed weight.

    What the rounding of the three figures explains is passed over.
    """
    per_kg = figure_per_kg(context)
    if per_kg is None or context.label.energy is None:
        return
    slack = Decimal(str(rule.parameters.number("within-percent"))) / 100
    for printed in context.label.energy.figures:
        if (
            printed.grams is None
            or printed.grams <= 0
            or printed.unit != per_kg.unit
            or printed is per_kg
            or _is_of_volume(context, printed)
        ):
            continue
        low = (per_kg.value - _half(per_kg.value)) * (printed.grams - _half(printed.grams)) / 1000
        high = (per_kg.value + _half(per_kg.value)) * (printed.grams + _half(printed.grams)) / 1000
        low, high = (
            low * (1 - slack) - _half(printed.value),
            high * (1 + slack) + _half(printed.value),
        )
        if low <= printed.value <= high:
            continue
        right = per_kg.value * printed.grams / 1000
        yield Observation(
            printed.span,
            Certainty.PROVEN,
            {
                "value": printed.value,
                "per": printed.per,
                "grams": printed.grams,
                "per_kg": per_kg.value,
                "right": float(right),
                "unit": printed.unit,
            },
            proof=(
                f"{number(per_kg.value)} {printed.unit}/kg x {number(printed.grams)} g / 1000 = "
                f"{number(float(right))} {printed.unit}.",
            ),
            related=(Related(per_kg.span, "the figure per kg stands here"),),
        )


def _is_of_volume(context: LabelContext, printed: EnergyFigure) -> bool:
    """Returns whether the ounces of a unit are fluid: "8 oz carton" beside a net quantity in fluid
    ounces."""
    in_ounces = re.search(r"\boz\b", context.source.slice(printed.span), re.IGNORECASE)
    return in_ounces is not None and any(q.measure == "volume" for q in quantities(context))


def figure(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds figures of energy that no food has."""
    most = rule.parameters.number("above")
    for printed in context.label.energy.figures if context.label.energy else ():
        nothing = printed.value <= 0
        if not nothing and grams_in(printed.per) is None:
            continue  # a unit of which no weight is known
        try:
            high = nothing or kcal_per_kg(float(printed.value), printed.unit, printed.per) > most
        except NotComputable:
            continue
        if high:
            yield Observation(
                printed.span,
                Certainty.PROVEN,
                {"printed": context.source.slice(printed.span), "most": most},
                variant="nothing" if nothing else "",
            )


def against_guarantees(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a declared figure per kg far from the one that the guarantees give.

    The guarantees' figure is modified Atwater, with the typical ash of the form where none is
    declared. Guarantees are floors of protein and fat and ceilings of fibre and moisture, so that
    the figure from them runs low: a declared one below it weighs more.
    """
    with_ = rule.parameters
    energy = context.label.energy
    figures = energy.figures if energy else ()
    per_kg = figure_per_kg(context) or next((f for f in figures if grams_in(f.per)), None)
    if per_kg is None:
        return
    statement = statement_of(context)
    analysis = statement.analysis
    wetness = context.form.moisture_class or ("dry" if with_["undeclared-is-dry"] else None)
    allowed = with_["percent"].get(wetness)
    assumed = "moisture" in statement.assumed and not with_["undeclared-is-dry"]
    if allowed is None or not statement.sound or assumed:
        return
    parts = (analysis.protein, analysis.fat, analysis.carbohydrate, analysis.ash)
    from_parts = 0.0 if None in parts else modified_atwater(analysis)
    if from_parts <= 0:
        return
    value = kcal_per_kg(float(per_kg.value), per_kg.unit, per_kg.per)
    apart = 100 * (value - from_parts) / from_parts
    protein, fat, carbohydrate, of_ash = (number(part or 0.0) for part in parts)
    printed = {"protein": protein, "fat": fat, "carbohydrate": carbohydrate}
    terms = " + ".join(f"{number(factor)} x {printed[part]}" for part, factor in factors().items())
    below = with_.text("side") == "below"
    if (-apart if below else apart) <= allowed:
        return
    ash = "assumed" if "ash" in statement.assumed else "declared"
    yield Observation(
        per_kg.span,
        Certainty.PRACTICE,
        {
            "declared": half_up(value),
            "estimate": half_up(from_parts),
            "percent": half_up(abs(apart)),
            "allowed": allowed,
            "ash": analysis.ash,
            "ash_how": ash,
        },
        rests_on=("guarantees",),
        proof=(
            f"Carbohydrate by difference is {carbohydrate} %, with {of_ash} % ash {ash}.",
            f"10 x ({terms}) = {half_up(from_parts)} kcal/kg.",
        ),
    )


def figure_per_kg(context: LabelContext) -> EnergyFigure | None:
    """Returns the printed figure of energy per kg; None where there is none."""
    energy = context.label.energy
    return (
        next((printed for printed in energy.figures if printed.per == "kg"), None)
        if energy
        else None
    )


def _half(value: Decimal) -> Decimal:
    """Returns half a unit of the last printed digit."""
    return Decimal((0, (5,), int(value.as_tuple().exponent) - 1))


def elsewhere(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a figure of energy in free words that is another than that of the calorie line for the
    same unit ("24 calories per strip"); a limit ("under 30") holds where the line is below it."""
    energy, limits = context.label.energy, rule.parameters.words("limits")
    if energy is None or context.label.foods:
        return
    slack = Decimal(str(rule.parameters.number("within-percent"))) / 100
    own = {(figure.unit, figure.per.rstrip("s")): figure for figure in energy.figures}
    for stretch in free_text(context):
        here = Span(stretch.start, stretch.start)
        body = Span(stretch.start, stretch.start + len(stretch.text))
        said = read_calories("", Section("claims", here, body, stretch.text))
        for figure in said.figures if said else ():
            line = own.get((figure.unit, figure.per.rstrip("s")))
            if line is None or figure.grams != line.grams:
                continue
            before = stretch.text[: figure.span.start - stretch.start].rstrip()
            limited = any(match.end() == len(before) for match in limits.finditer(before))
            apart = line.value - figure.value
            most = slack * figure.value + _half(line.value)
            if (apart if limited else abs(apart) - _half(figure.value)) <= most:
                yield Observation.met(figure.span)
                continue
            printed = (context.source.slice(place.span) for place in (figure, line))
            values = dict(zip(("printed", "line"), map(one_line, printed), strict=True))
            related = (Related(line.span, "the calorie line says this"),)
            yield Observation(figure.span, Certainty.PRACTICE, values, related=related)


def package(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds the calories of a package whose weight by them is none that the net quantity gives:
    neither one of its figures nor a whole part of one."""
    masses = [quantity for quantity in quantities(context) if quantity.measure == "mass"]
    slack = rule.parameters.number("within-percent") / 100
    weights = list(_weights(context, rule)) if masses else []
    masses = (units_of_pack(context, slack) or masses) if weights else masses
    for printed, grams in weights:
        if any(_is_of(grams, float(quantity.amount), slack) for quantity in masses):
            continue
        yield _observed(context, printed, grams, masses[0])


def household(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds the calories of a household unit that would weigh what no food of that volume does."""
    least, most = rule.parameters.number("at-least"), rule.parameters.number("at-most")
    for printed, grams in _weights(context, rule):
        if not least <= grams <= most:
            yield _observed(context, printed, grams)


def _weights(context: LabelContext, rule: Rule) -> Iterator[tuple[EnergyFigure, float]]:
    """Yields each figure of energy per one of the rule's units without a printed weight, with the
    weight in g by the figure per kg."""
    per_kg, energy = figure_per_kg(context), context.label.energy
    if energy is None or per_kg is None or per_kg.value <= 0:
        return
    spellings = data("words/household")["units"]
    units = {word for unit in rule.parameters.texts("units") for word in (unit, *spellings[unit])}
    for printed in energy.figures:
        own = printed.per in units and printed.grams is None and printed.value > 0
        if own and printed.unit == per_kg.unit:
            yield printed, float(1000 * printed.value / per_kg.value)


def _is_of(grams: float, net: float, slack: float) -> bool:
    """Returns whether a weight is the net quantity, or a whole part of it."""
    parts = max(1, round(net / grams))
    return abs(grams * parts - net) <= slack * net


def _observed(
    context: LabelContext, printed: EnergyFigure, grams: float, net: Quantity | None = None
) -> Observation:
    per_kg = figure_per_kg(context)
    assert per_kg is not None  # a weight was worked out by it
    related = [Related(per_kg.span, "the figure per kg stands here")]
    if net is not None:
        related.append(Related(net.span, "the net quantity stands here"))
    weight = number(round(grams, 1))
    return Observation(
        printed.span,
        Certainty.PRACTICE,
        {
            "value": printed.value,
            "unit": printed.unit,
            "per": printed.per,
            "grams": weight,
            "per_kg": per_kg.value,
            "net": number(round(float(net.amount), 1)) if net else "",
        },
        proof=(f"1000 x {number(printed.value)} / {number(per_kg.value)} = {weight} g.",),
        related=tuple(related),
    )
