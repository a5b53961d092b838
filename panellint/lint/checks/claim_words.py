"""Words that a rule looks for: its own or those of a class of claims where the label speaks freely,
or its own wherever they stand."""

from collections.abc import Iterator

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.label.claims import searches
from panellint.lint.checks.support.free_text import (
    behind_figures,
    free_text,
    free_text_matches,
    said,
)
from panellint.rulepacks.model import Rule


def anywhere(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds words anywhere in the text of the label."""
    for match in rule.parameters.words("words").finditer(context.source.text):
        if match.group():
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
