"""Claims that a food prevents, treats or cures a disease, in every language that is read."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import TYPE_CHECKING

from panellint.core.findings import Certainty, Observation
from panellint.core.text import one_line
from panellint.core.wording import spaced
from panellint.lint.checks.support.free_text import behind_figures, free_text
from panellint.rulepacks import parameters as takes
from panellint.rulepacks.data import data

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.rulepacks.model import Rule


def check(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds words outside the list that say of the food that it acts on a disease."""
    for stretch in (*free_text(context), *behind_figures(context)):
        for match in (found for words in _claims() for found in words.finditer(stretch.text)):
            yield Observation(
                stretch.span(match), Certainty.PRACTICE, {"words": one_line(match.group())}
            )


@cache
def _claims() -> tuple[re.Pattern[str], ...]:
    """The claims of each language as one expression."""
    found = []
    for one in data("words/diseases")["languages"].values():
        verbs, diseases = (re.sub(r"\s*\n?\s*\|", "|", one[key]) for key in ("verbs", "diseases"))
        words = r"(?:[\w’'-]+[\s’'])"
        found.append(
            rf"\b(?:(?:{verbs})\s+{words}{{0,5}}?(?:{diseases})\b"
            rf"|(?:{one['animals']})\s+with\s+{words}{{0,2}}?(?:{diseases})\b"
            rf"|(?:{one['sufferers']})\s+(?:{one['animals']})\b)"
        )
    return tuple(re.compile(spaced(expression), re.IGNORECASE) for expression in found)


DECLARATIONS = {"check": takes.check()}
