"""What a food is, and by whose word."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from panellint.core.findings import Severity
from panellint.core.phrases import listed
from panellint.core.text import one_line
from panellint.report.judged import HEAVY, WEIGHTS
from panellint.report.model import Fact, Said
from panellint.report.saying import capital, figure

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.label.model import Adequacy
    from panellint.nutrition.assessment import Assessment

_MARKETS = {"us": "United States", "eu": "European Union", "uk": "United Kingdom", "ca": "Canada"}
_ROUTES = {
    "formulated": "A complete food, by calculation",
    "trial": "A complete food, by feeding trials",
    "family": "A complete food, by likeness to one that went through feeding trials",
    "complete": "A complete food",
    "intermittent": "For intermittent or supplemental feeding only: not a complete food",
    "complementary": "A complementary food: not complete by itself",
}
_STAGES = {"maintenance": "adult maintenance"}
_BY_LABEL = "the maker's word, on the label"
#: How many other serious findings are told at once.
_MOST = 3
_HOW = {
    "stated": "stated with the label",
    "words": "taken from words of the label",
    "moisture": "by its moisture alone",
    "none": "neither said nor to be told from the label",
}


def facts(context: LabelContext, statement: Assessment) -> Iterator[Fact]:
    """Species, form, life stage, completeness, use, market and energy."""
    yield Fact(
        "Made for",
        f"{context.species}s" if context.species else "the label does not say for which animal",
        _BY_LABEL if context.species else "",
    )
    form = context.form
    kind = form.id if form.id != "unknown" else ""
    kind = kind or (f"a {form.moisture_class} food" if form.moisture_class else "not known")
    yield Fact("Form", kind, _HOW[form.how])
    stages = listed(_STAGES.get(stage, stage) for stage in context.stages)
    yield Fact("Life stage", stages or "the label names none", _BY_LABEL if stages else "")
    yield from _complete(context)
    if context.uses:
        yield Fact("Sold as", listed(f"a {use}" for use in context.uses), _BY_LABEL)
    edition = f", {context.edition} text" if context.edition else ""
    yield Fact(
        "Read by the rules of", f"{_MARKETS.get(context.market, context.market)}{edition}", ""
    )
    kcal = statement.facts.kcal_per_kg
    if kcal:
        how = {"calculated": "calculated", "fed": "measured in feeding"}
        method = how.get(statement.facts.kcal_method or "", "how is not said")
        yield Fact("Energy on the label", f"{figure(kcal, 0)} kcal/kg as fed ({method})", _BY_LABEL)


def _complete(context: LabelContext) -> Iterator[Fact]:
    for said in context.label.adequacy:
        quote = one_line(context.source.slice(said.span))
        yield Fact(
            "Complete or not", _ROUTES.get(said.route, said.route), f"{_BY_LABEL}: “{quote}”"
        )
    if not context.label.adequacy:
        yield Fact("Complete or not", "the label does not say", "")


def in_short(
    context: LabelContext,
    statement: Assessment,
    hazards: Sequence[Said],
    serious: Sequence[Said],
    broken: Sequence[str],
    weights: Mapping[Severity, int],
) -> Iterator[str]:
    """The food in a few sentences, before anything is argued: what may harm comes first.

    `serious` are other findings that weigh most, `broken` the promises of the name that no
    recipe keeps, `weights` counts findings.
    """
    for one in hazards:
        if one.severity in HEAVY:
            yield f"Look here first: {one.message}"
    first = [entry.name for entry in context.declaration.ingredients[:3] if entry.name]
    if first:
        yield f"The list of ingredients begins with {listed(first)}."
    if statement.energy:
        shares = statement.energy.shares
        yield (
            f"By the printed guarantees, about {figure(shares.protein, 0)} % of the energy comes "
            f"from protein, {figure(shares.fat, 0)} % from fat and "
            f"{figure(shares.carbohydrate, 0)} % from carbohydrate."
        )
    yield capital(_standing(context.label.adequacy))
    for text in broken:
        yield f"No recipe that fits the label keeps the promise of the name in “{text}”."
    for one in serious[:_MOST]:
        yield one.message
    counts = [
        f"{weights[severity]} {words}"
        for severity, words in WEIGHTS.items()
        if weights.get(severity, 0)
    ]
    if counts:
        yield f"Points on the label: {listed(counts)}."
    else:
        yield "No point was found on the label."


def _standing(statements: tuple[Adequacy, ...]) -> str:
    if not statements:
        return "the label does not say whether the food is complete."
    route = statements[0].route
    if route in ("intermittent", "complementary"):
        return "the label says that it is not a complete food."
    return "the label calls it a complete food; that is the maker's word and was not tested here."
