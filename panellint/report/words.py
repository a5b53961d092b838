"""Words and orders that every form of a reading shares."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from panellint.report.model import Part, Reading, Row, Said
from panellint.report.saying import counted, figure, spread
from panellint.rulepacks.data import data

#: The bars of one food: field of a part, and title.
PILES = (
    ("as_fed", "As fed"),
    ("dry_matter", "Dry matter"),
    ("of_energy", "Where the energy comes from"),
)

#: Sources of a vitamin or mineral, in words.
SOURCES = (
    ("declared", "declared: an added source stands in the list"),
    ("whole food", "whole food: a food in the list is known to carry it"),
    ("unlisted premix", "unlisted premix: it may be in a premix that is not spelt out"),
    ("none found", "none found in the list"),
)


class Segment(NamedTuple):
    """One part of a bar: where it starts and how much it is, percent of the bar."""

    id: str
    start: float
    share: float


def pile(parts: Iterable[Part], field: str) -> tuple[Segment, ...]:
    """The parts of a food on one basis, one after the other; none where a part is not known."""
    found, start = [], 0.0
    for part in parts:
        value = getattr(part, field)
        if value is None:
            continue
        found.append(Segment(part.id, start, value))
        start += value
    # Without all of the parts (a guarantee missing, a sum above 100) a bar would mislead.
    return tuple(found) if 99 <= start <= 101 else ()


def pile_words(segments: Sequence[Segment]) -> str:
    """A bar in words, for who does not see it."""
    return ", ".join(f"{one.id} {one.share:.0f} %" for one in segments)


def about(value: float) -> str:
    """An estimate, which is never told finer than it is worth."""
    return "under 0.1 %" if value < 0.1 else f"{figure(value)} %"


def share_words(row: Row) -> str:
    """What is told of the share of an entry: what the label proves, the custom, the estimate."""
    words = [row.words] if row.low is not None else []
    if row.usual:
        words.append(f"by custom {spread(*row.usual)}")
    if row.estimate is not None:
        words.append(f"estimate: {about(row.estimate)}")
    return "; ".join(words)


def firsts(rows: Sequence[Row]) -> tuple[Row, ...]:
    """The first entries of a list, as many as are told where several foods are."""
    most = data("data/reading")["first"]
    return tuple(row for row in rows if row.depth == 0)[:most]


def point_groups(reading: Reading) -> tuple[tuple[str, tuple[Said, ...]], ...]:
    """The findings of one food by group, with the title of each; empty groups left out."""
    groups = (
        (reading.hazards, "hazard", "hazards"),
        (reading.doubtful, "doubtful word", "doubtful words"),
        (reading.findings, "other point", "other points"),
        (reading.waived, "point accepted by the maker", "points accepted by the maker"),
    )
    return tuple((counted(len(found), one, many), found) for found, one, many in groups if found)
