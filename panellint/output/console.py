"""A page of sections, tables and bars on a terminal. The one place that imports rich."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import TextIO, cast

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from panellint.output.cells import harmless, width
from panellint.output.render_options import RenderOptions

#: Quotation marks and dashes of our own sentences, where the encoding has none.
_ASCII = str.maketrans({"“": '"', "”": '"', "‘": "'", "’": "'", "–": "-", "—": "-", "−": "-"})
#: What a column of text keeps where figures crowd it, in cells.
_NARROW = 12
#: Cells between two columns, and before the first.
_GAP, _INDENT = 3, 2
_LINE_END = re.compile(r" +$", re.MULTILINE)


class _Trimmed:
    """A stream that gets no spaces at the ends of lines."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self.encoding = stream.encoding

    def write(self, text: str) -> int:
        return self._stream.write(_LINE_END.sub("", text))

    def flush(self) -> None:
        self._stream.flush()


class Page:
    """What is written to one stream: plain ASCII where its encoding is no Unicode, colour only
    where the look has it, nothing that commands the terminal."""

    def __init__(self, stream: TextIO, look: RenderOptions) -> None:
        self._console = Console(
            file=cast(TextIO, _Trimmed(stream)),
            width=look.width,
            force_terminal=look.colour,
            color_system="standard" if look.colour else None,
            no_color=not look.colour,
            highlight=False,
            markup=False,
            emoji=False,
            legacy_windows=False,
        )
        self.plain = not self._console.encoding.lower().startswith("utf")
        self.width = look.width

    def _said(self, words: str) -> str:
        return harmless(words).translate(_ASCII) if self.plain else harmless(words)

    def title(self, words: str) -> None:
        """The heading of the page."""
        self._console.print(Text(self._said(words), style="bold"))

    def section(self, words: str) -> None:
        """The heading of a section, an empty line before it."""
        self._console.print()
        self._console.print(Text(self._said(words), style="bold"))

    def line(self, words: str, indent: int = 2) -> None:
        """A sentence, wrapped to the width."""
        text = Text(self._said(words))
        self._console.print(Padding(text, (0, 0, 0, indent)) if indent else text)

    def table(
        self, headings: Sequence[str], rows: Iterable[Sequence[str]], right: Iterable[int] = ()
    ) -> None:
        """A table; the columns `right` (from 0) hold figures and are never cut: where they leave
        no room for the words, each row is written as a paragraph."""
        figures = set(right)
        cells = [[self._said(cell) for cell in row] for row in rows]
        heads = [self._said(heading) for heading in headings]
        needed = [max(map(width, column)) for column in zip(heads, *cells, strict=True)]
        for column in range(len(needed)):
            if column not in figures:
                needed[column] = min(_NARROW, needed[column])
        if sum(needed) + _GAP * (len(needed) - 1) + _INDENT > self.width:
            self._paragraphs(heads, cells)
            return
        table = Table(box=SIMPLE_HEAD, show_edge=False, pad_edge=False, padding=(0, 1))
        for column, heading in enumerate(heads):
            table.add_column(
                heading,
                justify="right" if column in figures else "left",
                no_wrap=column in figures,
                min_width=needed[column],
                vertical="top",
                overflow="fold",
            )
        for row in cells:
            table.add_row(*(Text(cell, overflow="fold") for cell in row))
        self._console.print(Padding(table, (0, 0, 0, _INDENT)))

    def _paragraphs(self, heads: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
        for row in rows:
            told = [
                f"{heading} {cell}".strip()
                for heading, cell in zip(heads, row, strict=True)
                if cell.strip()
            ]
            if told:
                self.line("; ".join(told), _INDENT)

    def stretch(
        self, low: float, high: float, most: float, cells: int, mark: float | None = None
    ) -> str:
        """A bar from `low` to `high` on a scale from nothing to `most`, the `mark` on it."""
        full, empty, point = ("=", ".", "o") if self.plain else ("━", "·", "●")
        if most <= 0:
            return empty * cells
        first = min(cells - 1, int(cells * low / most))
        last = min(cells - 1, max(first, -int(-cells * high // most) - 1))
        bar = [full if first <= cell <= last else empty for cell in range(cells)]
        if mark is not None:
            bar[min(cells - 1, int(cells * mark / most))] = point
        return "".join(bar)


def figure(value: float | None, places: int = 1) -> str:
    """A figure to so many places, rounded half up; a dash for one that is not known."""
    if value is None:
        return "-"
    exact = Decimal(repr(float(value)))
    return f"{exact.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP):f}"
