"""Findings in the Static Analysis Results Interchange Format, SARIF 2.1.0 (OASIS Standard).

Regions count from 1 in Unicode code points. Results come first and the rules that they name
after them, so that a run of any length is written as it goes.
"""

import os
import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

from panellint import __version__
from panellint.core.errors import Fault
from panellint.core.findings import Finding, Remedy, Severity
from panellint.core.source import Source, Span
from panellint.lint.runner.baseline import fingerprints
from panellint.lint.runner.files import STANDARD_INPUT
from panellint.lint.runner.results import Checked, Tally
from panellint.output.findings.json import dumps
from panellint.output.render_options import CAUTION, RenderOptions
from panellint.rulepacks.model import Rule

SCHEMA = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
FINGERPRINT = "panellintLine/v1"
LEVELS = {
    Severity.ERROR: "error",
    Severity.WARNING: "warning",
    Severity.INFORMATION: "note",
    Severity.HINT: "note",
}


def write(stream: Iterable[Checked], options: RenderOptions) -> Iterator[str]:
    """Yields one log with one run."""
    tally = Tally()
    rules: dict[str, dict[str, Any]] = {}
    numbers: dict[str, int] = {}
    head = dumps({"$schema": SCHEMA, "version": "2.1.0"})[:-1]
    yield f'{head}, "runs": [{{"columnKind": "unicodeCodePoints", "results": ['
    separator = "\n"
    for checked in tally.over(stream):
        if checked.result is None:
            continue
        location = artifact(checked.path, options.root)
        findings = [(finding, False) for finding in checked.result.findings]
        findings += [(finding, True) for finding in checked.result.waived]
        marks = fingerprints(checked.result.source, [finding for finding, _ in findings])
        for (finding, waived), mark in zip(findings, marks, strict=True):
            if finding.rule not in rules:
                known = options.rule_of(checked.path, finding.rule)
                page = options.page_of(checked.path, finding.rule)
                rules[finding.rule] = _descriptor(finding, known, page)
                numbers[finding.rule] = len(numbers)
            result = _result(checked.result.source, finding, location)
            result |= {
                "ruleIndex": numbers[finding.rule],
                "partialFingerprints": {FINGERPRINT: mark},
            }
            if waived:
                result["suppressions"] = [{"kind": "inSource"}]
            yield separator + dumps(result)
            separator = ",\n"
    yield "],\n"
    yield f' "invocations": {dumps([_invocation(tally, options.root)])},\n'
    driver = {
        "name": "panellint",
        "semanticVersion": __version__,
        "shortDescription": {"text": "The linter for dog and cat food labels."},
        "fullDescription": {"text": CAUTION},
        "rules": list(rules.values()),
    }
    if pages := [rule["helpUri"] for rule in rules.values() if "helpUri" in rule]:
        driver["informationUri"] = f"{pages[0].rpartition('/rules/')[0]}/index.html"
    yield f' "tool": {dumps({"driver": driver})}}}]}}\n'


#: A page or table of a document, behind its file.
_PART = re.compile(r"(?<=\.pdf|docx)#[a-z]+(=\d+)?$", re.IGNORECASE)


def place_of(path: str, root: Path) -> str:
    """Returns a path from the root of the sources, or whole where it lies outside."""
    absolute = Path(os.path.abspath(_PART.sub("", path)))
    top = Path(os.path.abspath(root))
    inside = absolute.is_relative_to(top)
    return absolute.relative_to(top).as_posix() if inside else absolute.as_posix()


def artifact(path: str, root: Path) -> dict[str, Any]:
    """Returns where a file is: relative to the root of the sources, or absolute where it lies
    outside."""
    if path == STANDARD_INPUT:
        return {"uri": "stdin"}
    place = place_of(path, root)
    if not Path(place).is_absolute():
        return {"uri": quote(os.fsencode(place)), "uriBaseId": "%SRCROOT%"}
    return {"uri": Path(place).as_uri()}


def _result(source: Source, finding: Finding, location: dict[str, Any]) -> dict[str, Any]:
    result: dict[str, Any] = {
        "ruleId": finding.rule,
        "level": LEVELS[finding.severity],
        "message": _message("\n".join([finding.message, *finding.proof])),
        "locations": [_location(source, finding.span, location)],
        "properties": {
            "severity": finding.severity.value,
            "certainty": finding.certainty.value,
            "rests_on": list(finding.rests_on),
            "source": finding.source,
        },
    }
    if finding.related:
        result["relatedLocations"] = [
            {"id": number, "message": _message(words), **_location(source, span, location)}
            for number, (span, words) in enumerate(finding.related, start=1)
        ]
    if finding.remedies:
        result["fixes"] = [_fix(source, remedy, location) for remedy in finding.remedies]
    return result


def _fix(source: Source, remedy: Remedy, location: dict[str, Any]) -> dict[str, Any]:
    replacements = [
        {"deletedRegion": _region(source, edit.span), "insertedContent": {"text": edit.text}}
        for edit in remedy.edits
    ]
    change = {"artifactLocation": location, "replacements": replacements}
    return {"description": _message(remedy.title), "artifactChanges": [change]}


def _message(text: str) -> dict[str, str]:
    """Returns a message object; braces stand for placeholders and are doubled where they are none
    (SARIF 2.1.0, 3.11.5)."""
    return {"text": text.replace("{", "{{").replace("}", "}}")}


def _location(source: Source, span: Span, location: dict[str, Any]) -> dict[str, Any]:
    region = _region(source, span)
    if span.start < span.end:
        region["snippet"] = {"text": source.slice(span)}
    return {"physicalLocation": {"artifactLocation": location, "region": region}}


def _region(source: Source, span: Span) -> dict[str, Any]:
    start, end = source.position(span.start), source.position(span.end)
    return {
        "startLine": start.line,
        "startColumn": start.column,
        "endLine": end.line,
        "endColumn": end.column,
    }


def _descriptor(finding: Finding, rule: Rule | None, page: str) -> dict[str, Any]:
    """Returns a rule as SARIF describes it; of one that no pack holds, what its finding says.
    `page` is the URL that explains it."""
    title = rule.title if rule else finding.rule.replace("-", " ").capitalize()
    because = (rule.because if rule else finding.because) or title
    source = str(rule.source) if rule else finding.source
    help_text = f"{because}\n\nSource: {source}" if source else because
    if rule and rule.examples.fails:
        help_text += "\n\nFound fault with, for example:\n" + rule.examples.fails[0].text.strip()
    if rule and rule.examples.passes:
        help_text += "\n\nLeft alone, for example:\n" + rule.examples.passes[0].strip()
    return {
        "id": finding.rule,
        "shortDescription": _message(title),
        "fullDescription": _message(because),
        "help": _message(help_text),
        **({"helpUri": page} if page else {}),
        "properties": {"source": source, **({"pack": rule.pack} if rule else {})},
    }


def _invocation(tally: Tally, root: Path) -> dict[str, Any]:
    return {
        "executionSuccessful": not tally.faults,
        "toolExecutionNotifications": [_notification(fault, root) for fault in tally.faults],
    }


def _notification(fault: Fault, root: Path) -> dict[str, Any]:
    place: dict[str, Any] = {"artifactLocation": artifact(fault.path, root)}
    if fault.line is not None:
        place["region"] = {"startLine": fault.line, "startColumn": fault.column or 1}
    return {
        "level": "error",
        "message": _message(str(fault)),
        "locations": [{"physicalLocation": place}],
    }
