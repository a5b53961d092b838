"""Two columns of a page that were pasted side by side, read one after the other.

A column's text keeps its place: the other column's words are blanks in it, so that every offset
is that of the whole text.
"""

import re
from collections.abc import Callable, Iterator, Sequence

from panellint.core.source import Source, Span

#: What parts two columns of a line: blanks, or a rule between them.
_RULES = "|¦│"
_GAP = re.compile(
    rf"(?<=\S)(?:[ \u00a0]{{2,}}[{_RULES}][ \u00a0]*|[ \u00a0]{{3,}}|\t+)(?=[^\W\d_])"
)
#: The blanks before the right column that every line has.
_MARGIN = 2
#: Fewer lines than this in the right column are no column.
_LEAST = 3

#: What words of a source begin with: "heading", another part of a label, or "".
Begins = Callable[[Source, Span], str]


def columned(source: Source, begins: Begins) -> Iterator[tuple[Source, Span, bool]]:
    """Yields the lines in the order in which they are read, of two columns first those of the left
    one, then those of the right one, each with the text of its column. A single line over two
    columns comes in pieces, with True."""
    lines = list(source.lines())
    number = 0
    while number < len(lines):
        column = _column(source, lines[number], begins)
        end = _end(source, lines, number, column) if column else number
        for left in (True, False) if end > number else ():
            page = _one(source, lines[number:end], column, left)
            yield from ((page, line, False) for line in lines[number:end])
        if end == number:
            yield from ((source, *piece) for piece in _pieces(source, lines[number], begins))
        number = max(end, number + 1)


def _pieces(source: Source, line: Span, begins: Begins) -> list[tuple[Span, bool]]:
    """Returns a line, or its pieces; of two headings the left one last, which goes on below."""
    pieces, start, right = [], line.start, ""
    for gap in _GAP.finditer(source.text, line.start, line.end):
        if right := begins(source, Span(gap.end(), line.end)) or right:
            pieces.append((Span(start, gap.start()), True))
            start = gap.end()
    pieces.append((Span(start, line.end), bool(pieces)))
    headed = right == "heading" and begins(source, pieces[0][0]) == "heading"
    return pieces[::-1] if headed else pieces


def _column(source: Source, line: Span, begins: Begins) -> int:
    """Returns how far into a line a right column begins with a heading; 0 where none does."""
    for gap in _GAP.finditer(source.text, line.start, line.end):
        if begins(source, Span(gap.end(), line.end)) == "heading":
            return gap.end() - line.start
    return 0


def _end(source: Source, lines: Sequence[Span], first: int, column: int) -> int:
    """Returns the line behind two columns, the first where they are none: up to the first line
    over both, and no further than a blank line below the right column."""
    rows, end = 0, first
    for number in range(first, len(lines)):
        printed = source.slice(lines[number])
        if printed[column - _MARGIN : column].strip(f" {_RULES}") or "\t" in printed:
            break
        if printed[column:].strip():
            rows, end = rows + 1, number + 1
        elif printed.strip() and end == number:
            end = number + 1
    return end if rows >= _LEAST else first


def _one(source: Source, lines: Sequence[Span], column: int, left: bool) -> Source:
    """Returns the source with blanks for the words of the other column."""
    text = source.text
    for line in lines:
        middle = min(line.start + column, line.end)
        cell = text[line.start : middle].rstrip(f" \u00a0{_RULES}")
        if left and cell.endswith("-"):  # its word goes on in the column's next line
            end = line.start + len(cell)
            text = f"{text[:end]}\n{' ' * (line.end - end)}{text[line.end + 1 :]}"
            continue
        blank = Span(line.start + len(cell) if left else line.start, line.end if left else middle)
        text = f"{text[: blank.start]}{' ' * (blank.end - blank.start)}{text[blank.end :]}"
    return Source(text, source.path)
