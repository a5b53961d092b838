"""Positions as a client counts them: lines and characters from 0, in the agreed encoding."""

import re
from bisect import bisect_left

from panellint.core.source import Source

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
