"""Claims of a class, in every language that is read: that a food acts on a disease, that it is more
than another, that an authority approves it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from panellint.core.findings import Certainty, Observation
from panellint.core.text import one_line
from panellint.label.claims import searches
from panellint.lint.checks.support.free_text import behind_figures, free_text, may_be_said
from panellint.rulepacks import parameters as takes

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.rulepacks.model import Rule


def check(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds claims of a class outside the list, the longest of those that lie in one another; none
    that the words of `unless` put in order."""
    with_ = rule.parameters
    said = [one for one in searches(with_.text("class")) if may_be_said(context, one)]
    for stretch in (*free_text(context), *behind_figures(context)) if said else ():
        found = [match for one in said for match in one.finditer(stretch.text)]
        end = 0
        for match in sorted(found, key=lambda one: (one.start(), -one.end())):
            words = one_line(match.group())
            if match.end() > end and not (
                "unless" in with_ and with_.words("unless").search(words)
            ):
                end = match.end()
                yield Observation(stretch.span(match), Certainty.PRACTICE, {"words": words})


DECLARATIONS = {
    "check": takes.check(
        takes.text("class", "The class of claims, a key of `classes` in rules/words/claims.yaml."),
        takes.words("unless", "Words by which a claim is in order.", None),
    )
}
