import re

import pytest

from panellint.core.findings import FileFindings, Severity
from panellint.core.source import Source, Span
from panellint.lint.runner.results import Checked
from panellint.output.findings import gnu
from panellint.output.render_options import RenderOptions

# GNU Coding Standards, "Formatting Error Messages": sourcefile:lineno:column: message
LINE = re.compile(r"(?P<file>[^:\n]+):(?P<line>\d+):(?P<column>\d+): (?P<message>[^\n]+)\n")


def test_one_line_for_each_finding(checked, clean):
    lines = list(gnu.write(iter([checked, clean]), RenderOptions()))
    assert lines[0] == (
        "labels/duck.panel:1:24: error: Duck can be at most 20 % of this {food}. "
        "[name-quarter-share]\n"
    )
    assert len(lines) == 3
    assert all(LINE.fullmatch(line) for line in lines)


def test_a_message_stays_on_its_line(findings):
    source = Source("duck", "a\nb.panel")
    finding = findings[0]._replace(span=Span(0, 4), message="two\nlines\x1b[31m")
    [line] = gnu.write(
        iter([Checked(source.path, FileFindings(source, (finding,)))]), RenderOptions()
    )
    assert line.count("\n") == 1
    assert "\x1b" not in line


@pytest.mark.parametrize(
    ("severity", "word"),
    [
        (Severity.ERROR, "error"),
        (Severity.WARNING, "warning"),
        (Severity.INFORMATION, "note"),
        (Severity.HINT, "note"),
    ],
)
def test_what_is_mild_is_a_note_and_no_error(findings, severity, word):
    finding = findings[0]._replace(severity=severity)
    result = FileFindings(Source("Ingredients: Duck, beef, salt" * 4, "x.panel"), (finding,))
    [line] = gnu.write(iter([Checked("x.panel", result)]), RenderOptions())
    assert LINE.fullmatch(line)["message"].startswith(f"{word}: ")
