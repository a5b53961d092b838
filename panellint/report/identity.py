"""What a food is, and by whose word; and the food in a few sentences."""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.core.findings import Severity
from panellint.core.phrases import capital, listed
from panellint.core.text import one_line
from panellint.label.model import Adequacy
from panellint.nutrition.assessment import Assessment
from panellint.output.document import Heading, Table
from panellint.report.blocks import Block, Point
from panellint.report.saying import figure
from panellint.rulepacks.data import data
from panellint.rulepacks.settings import market_title

_BY_LABEL = "the maker's word, on the label"
#: How many other serious findings are said at once.
_MOST = 3


class Fact(NamedTuple):
    """One thing that the food is, in words, and by whose word."""

    what: str
    words: str
    by: str


def facts(context: LabelContext, assessment: Assessment) -> Iterator[Fact]:
    """Yields species, form, life stage, completeness, use, market and energy."""
    words = data("words/reading")
    species = listed(f"{animal}s" for animal in context.animals)
    yield Fact(
        "Made for",
        species or "the label does not say for which animal",
        _BY_LABEL if species else "",
    )
    form = context.form
    kind = form.id if form.id != "unknown" else ""
    kind = kind or (f"a {form.moisture_class} food" if form.moisture_class else "not known")
    yield Fact("Form", kind, words["form_known"][form.how])
    stages = listed(words["stages"].get(stage, stage) for stage in context.stages)
    yield Fact("Life stage", stages or "the label names none", _BY_LABEL if stages else "")
    for statement in context.label.adequacy:
        quote = one_line(context.source.slice(statement.span))
        route = words["routes"].get(statement.route, statement.route)
        yield Fact("Complete or not", route, f"{_BY_LABEL}: “{quote}”")
    if not context.label.adequacy:
        yield Fact("Complete or not", "the label does not say", "")
    if context.uses:
        yield Fact("Sold as", listed(f"a {use}" for use in context.uses), _BY_LABEL)
    edition = f", {context.edition} text" if context.edition else ""
    market = f"{market_title(context.market)}{edition}"
    yield Fact("Read by the rules of", market, "")
    kcal = assessment.facts.kcal_per_kg
    if kcal:
        method = words["energy_methods"].get(assessment.facts.kcal_method, "how is not said")
        yield Fact("Energy on the label", f"{figure(kcal, 0)} kcal/kg as fed ({method})", _BY_LABEL)


def section(facts: Sequence[Fact]) -> Iterator[Block]:
    """Yields the facts as a table."""
    yield Heading(2, "What it is", "what")
    yield Table(("", "", "By whose word"), tuple(map(tuple, facts)), kind="facts")


def in_short(
    context: LabelContext,
    assessment: Assessment,
    hazards: Sequence[Point],
    serious: Sequence[Point],
    broken: Sequence[str],
    weights: Mapping[Severity, int],
) -> Iterator[str]:
    """Yields the food in a few sentences, before anything is argued: what may harm comes first.

    `serious` are other findings that weigh most, `broken` the promises of the name that no
    recipe keeps, `weights` counts findings.
    """
    severities = data("words/reading")["severities"]
    for hazard in hazards:
        if hazard.severity in (severities["error"], severities["warning"]):
            yield f"Look here first: {hazard.message}"
    first = [entry.name for entry in context.declaration.ingredients[:3] if entry.name]
    if first:
        yield f"The list of ingredients begins with {listed(first)}."
    if assessment.energy:
        shares = assessment.energy.shares
        yield (
            f"By the printed guarantees, about {figure(shares.protein, 0)} % of the energy comes "
            f"from protein, {figure(shares.fat, 0)} % from fat and "
            f"{figure(shares.carbohydrate, 0)} % from carbohydrate."
        )
    yield capital(_completeness(context.label.adequacy))
    for text in broken:
        yield f"No recipe that fits the label keeps the promise of the name in “{text}”."
    for seriou in serious[:_MOST]:
        yield seriou.message
    counts = [f"{weights[one]} {severities[one.value]}" for one in Severity if weights.get(one)]
    if counts:
        yield f"Points on the label: {listed(counts)}."
    else:
        yield "No point was found on the label."


def _completeness(statements: tuple[Adequacy, ...]) -> str:
    if not statements:
        return "the label does not say whether the food is complete."
    if statements[0].route in ("intermittent", "complementary"):
        return "the label says that it is not a complete food."
    return "the label calls it a complete food; that is the maker's word and was not tested here."
