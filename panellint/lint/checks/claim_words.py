"""Words that a rule looks for: its own or those of a class of claims where the label speaks freely,
or its own wherever they stand; and claims with a limit by species and class of moisture (light,
lean) or that compare."""

import re
from collections.abc import Iterator
from decimal import Decimal
from typing import Literal

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation, Related
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.core.units import kilocalories
from panellint.label.claims import searches
from panellint.label.model import Bound
from panellint.lint.checks.calories import figure_per_kg
from panellint.lint.checks.support.free_text import (
    behind_figures,
    free_text,
    free_text_matches,
    said,
)
from panellint.nutrition.forms import moisture_class
from panellint.rulepacks.model import Rule


def anywhere(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds words anywhere in the text of the label, but behind those of `unless` on a line."""
    with_, text = rule.parameters, context.source.text
    for match in with_.words("words").finditer(text):
        before = text[text.rfind("\n", 0, match.start()) + 1 : match.start()]
        if match.group() and not ("unless" in with_ and with_.words("unless").search(before)):
            yield _words(Span(*match.span()), match.group())


def claimed(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds words in the product's name or a claim."""
    for stretch, match in free_text_matches(context, rule.parameters.words("words")):
        yield _words(stretch.span(match), match.group())


def classed(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds claims of a class outside the list, the longest of those that lie in one another; none
    that the words of `unless` put in order."""
    with_ = rule.parameters
    patterns = [
        pattern for search in searches(with_.text("class")) if (pattern := said(context, search))
    ]
    for stretch in (*free_text(context), *behind_figures(context)) if patterns else ():
        matches = [match for pattern in patterns for match in pattern.finditer(stretch.text)]
        end = 0
        for match in sorted(matches, key=lambda claim: (claim.start(), -claim.end())):
            words = match.group()
            excused = "unless" in with_ and with_.words("unless").search(one_line(words))
            if match.end() > end and not excused:
                end = match.end()
                yield _words(stretch.span(match), words)


def _words(span: Span, words: str) -> Observation:
    return Observation(span, Certainty.PRACTICE, {"words": one_line(words)})


def energy(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a claim of few calories on a food with more energy than its class may have, or without
    a figure per kg."""
    claim = _first(context, rule)
    if claim is None:
        return
    figure = figure_per_kg(context)
    if figure is None:
        yield claim._replace(variant="no figure")
        return
    printed = kilocalories(float(figure.value), figure.unit)
    over = _over(context, rule, claim, Decimal(f"{printed:.10g}"))
    if over:
        yield over._replace(related=(Related(figure.span, "the calorie figure stands here"),))
    elif over is False:
        yield Observation.met(claim.span)


def fat(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a claim of little fat on a food that may hold more than its class may, or that
    guarantees no maximum of it."""
    claim = _first(context, rule)
    if claim is None:
        return
    most = context.guarantee("fat", Bound.MAX)
    given = most or context.guarantee("fat", Bound.MIN)
    over = _over(context, rule, claim, given.value) if given and given.unit == "%" else None
    if over and given:
        related = (Related(given.span, "the guarantee stands here"),)
        yield over._replace(variant="" if given is most else "least", related=related)
    elif most is None and context.label.guarantees:
        yield claim._replace(variant="no maximum")
    elif most is not None:
        yield Observation.met(claim.span)


def _over(
    context: LabelContext, rule: Rule, claim: Observation, printed: Decimal
) -> Observation | Literal[False] | None:
    """Returns that a figure is above what the food's class may have; False where it is not, None
    where the class is not known."""
    food = _class(context)
    if food is None:
        return None
    kind, sure = food
    most = Decimal(str(rule.parameters["at-most"][kind]))
    if printed <= most:
        return False
    values = {**claim.values, "class": kind, "most": most, "printed": printed}
    return claim._replace(certainty=Certainty.PROVEN if sure else Certainty.POSSIBLE, values=values)


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


def _first(context: LabelContext, rule: Rule) -> Observation | None:
    """Returns the first such claim."""
    for stretch, match in free_text_matches(context, rule.parameters.words("words")):
        values = {"claim": one_line(match.group()), "species": context.species or ""}
        return Observation(stretch.span(match), Certainty.PROVEN, values)
    return None


def _class(context: LabelContext) -> tuple[str, bool] | None:
    """Returns the class of moisture, and whether a printed guarantee gives it."""
    moisture = context.guarantee("moisture")
    if moisture is not None and moisture.unit == "%" and 0 <= moisture.value < 100:
        return moisture_class(float(moisture.value)), True
    wetness = context.form.moisture_class
    return (wetness, False) if wetness else None
