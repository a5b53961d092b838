"""Findings as the Language Server Protocol has them: an array of PublishDiagnosticsParams.

Positions count from 0, in UTF-16 units (the protocol's own default).
"""

import re
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

from panellint.core.findings import FileFindings, Finding, Remedy
from panellint.core.source import Positions, Span
from panellint.lint.runner.files import STANDARD_INPUT
from panellint.lint.runner.results import Checked
from panellint.output.findings.json import array
from panellint.output.render_options import RenderOptions

#: The protocol's DiagnosticTag, by the word that a finding carries.
TAGS = {"unnecessary": 1, "deprecated": 2}
_URL = re.compile(r"https?://[^\s<>\"]+[^\s<>\".,;:)\]]")

Units = Callable[[int], tuple[int, int]]


def write(stream: Iterable[Checked], options: RenderOptions) -> Iterator[str]:
    """Yields one element for each file that could be read; a clean one has no diagnostics, so that
    an editor forgets what it showed before."""
    yield from array(_of_file(file, file.result, options) for file in stream if file.result)


def _of_file(checked: Checked, result: FileFindings, options: RenderOptions) -> dict[str, Any]:
    uri, units = uri_of(checked.path), Positions(result.source).units
    diagnostics = [
        diagnostic(finding, uri, units, options.page_of(checked.path, finding.rule))
        for finding in result.findings
    ]
    return {"uri": uri, "diagnostics": diagnostics}


def uri_of(path: str) -> str:
    """Returns the URI of a file; standard input that has no name is an untitled document."""
    return "untitled:stdin" if path == STANDARD_INPUT else Path(path).absolute().as_uri()


def diagnostic(finding: Finding, uri: str, units: Units, page: str) -> dict[str, Any]:
    """Returns a finding as a Diagnostic.

    `units` turns an offset into line and character from 0. `page` is the URL that explains the
    rule. `data` carries what the protocol has no field for, so that quick fixes need no second
    look.
    """
    data: dict[str, Any] = {
        "range": _range(finding.span, units),
        "severity": finding.severity.rank,
        "code": finding.rule,
        "source": "panellint",
        "message": finding.message,
    }
    address = _URL.search(finding.source)
    if url := page or (address[0] if address else ""):
        data["codeDescription"] = {"href": url}
    if tags := [TAGS[tag] for tag in finding.tags if tag in TAGS]:
        data["tags"] = tags
    if finding.related:
        data["relatedInformation"] = [
            {"location": {"uri": uri, "range": _range(span, units)}, "message": message}
            for span, message in finding.related
        ]
    data["data"] = {
        "certainty": finding.certainty.value,
        "rests_on": list(finding.rests_on),
        "because": finding.because,
        "proof": list(finding.proof),
        "source": finding.source,
        "remedies": [_remedy(remedy, units) for remedy in finding.remedies],
    }
    return data


def _remedy(remedy: Remedy, units: Units) -> dict[str, Any]:
    edits = [{"range": _range(edit.span, units), "newText": edit.text} for edit in remedy.edits]
    return {"title": remedy.title, "sure": remedy.sure, "edits": edits}


def _range(span: Span, position: Units) -> dict[str, Any]:
    def place(offset: int) -> dict[str, int]:
        line, character = position(offset)
        return {"line": line, "character": character}

    return {"start": place(span.start), "end": place(span.end)}
