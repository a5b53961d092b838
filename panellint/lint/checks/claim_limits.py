"""Claims with a limit by species and class of moisture: light, lean; and claims that compare."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from typing import TYPE_CHECKING

from panellint.core.findings import Certainty, Observation, Related
from panellint.core.text import one_line
from panellint.core.units import kilocalories
from panellint.label.model import Bound
from panellint.lint.checks.calories import figure_per_kg
from panellint.lint.checks.support import common_parameters as common
from panellint.lint.checks.support.free_text import free_text_matches
from panellint.nutrition.forms import moisture_class
from panellint.rulepacks import parameters as takes

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.core.source import Span
    from panellint.rulepacks.model import Rule


def energy(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a claim of few calories on a food with more energy than its class may have, or without
    a figure per kg."""
    claim = _first(context, rule)
    if claim is None:
        return
    span, words = claim
    values: dict[str, object] = {"claim": words, "species": context.species or ""}
    figure = figure_per_kg(context)
    if figure is None:
        yield Observation(span, Certainty.PROVEN, values, variant="no figure")
        return
    food = _class(context)
    if food is None:
        return
    kind, sure = food
    most = Decimal(str(rule.parameters["at-most"][kind]))
    printed = kilocalories(float(figure.value), figure.unit)
    if printed <= most:
        yield Observation.met(span)
    else:
        yield Observation(
            span,
            Certainty.PROVEN if sure else Certainty.POSSIBLE,
            {**values, "class": kind, "most": most, "printed": printed},
            related=(Related(figure.span, "the calorie figure stands here"),),
        )


def fat(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a claim of little fat on a food that may hold more than its class may, or that
    guarantees no maximum of it."""
    claim = _first(context, rule)
    if claim is None:
        return
    span, words = claim
    values: dict[str, object] = {"claim": words, "species": context.species or ""}
    most_given = context.guarantee("fat", Bound.MAX)
    least_given = context.guarantee("fat", Bound.MIN)
    given = most_given or least_given
    food = _class(context)
    if given is not None and food is not None and given.unit == "%":
        kind, sure = food
        most = Decimal(str(rule.parameters["at-most"][kind]))
        if given.value > most:
            yield Observation(
                span,
                Certainty.PROVEN if sure else Certainty.POSSIBLE,
                {**values, "class": kind, "most": most, "printed": given.value},
                variant="" if given is most_given else "least",
                related=(Related(given.span, "the guarantee stands here"),),
            )
            return
    if most_given is None and context.label.guarantees:
        yield Observation(span, Certainty.PROVEN, values, variant="no maximum")
    elif most_given is not None:
        yield Observation.met(span)


def compared(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds claims of less that do not say by how much, or less than what."""
    with_ = rule.parameters
    percentage, than = with_.words("percentage"), with_.words("than")
    for stretch, match in free_text_matches(context, with_.words("words")):
        sentence = _sentence(stretch.text, match)
        lacks = []
        if not percentage.search(sentence):
            lacks.append("the percentage")
        if not than.search(sentence):
            lacks.append("the product that it is compared with")
        if not lacks:
            yield Observation.met(stretch.span(match))
        else:
            yield Observation(
                stretch.span(match),
                Certainty.PROVEN,
                {"claim": one_line(match.group()), "lacks": lacks},
            )


def _sentence(text: str, match: re.Match[str]) -> str:
    ends = [m.end() for m in re.finditer(r"[.;!?](?=\s|$)|\n\s*\n", text)]
    start = max((end for end in ends if end <= match.start()), default=0)
    return text[start : min((end for end in ends if end >= match.end()), default=len(text))]


def _first(context: LabelContext, rule: Rule) -> tuple[Span, str] | None:
    """Returns the place and the words of the first such claim."""
    for stretch, match in free_text_matches(context, rule.parameters.words("words")):
        return stretch.span(match), one_line(match.group())
    return None


def _class(context: LabelContext) -> tuple[str, bool] | None:
    """Returns the class of moisture, and whether a printed guarantee gives it."""
    moisture = context.guarantee("moisture")
    if moisture is not None and moisture.unit == "%" and 0 <= moisture.value < 100:
        return moisture_class(float(moisture.value)), True
    found = context.form.moisture_class
    return (found, False) if found else None


def _at_most(unit: str, what: str) -> takes.Parameter:
    return takes.table(
        "at-most",
        f"{what} that a food may have, by class of moisture.",
        takes.number("most", unit, f"{what}."),
        *common.MOISTURE_CLASSES,
    )


DECLARATIONS = {
    "energy": takes.check(
        common.CLAIM, _at_most("kcal/kg as fed", "The most energy"), variants=("no figure",)
    ),
    "fat": takes.check(
        common.CLAIM,
        _at_most("percent as fed", "The most crude fat"),
        variants=("least", "no maximum"),
    ),
    "compared": takes.check(
        common.CLAIM,
        takes.words("percentage", "Words that say by how much."),
        takes.words("than", "Words that say less than what."),
    ),
}
