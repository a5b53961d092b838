"""The ledger of a label: what became of each character of its text.

A stretch of the text is read (as what), prose (sentences that are scanned for claims, names and
figures, and never count as read), set aside (white space, decoration, marks of a page), or unread.
The stretches are disjoint, stand in order and cover the text.
"""

from collections.abc import Callable, Sequence
from enum import StrEnum
from functools import cached_property
from typing import NamedTuple

from panellint.core.source import Span


class Fate(StrEnum):
    """What became of a stretch of text."""

    READ = "read"
    PROSE = "prose"
    SET_ASIDE = "set aside"
    UNREAD = "unread"


class Stretch(NamedTuple):
    """A stretch of a label's text with its fate.

    `kind` is what was read: "heading", "footnote", or the kind of section that the words belong
    to; "" where nothing was read. `section` is the kind of the section around it, "" where there
    is none. `maybe` are the parts of a label that unread words may be, by evidence, the likeliest
    first: kinds of section, or ids of nutrients.
    """

    fate: Fate
    span: Span
    kind: str = ""
    section: str = ""
    maybe: tuple[str, ...] = ()


class Ledger:
    """The stretches of one label's text, worked out when they are first asked for."""

    def __init__(self, work_out: Callable[[], Sequence[Stretch]] = tuple) -> None:
        self._work_out = work_out

    @cached_property
    def stretches(self) -> tuple[Stretch, ...]:
        """Every stretch, in the order of the text."""
        return tuple(self._work_out())

    @cached_property
    def unread(self) -> tuple[Stretch, ...]:
        """The stretches that could not be read."""
        return tuple(stretch for stretch in self.stretches if stretch.fate is Fate.UNREAD)

    def maybe(self, part: str) -> tuple[Stretch, ...]:
        """The unread stretches that may be a part of the label (a kind of section such as
        "net-contents", or the id of a nutrient); none where nothing speaks for it."""
        return tuple(stretch for stretch in self.unread if part in stretch.maybe)
