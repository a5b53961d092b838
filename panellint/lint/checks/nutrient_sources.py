"""Where the vitamins and minerals of a food that calls itself complete come from."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from panellint.analysis.nutrient_sources import listed_sources, names_of
from panellint.core.findings import Certainty, Observation, Related
from panellint.lint.checks.adequacy import complete_claim
from panellint.lint.checks.support import common_parameters as common
from panellint.rulepacks import parameters as takes
from panellint.rulepacks.data import data

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.core.source import Span
    from panellint.rulepacks.model import Rule


def check(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds nutrients of a complete food without a declared source.

    “missing” is for many nutrients without one (the limits stand with their list), “gap” for few,
    “carried” for those that whole foods carry where none is missing.
    """
    with_ = rule.parameters
    statement = next(
        (
            statement.span
            for statement in context.label.adequacy
            if statement.route in with_.texts("routes")
        ),
        None,
    )
    if statement is None and not context.label.adequacy:
        statement = complete_claim(context, with_)
    if statement is None or not context.declaration.ingredients or not context.species:
        return
    listed = data(with_.text("nutrients"))
    found = listed_sources(context, with_.text("nutrients"))
    lost = len(found.missing)
    if found.open_list:
        return
    fault, many = with_.text("fault"), listed["many"]
    if not lost:
        if fault != "carried" or len(found.carried) < with_.number("carried-from"):
            return
    elif fault != (
        "missing" if lost >= many["missing" if found.supplied else "without_any"] else "gap"
    ):
        return
    yield Observation(
        statement,
        Certainty.PRACTICE,
        {
            "missing": list(names_of(found.missing)),
            "carried": list(names_of(found.carried)),
            "supplied": list(names_of(found.supplied)),
            "count": lost,
        },
        variant="few" if found.supplied and fault == "missing" else "",
        related=_declaration(context),
    )


def _declaration(context: LabelContext) -> tuple[Related, ...]:
    span: Span = context.label.declaration_span
    return (Related(span, "the ingredients are declared here"),)


DECLARATIONS = {
    "check": takes.check(
        takes.text("fault", "Which answer is told.", "missing", "gap", "carried"),
        common.ROUTES,
        takes.words("claims", "Words that call a food complete."),
        takes.text("nutrients", "The data that lists nutrients by species."),
        takes.count("carried-from", "nutrients", "Fewer are not told.", None),
        variants=("few",),
    )
}
