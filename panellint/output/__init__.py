"""The forms in which findings are told.

A form is one file with one function, `write(stream, look) -> Iterator[str]`: it takes the
files of a run as they come, and gives the text of the output piece by piece, so that ten
thousand labels need no more memory than one. A new form is one such file and one line in
`FORMATS`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from importlib import import_module
from typing import cast

from panellint.output.look import Look
from panellint.run import Checked

Write = Callable[[Iterable[Checked], Look], Iterator[str]]

FORMATS = {
    "terminal": "panellint.output.terminal",
    "json": "panellint.output.data",
    "lsp": "panellint.output.lsp",
    "sarif": "panellint.output.sarif",
    "junit": "panellint.output.junit",
    "gnu": "panellint.output.gnu",
}


def writer(name: str) -> Write:
    """The function that writes this form; its module is imported only now."""
    return cast(Write, import_module(FORMATS[name]).write)
