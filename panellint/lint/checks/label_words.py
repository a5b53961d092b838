"""Words that a text is looked for in, wherever on the label they stand."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from panellint.core.findings import Certainty, Observation
from panellint.core.source import Span
from panellint.core.text import one_line

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.rulepacks.model import Rule


def check(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Each place of the text where the rule's `words`, regular expressions, stand."""
    words = rule.parameters.pattern("words")
    for found in words.finditer(context.source.text):
        if found.group():
            yield Observation(
                Span(*found.span()), Certainty.PRACTICE, {"words": one_line(found.group())}
            )
