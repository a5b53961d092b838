"""The calories of a household unit or a package against what such a unit can weigh."""

from collections.abc import Iterator

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation, Related
from panellint.core.numbers import number
from panellint.label.model import EnergyFigure
from panellint.lint.checks.calories import figure_per_kg
from panellint.lint.checks.net_quantity import Quantity, quantities
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule


def package(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds the calories of a package whose weight by them is none that the net quantity gives:
    neither one of its figures nor a whole part of one."""
    masses = [quantity for quantity in quantities(context) if quantity.measure == "mass"]
    slack = rule.parameters.number("within-percent") / 100
    for printed, grams in _weights(context, rule) if masses else ():
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
