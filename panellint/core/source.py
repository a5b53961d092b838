"""Decoded text and the positions in it.

Offsets are half-open and count Unicode code points. Lines end at LF, CRLF or CR, as the
Language Server Protocol has it, and at nothing else.
"""

import codecs
import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from functools import cached_property
from itertools import accumulate
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from panellint.core.errors import Fault, InputError
from panellint.core.files import LARGEST, read_bytes

if TYPE_CHECKING:
    from panellint.results.outline import Place

_LINE_END = re.compile(r"\r\n|\r|\n")
_BYTE_ORDER_MARKS = (
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


class Span(NamedTuple):
    """A stretch of text: `start` inclusive, `end` exclusive, in code points."""

    start: int
    end: int

    def cover(self, other: "Span") -> "Span":
        """The smallest span that holds both."""
        return Span(min(self.start, other.start), max(self.end, other.end))


class SpanIndex:
    """Spans of a text, to be asked of in a time that hardly grows with their number."""

    def __init__(self, spans: Iterable[Span]) -> None:
        ordered = sorted(spans)
        self._starts = [span.start for span in ordered]
        self._furthest = list(accumulate((span.end for span in ordered), max))

    def overlap(self, span: Span) -> bool:
        """Returns whether any of them shares a character with a span."""
        before = bisect_left(self._starts, span.end)
        return before > 0 and self._furthest[before - 1] > span.start


class Position(NamedTuple):
    """A place as people count it: line and column from 1, columns in code points."""

    line: int
    column: int


class Source:
    """The text of one file, with what is needed to say where something stands in it.

    `path` is what messages and outputs call the file; `-` is standard input.
    """

    def __init__(self, text: str, path: str = "-") -> None:
        if not isinstance(text, str):
            raise TypeError(f"the text of a label is a str, not {type(text).__name__}")
        self.text = text
        self.path = path

    @cached_property
    def _line_starts(self) -> list[int]:
        return [0, *(match.end() for match in _LINE_END.finditer(self.text))]

    def position(self, offset: int) -> Position:
        """Line and column of an offset; the end of the text has a position too."""
        line = bisect_right(self._line_starts, offset)
        return Position(line, offset - self._line_starts[line - 1] + 1)

    def line_start(self, number: int) -> int:
        """The offset at which line `number` (from 1) begins."""
        return self._line_starts[number - 1]

    def line(self, number: int) -> str:
        """The text of line `number` (from 1), without its line end."""
        start = self.line_start(number)
        end = self._line_starts[number] if number < len(self._line_starts) else len(self.text)
        return self.text[start:end].rstrip("\r\n")

    def lines(self) -> Iterator[Span]:
        """The span of every line, without line ends."""
        starts = self._line_starts
        for start, end in zip(starts, [*starts[1:], len(self.text)], strict=True):
            while end > start and self.text[end - 1] in "\r\n":
                end -= 1
            yield Span(start, end)

    def slice(self, span: Span) -> str:
        """The printed text of a span."""
        return self.text[span.start : span.end]

    def blanked(self, spans: Iterable[Span]) -> "Source":
        """Returns the source with blanks for parts of it; every line and offset stays."""
        parts: list[str] = []
        end = 0
        for start, stop in sorted(spans):
            parts += (self.text[end:start], re.sub(r"[^\n]", " ", self.text[start:stop]))
            end = stop
        return Source("".join((*parts, self.text[end:])), self.path)

    def place(self, span: Span) -> "Place":
        """Returns the start and the end of a span as plain data, the end exclusive."""
        start, end = self.position(span.start), self.position(span.end)
        return {
            "start": {"line": start.line, "column": start.column},
            "end": {"line": end.line, "column": end.column},
        }


def decode(data: bytes, path: str = "-") -> Source:
    """Decode the bytes of a panel file: UTF-8, or UTF-16/32 with a byte-order mark.

    Raises InputError, with line and column, where the bytes are no text.
    """
    encoding = next((name for mark, name in _BYTE_ORDER_MARKS if data.startswith(mark)), "utf-8")
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        before = Source(data[: error.start].decode(encoding, errors="replace"))
        line, column = before.position(len(before.text))
        raise InputError(
            Fault(path, line, column, f"not text: {error.reason}", f"{encoding.upper()} text")
        ) from None
    zero = text.find("\0")
    if zero >= 0:
        line, column = Source(text).position(zero)
        raise InputError(
            Fault(
                path,
                line,
                column,
                "not text: a NUL character",
                "UTF-8, or UTF-16 with a byte-order mark",
            )
        )
    return Source(text, path)


def encoded_like(data: bytes, text: str) -> bytes:
    """Returns a text in the encoding of the bytes that it came from, with their byte-order mark."""
    mark = next((mark for mark, _ in _BYTE_ORDER_MARKS if data.startswith(mark)), b"")
    plain = {codecs.BOM_UTF32_LE: "utf-32-le", codecs.BOM_UTF32_BE: "utf-32-be"}
    plain |= {codecs.BOM_UTF16_LE: "utf-16-le", codecs.BOM_UTF16_BE: "utf-16-be"}
    return mark + text.encode(plain.get(mark, "utf-8"))


def read(path: str | Path, most: int = LARGEST) -> Source:
    """Returns the text of a file. Raises InputError where it is no regular file of at most `most`
    bytes, cannot be read or is no text."""
    return decode(read_bytes(path, most), str(path))


#: Per encoding, the characters that take one unit more each time they match.
_WIDER = {
    "utf-8": ("[^\0-\x7f]", "[^\0-\u07ff]", "[\U00010000-\U0010ffff]"),
    "utf-16": ("[\U00010000-\U0010ffff]",),
    "utf-32": (),
}


class Positions:
    """The places of one text, from offsets in code points to client positions and back."""

    def __init__(self, source: Source, encoding: str = "utf-16") -> None:
        self._source = source
        self._wide = [
            [match.start() for match in re.finditer(wider, source.text)]
            for wider in _WIDER[encoding]
        ]

    def units(self, offset: int) -> tuple[int, int]:
        """Returns line and character of an offset."""
        line, column = self._source.position(offset)
        return line - 1, self._character(offset - column + 1, offset)

    def distance(self, offset: int) -> int:
        """Returns how many units stand before an offset, in the whole text."""
        return self._character(0, offset)

    def offset(self, line: int, character: int) -> int:
        """Returns the offset of a position; what lies beyond a line or the text is its end."""
        try:
            start = self._source.line_start(line + 1)
        except IndexError:
            return len(self._source.text)
        columns = range(len(self._source.line(line + 1)))
        return start + bisect_left(
            columns, character, key=lambda column: self._character(start, start + column)
        )

    def _character(self, start: int, offset: int) -> int:
        more = (bisect_left(wide, offset) - bisect_left(wide, start) for wide in self._wide)
        return offset - start + sum(more)
