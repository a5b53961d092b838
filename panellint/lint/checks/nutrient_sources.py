"""Where the vitamins and minerals come from of a food that calls itself complete, and what else it
guarantees."""

from collections.abc import Iterator

from panellint.analysis.context import LabelContext
from panellint.analysis.nutrient_sources import listed_sources, names_of, sources
from panellint.core.findings import Certainty, Observation, Related
from panellint.lint.checks.adequacy import complete_claim
from panellint.lint.checks.support.label_parts import stated
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule


def check(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds nutrients of a complete food without a declared source.

    “missing” is for many nutrients without one (the limits stand with their list), “gap” for few,
    “carried” for those that whole foods carry where none is missing.
    """
    with_ = rule.parameters
    statement = stated(context, with_.texts("routes"))
    claim = None if context.label.adequacy else complete_claim(context, with_)
    place = statement.span if statement else claim
    if place is None or not context.declaration.ingredients or not context.species:
        return
    listed = data(with_.text("nutrients"))
    supply = listed_sources(context, with_.text("nutrients"))
    lost = len(supply.missing)
    if supply.open_list:
        return
    fault, many = with_.text("fault"), listed["many"]
    if not lost:
        if fault != "carried" or len(supply.carried) < with_.number("carried-from"):
            return
    elif fault != (
        "missing" if lost >= many["missing" if supply.supplied else "without_any"] else "gap"
    ):
        return
    yield Observation(
        place,
        Certainty.PRACTICE,
        {
            "missing": list(names_of(supply.missing)),
            "carried": list(names_of(supply.carried)),
            "supplied": list(names_of(supply.supplied)),
            "count": lost,
        },
        variant="few" if supply.supplied and fault == "missing" else "",
        related=(Related(context.label.declaration_span, "the ingredients are declared here"),),
    )


def without_source(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds guarantees of what no declared ingredient is known to hold."""
    with_ = rule.parameters
    nutrients = with_.texts("nutrients")
    for guarantee in context.label.guarantees:
        if guarantee.nutrient not in nutrients or not context.leaves:
            continue
        supply = sources(context, [guarantee.nutrient], with_["by-kind"], with_["by-note"])
        if supply.missing and not supply.open_list:
            yield Observation(guarantee.name_span, Certainty.PRACTICE, {"name": guarantee.printed})
