"""Labels in several languages: what is due in each."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import TYPE_CHECKING

from panellint.core.findings import Certainty, Observation, Related
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.lint.checks.support import common_parameters as common
from panellint.lint.checks.support.label_parts import has_small_print
from panellint.rulepacks import parameters as takes
from panellint.rulepacks.data import data

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.rulepacks.model import Rule


def headings(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds parts whose headings do not stand in all the languages that a market asks for: one
    finding, at the first heading that lacks a language."""
    with_ = rule.parameters
    if not has_small_print(context):
        return
    lacking: list[tuple[Span, str, str]] = []
    for kind in with_.texts("sections"):
        headed = [
            section
            for section in context.sections_of(kind)
            if section.heading.end > section.heading.start
        ]
        lines = [heading_line(context, section.heading) for section in headed]
        if any(" / " in line for line in lines):
            continue  # "Net / Net": the same word in two languages
        for name, code in with_["languages"].items():
            if lines and not any(_heading_words(kind, code).search(line) for line in lines):
                lacking.append((headed[0].heading, one_line(lines[0]), name))
    if lacking:
        first = lacking[0]
        yield Observation(
            first[0],
            Certainty.PRACTICE,
            {
                "heading": one_line(context.source.slice(first[0])),
                "language": first[2],
                "count": len(lacking),
            },
            related=tuple(Related(span, f"no {name} here either") for span, _, name in lacking[1:]),
        )


def names(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a product's name that does not stand in every language that a market asks for."""
    if not has_small_print(context) or not context.label.product_name:
        return
    kinds = rule.parameters.texts("sections")
    printed = " ".join(s.text for s in context.label.sections if s.kind in kinds)
    for language, words in rule.parameters.built("words", common.wordings).items():
        if not words.search(printed):
            yield Observation(
                context.label.product_name_span, Certainty.PRACTICE, {"language": language}
            )
            return


# ---- parts ---------------------------------------------------------------------------------------


def heading_line(context: LabelContext, span: Span) -> str:
    """Returns the heading with what stands on its line up to the colon: "Ingredients /
    Ingrédients"."""
    text = context.source.text
    start, end = text.rfind("\n", 0, span.start) + 1, text.find("\n", span.end)
    if ":" in text[start : span.start]:
        start = span.start  # another heading begins the line
    return text[start : end if end >= 0 else len(text)].split(":", 1)[0]


@cache
def _heading_words(kind: str, code: str) -> re.Pattern[str]:
    words = [
        re.escape(word).replace("'", "['’]")
        for heading in data("words/headings")["headings"]
        if heading["kind"] == kind
        for word in heading["words"].get(code, ())
    ]
    return re.compile(rf"(?<!\w)(?:{'|'.join(words) or '(?!)'})(?!\w)", re.IGNORECASE)


DECLARATIONS = {
    "headings": takes.check(
        takes.texts("sections", "Sections whose headings are looked at."),
        takes.table(
            "languages",
            "The languages that are due, each with its code.",
            takes.text("code", "The code in rules/words/headings.yaml."),
        ),
    ),
    "names": takes.check(
        takes.texts("sections", "Sections in which the name may stand."),
        takes.table(
            "words",
            "The languages that are due, each with words that show it.",
            takes.words("words", "Words."),
        ),
    ),
}
