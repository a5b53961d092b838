"""Text as a terminal shows it: how many cells it fills, and nothing that commands the terminal."""

import unicodedata
from collections.abc import Iterator
from typing import TextIO

from panellint.core.text import harmless, one_line

TAB_STOP = 4
#: Quotation marks, dashes and dots of our own sentences, where the encoding has none.
ASCII = str.maketrans("“”‘’–—−─┃›‹", "\"\"''----|><") | {ord("\u2026"): "..."}


def is_unicode(stream: TextIO) -> bool:
    """Returns whether the encoding of a stream has every character."""
    return (getattr(stream, "encoding", None) or "utf-8").lower().startswith("utf")


def page_text(text: str, stream: TextIO) -> str:
    """Returns an HTML page, which says that it is UTF-8, as it can go to a stream of any encoding:
    in references where that is no Unicode."""
    return text if is_unicode(stream) else text.encode("ascii", "xmlcharrefreplace").decode()


def cell_width(char: str) -> int:
    """Cells that one character fills: 0 for combining marks and joiners, 2 for wide ones."""
    if char.isascii():
        return 1
    if unicodedata.category(char) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(char) in ("W", "F") else 1


def width(text: str) -> int:
    """Cells that a text without tabs fills."""
    return len(text) if text.isascii() else sum(map(cell_width, text))


def cells(text: str) -> Iterator[tuple[str, int]]:
    """Yields each character as printed, with the cells it fills; tabs become spaces up to the
    stop."""
    at = 0
    for char in harmless(text):
        if char == "\t":
            filled = TAB_STOP - at % TAB_STOP
            yield " " * filled, filled
        else:
            filled = cell_width(char)
            yield char, filled
        at += filled


def wrap(text: str, columns: int, first: str = "", rest: str = "") -> list[str]:
    """Words laid in lines of at most so many cells; `first` and `rest` are the indents.

    A word longer than a line is broken. White space is folded.
    """
    lines: list[str] = []
    line, used, empty = first, width(first), True
    for word in harmless(one_line(text)).split(" "):
        for piece in _pieces(word, max(1, columns - width(rest))):
            needed = width(piece) + (not empty)
            if not empty and used + needed > columns:
                lines.append(line)
                line, used, empty = rest, width(rest), True
                needed = width(piece)
            line += piece if empty else f" {piece}"
            used += needed
            empty = False
    return [*lines, line.rstrip()]


def clipped(text: str, columns: int) -> str:
    """Returns words on one line of at most so many cells; an ellipsis stands for the rest."""
    lines = wrap(text, columns)
    return lines[0] if len(lines) == 1 else f"{wrap(text, columns - 1)[0].rstrip(' ,;:')}\u2026"


def _pieces(word: str, columns: int) -> Iterator[str]:
    if width(word) <= columns:
        yield word
        return
    piece, used = "", 0
    for char in word:
        filled = cell_width(char)
        if used + filled > columns:
            yield piece
            piece, used = "", 0
        piece += char
        used += filled
    yield piece
