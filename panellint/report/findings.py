"""Findings in words for readers who have not met the rules."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING

from panellint.core.findings import Certainty, Finding, Severity
from panellint.core.text import one_line
from panellint.output.document import Printed
from panellint.report.blocks import Point
from panellint.report.saying import resting

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext

#: What a severity means to people who have not met its word.
WEIGHTS = {
    Severity.ERROR: "serious",
    Severity.WARNING: "to ask about",
    Severity.INFORMATION: "worth knowing",
    Severity.HINT: "minor",
}
#: The words of what comes before everything else, where it is about a hazard.
HEAVY = (WEIGHTS[Severity.ERROR], WEIGHTS[Severity.WARNING])
_CERTAINTIES = {
    Certainty.PROVEN: "certain from the label",
    Certainty.POSSIBLE: "possible, not certain",
    Certainty.PRACTICE: "a judgement of the trade",
}
#: How much of the marked words is quoted, in code points.
_LONGEST = 160
#: Words that a terminal sets apart in this way.
_CODE = re.compile("`([^`]*)`")


def points(context: LabelContext, findings: Iterable[Finding]) -> tuple[Point, ...]:
    """Returns findings by weight, those of one weight in the order of the text."""
    return tuple(
        _point(context, finding)
        for finding in sorted(
            findings, key=lambda finding: (finding.severity.rank, finding.sort_key())
        )
    )


def _point(context: LabelContext, finding: Finding) -> Point:
    source = context.source
    end = min(finding.span.end, finding.span.start + _LONGEST)
    quote = one_line(source.text[finding.span.start : end]) + "…" * (end < finding.span.end)
    return Point(
        WEIGHTS[finding.severity],
        _CERTAINTIES[finding.certainty],
        finding.message,
        f"line {source.position(finding.span.start).line}",
        Printed(quote, context.language),
        finding.because,
        finding.proof,
        resting(finding.rests_on),
        tuple(
            f"line {source.position(related.span.start).line}: {related.message}"
            for related in finding.related
        ),
        tuple(_CODE.sub("“\\1”", remedy.title) for remedy in finding.remedies),
        finding.source.rstrip("."),
        finding.rule,
    )
