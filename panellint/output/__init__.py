"""The forms of findings.

A form is one file with one function, `write(stream, options) -> Iterator[str]`: it takes the
files of a run as they come, and gives the text of the output piece by piece, so that ten
thousand labels need no more memory than one. A new form is one such file and one line in
`FORMATS`.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from importlib import import_module
from itertools import tee
from typing import cast

from panellint.lint.runner.results import Checked
from panellint.output.render_options import RenderOptions

Write = Callable[[Iterable[Checked], RenderOptions], Iterator[str]]
Writing = Callable[[Iterable[Checked]], Iterator[str]]

FORMATS = {
    "terminal": "panellint.output.findings.terminal",
    "json": "panellint.output.findings.json",
    "lsp": "panellint.output.findings.lsp",
    "sarif": "panellint.output.findings.sarif",
    "junit": "panellint.output.findings.junit",
    "gnu": "panellint.output.findings.gnu",
    "github": "panellint.output.findings.github",
    "gitlab": "panellint.output.findings.gitlab",
}


def writer(name: str) -> Write:
    """Returns the function that writes this form; its module is imported only now."""
    return cast(Write, import_module(FORMATS[name]).write)


def together(stream: Iterable[Checked], writers: Sequence[Writing]) -> Iterator[tuple[int, str]]:
    """Yields the pieces of several forms of one run, each with the number of its writer.

    The writer that has taken fewest files goes on, so that no more than a few files are kept.
    """
    taken = [0] * len(writers)

    def counted(number: int, files: Iterator[Checked]) -> Iterator[Checked]:
        for file in files:
            taken[number] += 1
            yield file

    copies = tee(stream, len(writers))
    running = {
        number: write(counted(number, files))
        for number, (write, files) in enumerate(zip(writers, copies, strict=True))
    }
    while running:
        number = min(running, key=lambda writer_: taken[writer_])
        piece = next(running[number], None)
        if piece is None:
            del running[number]
        else:
            yield number, piece
