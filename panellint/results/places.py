"""Places in a label's text."""

from typing import TypedDict


class Position(TypedDict):
    """A line and a column, both from 1; columns count Unicode code points."""

    line: int
    column: int


class Place(TypedDict):
    """A stretch of text; `end` is exclusive."""

    start: Position
    end: Position
