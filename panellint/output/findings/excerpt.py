"""The lines of a label with the marked words underlined beneath."""

import re
from collections.abc import Iterator

from panellint.core.source import Source, Span
from panellint.output.cells import cells

MOST_LINES = 3
CARET = "^"
ELLIPSIS = "\N{HORIZONTAL ELLIPSIS}"
_LINE_END = re.compile(r"[\r\n]")
_FIRST_WORD = re.compile(r"[ \t]*")


def excerpt(source: Source, span: Span, columns: int) -> Iterator[tuple[str, str, bool]]:
    """Pairs of a label's line and the carets beneath it, each within so many columns.

    The third value tells the two apart from the remark on what a long span leaves out (True:
    from the label). An empty span is marked by one caret where it stands. Only the window
    that is shown is looked at, so a line of five megabytes costs no more than a short one.
    """
    first = source.position(span.start).line
    last = source.position(max(span.start, span.end - 1)).line
    shown = range(first, min(last, first + MOST_LINES - 1) + 1)
    gutter = len(str(shown[-1]))
    for number in shown:
        line_start = source.line_start(number)
        start = span.start if number == first else _first_word(source.text, line_start)
        if number == first or (start < span.end and source.text[start] not in "\r\n"):
            printed, marks = _window(source.text, line_start, start, span.end, columns - gutter - 3)
            yield f"{number:>{gutter}} | {printed}".rstrip(), f"{'':>{gutter}} | {marks}", True
    if last > shown[-1]:
        more = last - shown[-1]
        yield f"{'':>{gutter}} | {ELLIPSIS} {more} more line{'s' * (more > 1)}", "", False


def in_line(source: Source, span: Span, columns: int) -> tuple[str, str, str]:
    """Returns what stands before the marked words, the words and what follows, as one line of so
    many columns; what is left out is an ellipsis. An empty span has no words."""
    number = source.position(span.start).line
    line_start = source.line_start(number)
    line_end = line_start + len(source.line(number))
    left = _left(source.text, line_start, span.start, span.end, columns - 2)
    pieces = [ELLIPSIS if left > line_start else "", "", ""]
    used = len(pieces[0])
    for at, (shape, filled) in enumerate(cells(source.text[left : left + columns]), start=left):
        if at >= line_end:
            break
        place = 0 if at < span.start else 1 if at < span.end else 2
        if used + filled >= columns:
            pieces[place] += ELLIPSIS
            break
        pieces[place] += shape
        used += filled
    else:
        at = line_end
    if at == line_end < span.end:
        pieces[1] += ELLIPSIS
    return pieces[0].lstrip(), pieces[1], pieces[2].rstrip()


def _first_word(text: str, line_start: int) -> int:
    match = _FIRST_WORD.match(text, line_start)
    return match.end() if match else line_start


def _window(text: str, line_start: int, start: int, end: int, columns: int) -> tuple[str, str]:
    """Returns the part of one line around [start, end), and carets under it."""
    room = columns - 2  # an ellipsis on either side
    left = _left(text, line_start, start, end, room)
    piece = text[left : left + columns + 1]
    line_end = _LINE_END.search(piece)
    whole = line_end is not None or left + len(piece) == len(text)
    if line_end is not None:
        piece = piece[: line_end.start()]
    printed, marks = (ELLIPSIS, " ") if left > line_start else ("", "")
    used = where = len(marks)
    for at, (shape, filled) in enumerate(cells(piece), start=left):
        if used + filled > room + 1:
            whole = False
            break
        printed += shape
        marks += (CARET if start <= at < end else " ") * filled
        used += filled
        if at < start:
            where = used
    if CARET not in marks:
        marks = " " * where + CARET
    return printed + ELLIPSIS * (not whole), marks.rstrip()


def _left(text: str, line_start: int, start: int, end: int, room: int) -> int:
    """Returns where the window begins: at the line's start if the span fits behind it, else
    nearer."""
    span = sum(filled for _, filled in cells(text[start : min(end, start + room)]))
    # Words before the span make sense of it: they get what it leaves, a third at the least.
    spare = max(room - span, room // 3)
    left = start
    for _, filled in reversed(list(cells(text[max(line_start, start - room) : start]))):
        if filled > spare:
            break
        spare -= filled
        left -= 1
    return left
