"""Claims of a class, in every language that is read: that a food acts on a disease, that it is more
than another, that an authority approves it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from panellint.core.findings import Certainty, Observation
from panellint.core.text import one_line
from panellint.label.claims import searches
from panellint.lint.checks.support.free_text import behind_figures, free_text
from panellint.rulepacks import parameters as takes

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.rulepacks.model import Rule


def check(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds claims of a class outside the list; with `passed-over`, none that these words hold."""
    with_ = rule.parameters
    for stretch in (*free_text(context), *behind_figures(context)):
        for search in searches(with_.text("class")):
            for match in search.finditer(stretch.text):
                words = one_line(match.group())
                if "unless" not in with_ or not with_.words("unless").search(words):
                    yield Observation(stretch.span(match), Certainty.PRACTICE, {"words": words})


DECLARATIONS = {
    "check": takes.check(
        takes.text("class", "The class of claims, a key of `classes` in rules/words/claims.yaml."),
        takes.words("unless", "Words by which a claim is in order.", None),
    )
}
