"""Findings as the code quality report of GitLab: a JSON array in the shape that its merge requests
read (docs.gitlab.com, "Code Quality", "Code Quality report format")."""

from collections.abc import Iterable, Iterator
from hashlib import sha256

from panellint.core.findings import Severity
from panellint.lint.runner.baseline import fingerprints
from panellint.lint.runner.results import Checked
from panellint.output.findings.json import array
from panellint.output.findings.sarif import place_of
from panellint.output.render_options import RenderOptions

_SEVERITIES = {
    Severity.ERROR: "critical",
    Severity.WARNING: "major",
    Severity.INFORMATION: "minor",
    Severity.HINT: "info",
}


def write(stream: Iterable[Checked], options: RenderOptions) -> Iterator[str]:
    """Yields one array; an input that could not be used is a blocker in it."""
    places = ((checked, place_of(checked.path, options.root)) for checked in stream)
    yield from array(row for checked, place in places for row in _rows(checked, place))


def _rows(checked: Checked, place: str) -> Iterator[dict[str, object]]:
    for fault in checked.faults:
        yield _row(str(fault), "unusable", str(fault), "blocker", place, fault.line or 1)
    if checked.result is None:
        return
    source, findings = checked.result.source, checked.result.findings
    for finding, mark in zip(findings, fingerprints(source, findings), strict=True):
        line = source.position(finding.span.start).line
        severity = _SEVERITIES[finding.severity]
        yield _row(finding.message, finding.rule, mark, severity, place, line)


def _row(
    description: str, check: str, mark: str, severity: str, place: str, line: int
) -> dict[str, object]:
    return {
        "description": description,
        "check_name": check,
        "fingerprint": sha256(f"{place}\0{mark}".encode(errors="surrogatepass")).hexdigest(),
        "severity": severity,
        "location": {"path": place, "lines": {"begin": line}},
    }
