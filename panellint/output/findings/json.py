"""Findings as JSON: the object that other programs may rely on.

Lines and columns count from 1 in Unicode code points, the end exclusive. Everything outside
ASCII is escaped, so that the bytes are the same under any locale and lone surrogates survive.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Any

from panellint.core.errors import Fault
from panellint.core.findings import FileFindings, Finding
from panellint.core.source import Source, Span
from panellint.lint.runner.results import Checked, Tally, counts
from panellint.output.render_options import CAUTION, RenderOptions


def write(stream: Iterable[Checked], look: RenderOptions) -> Iterator[str]:
    """One object: `files` in the order of the run, then `unusable` and `summary`.

    With `summary_only`, a file has the number of its findings by severity in their place, and
    `glance`: what is in the food.
    """
    tally = Tally()
    yield '{"files": ['
    separator = "\n"
    for checked in tally.over(stream):
        if checked.result is None:
            continue
        if look.summary_only:
            one = Tally()
            one.add(checked)
            entry = {"path": checked.path, "summary": counts(one.by_severity)}
            if checked.glance is not None:
                entry["glance"] = checked.glance
        else:
            entry = file_data(checked.result)
        yield separator + dumps(entry)
        separator = ",\n"
    yield "],\n"
    yield f' "unusable": {dumps([fault_data(fault) for fault in tally.faults])},\n'
    yield f' "summary": {dumps(counts(tally.by_severity))},\n "caution": {dumps(CAUTION)}}}\n'


def dumps(data: Any) -> str:
    """JSON text on one line, in ASCII."""
    return json.dumps(data, allow_nan=False)


def file_data(result: FileFindings) -> dict[str, Any]:
    """One element of `files`."""
    source = result.source
    return {
        "path": source.path,
        "findings": [finding_data(source, finding) for finding in result.findings],
        "waived": [finding_data(source, finding) for finding in result.waived],
    }


def finding_data(source: Source, finding: Finding) -> dict[str, Any]:
    """One finding as plain data."""
    return {
        "rule": finding.rule,
        "severity": finding.severity.value,
        "certainty": finding.certainty.value,
        "message": finding.message,
        **place(source, finding.span),
        "text": source.slice(finding.span),
        "rests_on": list(finding.rests_on),
        "proof": list(finding.proof),
        "source": finding.source,
        "because": finding.because,
        "related": [
            {"message": related.message, **place(source, related.span)}
            for related in finding.related
        ],
        "remedies": [
            {
                "title": remedy.title,
                "edits": [{"text": edit.text, **place(source, edit.span)} for edit in remedy.edits],
            }
            for remedy in finding.remedies
        ],
        "tags": list(finding.tags),
    }


def place(source: Source, span: Span) -> dict[str, Any]:
    """`start` and `end` of a span, as line and column from 1, the end exclusive."""
    return {
        "start": source.position(span.start)._asdict(),
        "end": source.position(span.end)._asdict(),
    }


def fault_data(fault: Fault) -> dict[str, Any]:
    """A fault as plain data; line and column are null where it has no place in the file."""
    return {
        "path": fault.path,
        "line": fault.line,
        "column": fault.column,
        "message": fault.message,
        "expected": fault.expected,
    }
