"""Plain tables for the terminal: text to the left, figures to the right."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from panellint.output.cells import harmless, width, wrap

GAP = 2
#: A column of text is not made narrower than this for the sake of the others.
_NARROWEST = 12


@dataclass(frozen=True, slots=True)
class Table:
    """A table as text. `right` are the columns (from 0) that hold figures; `notes` stand below."""

    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: frozenset[int] = frozenset()
    notes: tuple[str, ...] = field(default=())


def lines(table: Table, columns: int) -> Iterator[str]:
    """The table in lines of at most so many cells: the widest column of text is wrapped to what
    the others leave, and where that is too little each row is told as a paragraph."""
    cells = [[harmless(cell) for cell in row] for row in (table.headings, *table.rows)]
    widths = [max(width(row[i]) for row in cells) for i in range(len(table.headings))]
    room = columns - GAP * (len(widths) - 1)
    texts = [i for i in range(len(widths)) if i not in table.right]
    while texts and sum(widths) > room:
        widest = max(texts, key=lambda i: (widths[i], -i))
        if widths[widest] <= _NARROWEST:
            break
        widths[widest] -= 1
    if table.title:
        yield from wrap(table.title, columns, "", "  ")
    if sum(widths) > room:
        for row in cells[1:]:
            yield from wrap(_told(cells[0], row), columns, "", "  ")
    else:
        for number, row in enumerate(cells):
            yield from _row(row, widths, table.right)
            if not number:
                yield (" " * GAP).join("-" * one for one in widths)
    for note in table.notes:
        yield from wrap(note, columns, "", "  ")


def _told(headings: Sequence[str], row: Sequence[str]) -> str:
    """A row in words: its first cell, then each heading with what stands under it."""
    pairs = zip(headings[1:], row[1:], strict=True)
    return "; ".join([row[0], *(f"{head} {cell}".strip() for head, cell in pairs if cell)])


def _row(row: Sequence[str], widths: Sequence[int], right: frozenset[int]) -> Iterator[str]:
    pieces = [wrap(cell, widths[i]) if cell else [""] for i, cell in enumerate(row)]
    for at in range(max(map(len, pieces))):
        line = []
        for i, piece in enumerate(pieces):
            text = piece[at] if at < len(piece) else ""
            pad = " " * max(0, widths[i] - width(text))
            line.append(pad + text if i in right else text + pad)
        yield (" " * GAP).join(line).rstrip()


def text(tables: Sequence[Table], columns: int) -> str:
    """Several tables, an empty line between them."""
    return "\n".join("\n".join(lines(table, columns)) + "\n" for table in tables)
