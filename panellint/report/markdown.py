"""A reading as Markdown (CommonMark, with tables as GitHub has them).

Every word that is not our own heading is escaped, so that a label cannot make a link, a picture,
a heading or raw HTML.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from panellint.core.text import one_line
from panellint.output.cells import harmless
from panellint.report.blocks import Bars, Block, Heading, Items, Line, Table

#: What may mean something to a Markdown reader; a backslash before it takes that away. The
#: colon and the at sign keep bare addresses from becoming links.
_SPECIAL = re.compile(r"([\\`*_{}\[\]<>()#+!|~$@&^=])")
_STARTS = re.compile(r"^(\d+)([.)])|^([-+>])")
_ADDRESS = re.compile(r"\b(https?|ftp|mailto|www)(?=[:.])", re.IGNORECASE)


def write(blocks: Iterable[Block]) -> Iterator[str]:
    """The text, block by block, each with an empty line behind it."""
    for block in blocks:
        yield "\n".join(_lines(block)) + "\n\n"


def escaped(text: str) -> str:
    """Text that Markdown shows as it stands; white space is folded."""
    words = _SPECIAL.sub(r"\\\1", harmless(one_line(text)))
    # A word joiner parts what would be taken for an address.
    words = _ADDRESS.sub("\\1\u2060", words)
    return _STARTS.sub(lambda m: f"{m[1]}\\{m[2]}" if m[1] else f"\\{m[3]}", words)


def _lines(block: Block) -> Iterator[str]:
    match block:
        case Heading(level, words):
            yield f"{'#' * level} {escaped(words)}"
        case Line(words):
            yield escaped(words)
        case Items(lines):
            yield from (f"- {escaped(line)}" for line in lines)
        case Table(caption, headings, rows, right):
            yield from _table(caption, headings, rows, right)
        case Bars(caption, headings, bars):
            yield from _table(caption, headings, ((bar.label, bar.words) for bar in bars), ())


def _table(
    caption: str,
    headings: tuple[str, ...],
    rows: Iterable[tuple[str, ...]],
    right: tuple[int, ...],
) -> Iterator[str]:
    if caption:
        yield f"{escaped(caption)}:"
        yield ""
    yield _row(headings)
    yield _row("---:" if i in right else "---" for i in range(len(headings)))
    yield from (_row(escaped(cell) for cell in row) for row in rows)


def _row(cells: Iterable[str]) -> str:
    return f"| {' | '.join(cells)} |"
