"""Findings in words for readers who have not met the rules."""

import re
from collections.abc import Iterable

from panellint.analysis.context import LabelContext
from panellint.core.findings import Finding
from panellint.core.text import one_line
from panellint.output.document import Printed
from panellint.report.blocks import Point
from panellint.report.saying import resting
from panellint.rulepacks.data import data

#: How much of the marked words is quoted, in code points.
_LONGEST = 160
#: Words that a terminal sets apart in this way.
_CODE = re.compile("`([^`]*)`")


def points(context: LabelContext, findings: Iterable[Finding]) -> tuple[Point, ...]:
    """Returns findings by weight, those of one weight in the order of the text."""
    by_weight = sorted(findings, key=lambda row: (row.severity.rank, row.sort_key()))
    return tuple(_point(context, finding) for finding in by_weight)


def _point(context: LabelContext, finding: Finding) -> Point:
    source, words = context.source, data("words/reading")
    end = min(finding.span.end, finding.span.start + _LONGEST)
    quote = one_line(source.text[finding.span.start : end]) + "…" * (end < finding.span.end)
    return Point(
        words["severities"][finding.severity.value],
        words["certainties"][finding.certainty.value],
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
