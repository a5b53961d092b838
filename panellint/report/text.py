"""A reading on a terminal or in a plain text file."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TextIO

from panellint.output.cells import width
from panellint.output.console import Page
from panellint.output.render_options import RenderOptions
from panellint.report.blocks import Bar, Bars, Block, Heading, Items, Line, Table

_INDENT = 2
_CELLS = 20
_SCALE = 100.0
#: Columns that text needs to be read, what stands between columns, and a page too narrow for bars
#: beside their words.
_LEAST_TEXT = 12
_GAP = 2
_NARROW = 70


def write(blocks: Iterable[Block], stream: TextIO, look: RenderOptions) -> None:
    """Write the blocks, wrapped to the look's width."""
    page = Page(stream, look)
    for block in blocks:
        match block:
            case Heading(1, words):
                page.title(words)
            case Heading(_, words):
                page.section(words)
            case Line(words):
                page.line(words)
            case Items(lines):
                for line in lines:
                    page.line(f"- {line}", _INDENT * 2)
            case Table():
                _table(page, block)
            case Bars():
                _bars(page, block)


def _table(page: Page, table: Table) -> None:
    """A table, or where it is too wide for the page its rows one under the other."""
    if table.caption:
        page.line(table.caption)
    used = [
        i
        for i, heading in enumerate(table.headings)
        if heading or any(row[i] for row in table.rows)
    ]
    headings = [table.headings[i] for i in used]
    rows = [[row[i] for i in used] for row in table.rows]
    right = [at for at, i in enumerate(used) if i in table.right]
    figures = sum(max(width(row[at]) for row in (headings, *rows)) for at in right)
    texts = len(used) - len(right)
    if figures + texts * _LEAST_TEXT + _GAP * len(used) <= page.width:
        page.table(headings, rows, right)
        return
    for row in rows:
        cells = [
            f"{heading} {cell}" if heading else cell
            for heading, cell in zip(headings[1:], row[1:], strict=True)
            if cell
        ]
        page.line(f"{row[0]}: {'; '.join(cells)}", _INDENT * 2)


def _bars(page: Page, bars: Bars) -> None:
    if bars.caption:
        page.line(bars.caption)
    first, second = bars.headings
    rows = [[bar.label, _drawn(page, bar), bar.words] for bar in bars.bars]
    if page.width < _NARROW:
        for label, drawn, words in rows:
            page.line(f"{label.strip()}: {words}", _INDENT * 2)
            page.line(drawn, _INDENT * 2)
        return
    page.table([first, "0 to 100 %", second], rows)


def _drawn(page: Page, bar: Bar) -> str:
    if bar.low is None or bar.high is None:
        return ""
    return page.stretch(bar.low, bar.high, _SCALE, _CELLS, bar.estimate)
