"""A document as a run of blocks: what every view and report is made of, wherever it is printed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from panellint.core.numbers import half_up

if TYPE_CHECKING:
    from panellint.results.report import BlockData
    from panellint.results.shares import LikelyRange


class Printed(str):
    """Words as a label prints them; `language` is their language code, or ""."""

    language: str

    def __new__(cls, words: str, language: str = "") -> Printed:
        self = super().__new__(cls, words)
        self.language = language
        return self


#: Words, or several pieces of them one behind the other.
Text: TypeAlias = str | tuple[str, ...]


def plain(text: Text) -> str:
    """Returns the words in one piece."""
    return text if isinstance(text, str) else "".join(text)


def joined(words: Iterable[str], joint: str = ", ", last: str = ", ") -> tuple[str, ...]:
    """Returns pieces with `joint` between them, `last` before the last one, so that each keeps its
    language."""
    pieces = [piece for word in words for piece in (joint, word)]
    return (*pieces[1:-2], *([last] if len(pieces) > 2 else []), *pieces[-1:])


class Heading(NamedTuple):
    """A heading; level 1 is that of the whole document. `id` names a section to go to."""

    level: int
    words: Text
    id: str = ""


class Paragraph(NamedTuple):
    """A sentence or a few; `kind` is how a page sets it: small, clash, or as usual."""

    words: Text
    kind: str = ""
    indent: int = 2


class Items(NamedTuple):
    """A list."""

    lines: tuple[Text, ...]
    kind: str = ""


class Verbatim(NamedTuple):
    """A text line by line, as it stands."""

    text: str


class Bar(NamedTuple):
    """A stretch from `low` to `high` on a scale from 0 to `most`, with a mark on it."""

    low: float
    high: float
    most: float = 100.0
    mark: float | None = None


Cell: TypeAlias = Text | Bar


class Table(NamedTuple):
    """A table; the columns `right` (from 0) hold figures. `kind` is how a page sets it."""

    headings: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    right: tuple[int, ...] = ()
    caption: str = ""
    kind: str = ""


class Proof(NamedTuple):
    """Why something holds: sentences to check with a pencil, and what they rest on."""

    claim: str
    sentences: tuple[str, ...]
    rests_on: str = ""


class RangeRow(NamedTuple):
    """What lies between two figures, in percent; `low` is None where nothing can be said.

    `notes` are further words on what it is, `remarks` on the range. `likely` is where it probably
    lies. `place` and `family` mark the entry, `depth` is how many groups it stands in, `group`
    whether it has members of its own.
    """

    name: Text
    low: float | None
    high: float | None
    words: str
    notes: tuple[Text, ...] = ()
    remarks: tuple[str, ...] = ()
    likely: LikelyRange | None = None
    proofs: tuple[Proof, ...] = ()
    place: str = ""
    family: str = ""
    depth: int = 0
    group: bool = False


class Ranges(NamedTuple):
    """Ranges under one another, with the headings of what they are of and of the ranges."""

    headings: tuple[str, str]
    ranges: tuple[RangeRow, ...]
    caption: str = ""
    kind: str = ""


Block: TypeAlias = Heading | Paragraph | Items | Verbatim | Table | Ranges


def to_dict(block: Block) -> BlockData:
    """Returns a block as plain data."""
    match block:
        case Heading(level, words):
            return {"block": "heading", "level": level, "words": plain(words)}
        case Paragraph(words):
            return {"block": "line", "words": plain(words)}
        case Items(lines):
            return {"block": "items", "lines": list(map(plain, lines))}
        case Verbatim(text):
            return {"block": "items", "lines": text.splitlines()}
        case Table(headings, rows, _, caption):
            return {
                "block": "table",
                "headings": list(headings),
                "rows": [
                    ["" if isinstance(cell, Bar) else plain(cell) for cell in row] for row in rows
                ],
                "caption": caption,
            }
        case Ranges(headings, ranges, caption):
            from panellint.core.records import to_data
            from panellint.results.report import ReportRange

            return {
                "block": "ranges",
                "headings": list(headings),
                "ranges": [
                    to_data(
                        ReportRange,
                        row,
                        name=plain(row.name),
                        notes=map(plain, row.notes),
                        estimate=row.likely and row.likely["middle"],
                    )
                    for row in ranges
                ],
                "caption": caption,
            }


def money(value: float | None, currency: str) -> str:
    """Returns an amount with its currency, a sign before it and a code behind it; "-" for None."""
    if value is None:
        return "-"
    return f"{value:,.2f} {currency}".strip() if currency.isalpha() else f"{currency}{value:,.2f}"


def figure(value: float | None, places: int = 1) -> str:
    """Returns a figure to so many places, rounded half up; a dash for one that is not known."""
    if value is None:
        return "-"
    return f"{half_up(value, places):f}"


def likely_words(likely: LikelyRange | None) -> str:
    """Returns the two ends of a likely range; a dash where there is none."""
    if likely is None:
        return "-"
    if likely["high"] < 0.05:
        return "under 0.1"
    return f"{figure(likely['low'])} to {figure(likely['high'])}"
