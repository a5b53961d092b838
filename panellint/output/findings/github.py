"""Findings as workflow commands of GitHub Actions, which shows them beside the changed lines:
`::error file=...,line=...::message` (docs.github.com, "Workflow commands for GitHub Actions")."""

import re
from collections.abc import Iterable, Iterator

from panellint.core.findings import Finding, Severity
from panellint.core.source import Source
from panellint.core.text import harmless
from panellint.lint.runner.results import Checked
from panellint.output.findings.sarif import place_of
from panellint.output.render_options import RenderOptions

_COMMANDS = {Severity.ERROR: "error", Severity.WARNING: "warning"}
_IN_MESSAGE = re.compile(r"[%\r\n]")
_IN_PROPERTY = re.compile(r"[%\r\n:,]")


def write(stream: Iterable[Checked], options: RenderOptions) -> Iterator[str]:
    """Yields one command for each finding, and for each input that could not be used."""
    for checked in stream:
        place = place_of(checked.path, options.root)
        for fault in checked.faults:
            where: dict[str, object] = {"file": place, "line": fault.line, "col": fault.column}
            yield _command("error", where, "unusable", fault.message)
        if checked.result is not None:
            for finding in checked.result.findings:
                yield _finding(checked.result.source, finding, place)


def _finding(source: Source, finding: Finding, place: str) -> str:
    start, end = source.position(finding.span.start), source.position(finding.span.end)
    where: dict[str, object] = {"file": place, "line": start.line, "endLine": end.line}
    if start.line == end.line:  # columns across lines are not shown
        where |= {"col": start.column, "endColumn": end.column}
    kind = _COMMANDS.get(finding.severity, "notice")
    lines = [finding.message, *finding.proof, f"{finding.certainty}; {finding.source}"]
    return _command(kind, where, finding.rule, "\n".join(map(harmless, lines)))


def _command(kind: str, where: dict[str, object], title: str, message: str) -> str:
    given = {**where, "title": title}
    pairs = [
        f"{name}={_escaped(_IN_PROPERTY, str(value))}"
        for name, value in given.items()
        if value is not None
    ]
    return f"::{kind} {','.join(pairs)}::{_escaped(_IN_MESSAGE, message)}\n"


def _escaped(special: re.Pattern[str], text: str) -> str:
    return special.sub(lambda match: f"%{ord(match[0]):02X}", text)
