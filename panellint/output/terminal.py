"""A document on a terminal or in a plain text file. The one place that imports rich."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, TextIO

import click

from panellint.core.text import harmless
from panellint.output import document
from panellint.output.cells import ASCII, is_unicode, width, wrap
from panellint.output.render_options import RenderOptions

if TYPE_CHECKING:
    from rich.table import Table as RichTable

#: What a column of text keeps where figures crowd it, in cells.
_NARROW = 12
#: Cells between two columns, and before a line; cells of a bar, and those left for other columns.
_GAP, _INDENT = 3, 2
_BAR, _SHORT_BAR, _OTHERS = 22, 8, 66
#: A page narrower than this has no room for bars beside their words.
_NO_BARS = 70


def write(blocks: Iterable[document.Block], stream: TextIO, options: RenderOptions) -> None:
    """Writes the blocks, wrapped to the width: plain ASCII where the encoding is no Unicode,
    colour only where the options have it, nothing that commands the terminal."""
    page = _Page(stream, options)
    for block in blocks:
        page.show(block)


class _Page:
    """What is written to one stream."""

    def __init__(self, stream: TextIO, options: RenderOptions) -> None:
        self._stream = stream
        self._options = options
        self._ascii = not is_unicode(stream)
        self._begun = False

    def show(self, block: document.Block) -> None:
        """Writes one block."""
        match block:
            case document.Heading(level, words):
                if level > 1 and self._begun:
                    self._print("")
                safe = self._safe(words)
                # A path stays whole, so that it can be copied.
                longest = max(map(width, safe.split()), default=0)
                for line in wrap(safe, max(longest, self._options.width)):
                    self._print(click.style(line, bold=True) if self._options.colour else line)
            case document.Paragraph(words, _, indent):
                self._wrapped(self._safe(words), " " * indent)
            case document.Items(lines):
                for words in lines:
                    self._wrapped(f"- {self._safe(words)}", " " * 2 * _INDENT, "  ")
            case document.Verbatim(text):
                for line in text.rstrip().splitlines():
                    self._print(" " * 2 * _INDENT + harmless(line))
            case document.Table():
                self._caption(block.caption)
                self._table(block)
            case document.Ranges():
                self._caption(block.caption)
                self._ranges(block)

    def _print(self, line: str) -> None:
        self._begun = True
        self._stream.write(line.rstrip(" ") + "\n")

    def _wrapped(self, words: str, indent: str, hanging: str = "") -> None:
        for line in wrap(words, self._options.width, indent, indent + hanging):
            self._print(line)

    def _caption(self, words: str) -> None:
        if words:
            self._wrapped(self._safe(words), " " * _INDENT)

    def _safe(self, words: document.Text) -> str:
        text = harmless(document.plain(words))
        return text.translate(ASCII) if self._ascii else text

    def _cell(self, cell: document.Cell) -> str:
        return self._bar(cell) if isinstance(cell, document.Bar) else self._safe(cell)

    def _bar(self, bar: document.Bar) -> str:
        cells = max(_SHORT_BAR, min(_BAR, self._options.width - _OTHERS))
        full, empty, point = ("=", ".", "|") if self._ascii else ("━", "·", "┃")
        if bar.most <= 0:
            return empty * cells
        first = min(cells - 1, int(cells * bar.low / bar.most))
        last = min(cells - 1, max(first, -int(-cells * bar.high // bar.most) - 1))
        drawn = [full if first <= cell <= last else empty for cell in range(cells)]
        if bar.mark is not None:
            drawn[min(cells - 1, int(cells * bar.mark / bar.most))] = point
        return "".join(drawn)

    def _ranges(self, block: document.Ranges) -> None:
        rows = [(label_of(row), _drawn(row), words_of(row)) for row in block.ranges]
        if self._options.width < _NO_BARS:
            for label, bar, words in rows:
                self._wrapped(f"{self._safe(label).strip()}: {words}", " " * 2 * _INDENT)
                if bar:
                    self._wrapped(self._cell(bar), " " * 2 * _INDENT)
            return
        first, second = block.headings
        self._table(document.Table((first, "0 to 100 %", second), tuple(rows)))

    def _table(self, table: document.Table) -> None:
        """Writes a table. Columns of figures are never cut: where they leave no room for the
        words, each row is written as a paragraph."""
        columns = enumerate(zip(table.headings, *table.rows, strict=True))
        used = [at for at, cells in columns if any(cells)]
        heads = [self._safe(table.headings[at]) for at in used]
        rows = [[self._cell(row[at]) for at in used] for row in table.rows]
        figures = {
            to
            for to, at in enumerate(used)
            if at in table.right or any(isinstance(row[at], document.Bar) for row in table.rows)
        }
        widest = (max(map(width, column)) for column in zip(heads, *rows, strict=True))
        needed = [
            cells if at in figures else min(_NARROW, cells) for at, cells in enumerate(widest)
        ]
        if sum(needed) + _GAP * (len(needed) - 1) + _INDENT > self._options.width:
            self._paragraphs(heads, rows)
            return
        self._rich(heads, rows, figures, needed)

    def _paragraphs(self, heads: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
        for row in rows:
            pairs = zip(heads, row, strict=True)
            if words := [f"{head} {cell}".strip() for head, cell in pairs if cell.strip()]:
                self._wrapped("; ".join(words), " " * _INDENT)

    def _rich(
        self,
        heads: Sequence[str],
        rows: Iterable[Sequence[str]],
        figures: set[int],
        needed: Sequence[int],
    ) -> None:
        from rich.box import SIMPLE_HEAD
        from rich.table import Table as RichTable
        from rich.text import Text as RichText

        table = RichTable(
            box=SIMPLE_HEAD, show_header=any(heads), show_edge=False, pad_edge=False, padding=(0, 1)
        )
        for column, heading in enumerate(heads):
            table.add_column(
                heading,
                justify="right" if column in figures else "left",
                no_wrap=column in figures,
                min_width=needed[column],
                vertical="top",
                overflow="fold",
            )
        for row in rows:
            table.add_row(*(RichText(cell, overflow="fold") for cell in row))
        self._print_rich(table)

    def _print_rich(self, table: RichTable) -> None:
        from io import StringIO

        from rich.console import Console

        colour = self._options.colour
        buffer = StringIO()
        Console(
            file=buffer,
            width=self._options.width - _INDENT,
            force_terminal=colour,
            color_system="standard" if colour else None,
            no_color=not colour,
            highlight=False,
            markup=False,
            emoji=False,
            legacy_windows=False,
            safe_box=self._ascii,
        ).print(table)
        for line in buffer.getvalue().splitlines():
            plain_line = line.translate(ASCII) if self._ascii else line
            self._print(" " * _INDENT + plain_line)


def label_of(row: document.RangeRow) -> str:
    """Returns what a range is of, with its place and its notes."""
    family = f"family {row.family}" if row.family else ""
    what = [document.plain(row.name), *map(document.plain, row.notes), family]
    label = "; ".join(filter(None, what))
    return "  " * row.depth + f"{row.place} {label}".strip()


def _drawn(row: document.RangeRow) -> document.Cell:
    if row.low is None or row.high is None:
        return ""
    return document.Bar(row.low, row.high, mark=row.likely["middle"] if row.likely else None)


def words_of(row: document.RangeRow) -> str:
    """Returns a range in words, with what is remarked of it."""
    return "; ".join(filter(None, (row.words, *row.remarks)))
