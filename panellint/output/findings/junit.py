"""Findings as JUnit XML, which most build servers show: a suite for each label.

A finding that fails the run is a failed case, any other a passed one that says it; a label
without findings is one passed case, "clean". Everything outside ASCII is written as a
character reference, and what XML cannot hold as U+FFFD.
"""

import re
from collections.abc import Iterable, Iterator
from xml.sax.saxutils import escape, quoteattr

from panellint.core.findings import Finding
from panellint.core.source import Source
from panellint.lint.runner.results import Checked
from panellint.output.render_options import RenderOptions

_FORBIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]")


def write(stream: Iterable[Checked], options: RenderOptions) -> Iterator[str]:
    """Yields the whole document, one suite at a time."""
    yield '<?xml version="1.0" encoding="UTF-8"?>\n<testsuites name="panellint">\n'
    for checked in stream:
        yield from map(_ascii, _suite(checked))
    yield "</testsuites>\n"


def _suite(checked: Checked) -> Iterator[str]:
    findings = checked.result.findings if checked.result else ()
    failures = sum(checked.fails(finding.severity) for finding in findings)
    errors = 0 if checked.result else 1
    yield (
        f' <testsuite name={_quoted(checked.path)} tests="{max(1, len(findings))}"'
        f' failures="{failures}" errors="{errors}" skipped="0">\n'
    )
    if checked.result is None:
        text = "\n".join(map(str, checked.faults))
        yield from _case(checked.path, "read", _element("error", "unusable", text, text))
    elif not findings:
        yield from _case(checked.path, "clean", "")
    else:
        for finding in findings:
            yield from _finding(checked, checked.result.source, finding)
    yield " </testsuite>\n"


def _finding(checked: Checked, source: Source, finding: Finding) -> Iterator[str]:
    line, column = source.position(finding.span.start)
    head = f"{checked.path}:{line}:{column}: {finding.severity}: {finding.message}"
    why = [finding.because] if finding.because else []
    tail = f"{finding.certainty}; source: {finding.source}"
    text = "\n".join([head, *why, *finding.proof, tail])
    if checked.fails(finding.severity):
        body = _element("failure", finding.severity, finding.message, text)
    else:
        body = f"   <system-out>{_text(text)}</system-out>\n"
    yield from _case(checked.path, f"{finding.rule} {line}:{column}", body)


def _case(path: str, name: str, body: str) -> Iterator[str]:
    head = f"  <testcase classname={_quoted(path)} name={_quoted(name)}"
    yield f"{head}>\n{body}  </testcase>\n" if body else f"{head}/>\n"


def _element(name: str, kind: str, message: str, text: str) -> str:
    attributes = f"type={_quoted(kind)} message={_quoted(message)}"
    return f"   <{name} {attributes}>{_text(text)}</{name}>\n"


def _text(text: str) -> str:
    return escape(_FORBIDDEN.sub("\ufffd", text))


def _quoted(text: str) -> str:
    return quoteattr(_FORBIDDEN.sub("\ufffd", text))


def _ascii(text: str) -> str:
    return text.encode("ascii", "xmlcharrefreplace").decode("ascii")
