"""Words that a text is looked for in, wherever on the label they stand."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from panellint.core.findings import Certainty, Observation
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.rulepacks import parameters as takes

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.rulepacks.model import Rule


def check(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds words anywhere in the text of the label."""
    words = rule.parameters.words("words")
    for found in words.finditer(context.source.text):
        if found.group():
            yield Observation(
                Span(*found.span()), Certainty.PRACTICE, {"words": one_line(found.group())}
            )


DECLARATIONS = {"check": takes.check(takes.words("words", "What no part of the label may say."))}
