"""A document as Markdown (CommonMark, with tables as GitHub has them).

Every word that is not our own heading is escaped, so that a label cannot make a link, a picture,
a heading or raw HTML.
"""

import re
from collections.abc import Iterable, Iterator

from panellint.core.text import harmless, one_line
from panellint.output.document import (
    Bar,
    Block,
    Heading,
    Items,
    Paragraph,
    Ranges,
    Table,
    Text,
    plain,
)
from panellint.output.terminal import label_of, words_of

#: What may mean something to a Markdown reader; a backslash before it takes that away. The
#: colon and the at sign keep bare addresses from becoming links.
_SPECIAL = re.compile(r"([\\`*_{}\[\]<>()#+!|~$@&^=])")
_STARTS = re.compile(r"^(\d+)([.)])|^([-+>])")
_ADDRESS = re.compile(r"\b(https?|ftp|mailto|www)(?=[:.])", re.IGNORECASE)


def write(blocks: Iterable[Block]) -> Iterator[str]:
    """Yields the text, block by block, each with an empty line behind it."""
    for block in blocks:
        yield "\n".join(_lines(block)) + "\n\n"


def escaped(text: Text) -> str:
    """Returns text that Markdown shows as it stands; white space is folded."""
    words = _SPECIAL.sub(r"\\\1", harmless(one_line(plain(text))))
    # A word joiner parts what would be taken for an address.
    words = _ADDRESS.sub("\\1\u2060", words)
    return _STARTS.sub(lambda m: f"{m[1]}\\{m[2]}" if m[1] else f"\\{m[3]}", words)


def _lines(block: Block) -> Iterator[str]:
    match block:
        case Heading(level, words):
            yield f"{'#' * level} {escaped(words)}"
        case Paragraph(words):
            yield escaped(words)
        case Items(lines):
            yield from (f"- {escaped(line)}" for line in lines)
        case Table():
            yield from _table(block)
        case Ranges(headings, ranges, caption):
            rows = tuple((label_of(range_row), words_of(range_row)) for range_row in ranges)
            yield from _table(Table(headings, rows, caption=caption))


def _table(table: Table) -> Iterator[str]:
    if table.caption:
        yield f"{escaped(table.caption)}:"
        yield ""
    yield _row(table.headings)
    yield _row("---:" if at in table.right else "---" for at in range(len(table.headings)))
    for row in table.rows:
        yield _row("" if isinstance(cell, Bar) else escaped(cell) for cell in row)


def _row(cells: Iterable[str]) -> str:
    return f"| {' | '.join(cells)} |"
