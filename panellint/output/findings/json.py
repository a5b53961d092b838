"""Findings as JSON: the object that other programs may rely on.

Lines and columns count from 1 in Unicode code points, the end exclusive. Everything outside
ASCII is escaped, so that the bytes are the same under any locale and lone surrogates survive.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

from panellint.core.findings import FileFindings, Finding
from panellint.core.records import to_data
from panellint.core.source import Source
from panellint.lint.runner.results import Checked, Tally, counts
from panellint.output.render_options import CAUTION, RenderOptions
from panellint.output.schema import VERSION
from panellint.results.findings import FaultData, FindingData

if TYPE_CHECKING:
    from panellint.results.findings import Linted, LintedFile, LintRun


def write(stream: Iterable[Checked], options: RenderOptions) -> Iterator[str]:
    """Yields one object: `files` in the order of the run, then `unusable` and `summary`."""
    tally = Tally()
    yield f'{{"version": {VERSION}, "files": ['
    separator = "\n"
    for checked in tally.over(stream):
        if checked.result is not None:
            yield separator + dumps(file_data(checked.result))
            separator = ",\n"
    tail = (f' "{key}": {dumps(value)}' for key, value in run_data(tally).items())
    yield "],\n" + ",\n".join(tail) + "}\n"


def whole(*files: Checked) -> Linted:
    """Returns the same object for a few files at once."""
    tally = Tally()
    results = [checked.result for checked in tally.over(files)]
    return {"files": [file_data(result) for result in results if result], **run_data(tally)}


def run_data(tally: Tally) -> LintRun:
    """Returns what is said of a whole run beside its files."""
    return {
        "unusable": [to_data(FaultData, fault) for fault in tally.faults],
        "summary": counts(tally.by_severity),
        "rules": dict(sorted(tally.by_rule.items())),
        "caution": CAUTION,
    }


def array(rows: Iterable[object]) -> Iterator[str]:
    """Yields rows as one JSON array, a row a line."""
    separator = "[\n"
    for row in rows:
        yield separator + dumps(row)
        separator = ",\n"
    yield "[]\n" if separator == "[\n" else "\n]\n"


def dumps(data: Any) -> str:
    """Returns JSON text on one line, in ASCII."""
    return json.dumps(data, allow_nan=False)


def file_data(result: FileFindings) -> LintedFile:
    """Returns one element of `files`."""
    source = result.source
    return {
        "path": source.path,
        "findings": [finding_data(source, finding) for finding in result.findings],
        "waived": [finding_data(source, finding) for finding in result.waived],
    }


def finding_data(source: Source, finding: Finding) -> FindingData:
    """Returns one finding as plain data."""
    return to_data(FindingData, finding, None, source, text=source.slice(finding.span))
