"""Findings one a line, in the form that the GNU Coding Standards give error messages:
`file:line:column: severity: message [rule]`. Lines and columns count from 1. Information and hints
are a `note`, the word that compilers use and editors know for what is no fault."""

from collections.abc import Iterable, Iterator

from panellint.core.findings import Severity
from panellint.core.text import harmless, one_line
from panellint.lint.runner.results import Checked
from panellint.output.render_options import RenderOptions

_NOTES = (Severity.INFORMATION, Severity.HINT)


def write(stream: Iterable[Checked], options: RenderOptions) -> Iterator[str]:
    """Yields one line for each finding; a clean file gives none."""
    for checked in stream:
        if checked.result is None:
            continue
        source = checked.result.source
        for finding in checked.result.findings:
            line, column = source.position(finding.span.start)
            message = harmless(one_line(finding.message))
            place = f"{harmless(checked.path)}:{line}:{column}"
            word = "note" if finding.severity in _NOTES else finding.severity.value
            yield f"{place}: {word}: {message} [{finding.rule}]\n"
