"""The forms of findings.

A form is one file with one function, `write(stream, options) -> Iterator[str]`: it takes the
files of a run as they come, and gives the text of the output piece by piece, so that ten
thousand labels need no more memory than one. A new form is one such file and one line in
`FORMATS`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from importlib import import_module
from typing import cast

from panellint.lint.runner.results import Checked
from panellint.output.render_options import RenderOptions

Write = Callable[[Iterable[Checked], RenderOptions], Iterator[str]]

FORMATS = {
    "terminal": "panellint.output.findings.terminal",
    "json": "panellint.output.findings.json",
    "lsp": "panellint.output.findings.lsp",
    "sarif": "panellint.output.findings.sarif",
    "junit": "panellint.output.findings.junit",
    "gnu": "panellint.output.findings.gnu",
}


def writer(name: str) -> Write:
    """Returns the function that writes this form; its module is imported only now."""
    return cast(Write, import_module(FORMATS[name]).write)
