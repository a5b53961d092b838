"""What `trace` answers."""

from typing import TypedDict


class ReachedPlace(TypedDict):
    """A place that the ingredient reaches; `level` is contains or may contain. `line` and
    `column` count from 1: of the label, or of the `sheet`'s row and column."""

    label: str | None
    product: str
    level: str
    printed: str
    why: str
    inside: list[str]
    sheet: str | None
    line: int
    column: int
    supplier: str | None
    lot: str | None
    lot_known: bool
    code: str | None
    date: str | None


class Trace(TypedDict):
    """Every label and sheet that an ingredient reaches, and those that it does not.

    `unread` says, with file and place, what of the labels could not be searched for the name; a
    label of which no list was read is neither reached nor not reached.
    """

    name: str
    known_as: str | None
    reached: list[ReachedPlace]
    not_reached: list[str]
    unread: list[str]
    unusable: list[str]
    caution: str
