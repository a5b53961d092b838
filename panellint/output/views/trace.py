"""Where an ingredient has gone, for people and for spreadsheets."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from panellint.output.document import Block, Heading, Paragraph

if TYPE_CHECKING:
    from panellint.results.trace import ReachedPlace, Trace

_LEVELS = {"contains": "Contains it", "may contain": "May contain it"}


def view(data: Trace) -> Iterator[Block]:
    """Yields the labels and sheets that contain it, then those that may."""
    for level, title in _LEVELS.items():
        before = ""
        for place in data["reached"]:
            if place["level"] != level:
                continue
            if _file(place) != before:
                before = _file(place)
                yield Heading(2, f"{title}: {before}")
                if place["product"]:
                    yield Paragraph(place["product"], indent=4)
            yield Paragraph(_hit(place), indent=4)
    reached = {_file(one) for one in data["reached"]}
    sure = {_file(one) for one in data["reached"] if one["level"] == "contains"}
    read = len(reached) + len(data["not_reached"])
    contain = f"{len(sure)} contain {data['name']}, {len(reached - sure)} more may contain it"
    yield Heading(2, f"{read} read: {contain}.")
    yield Paragraph(data["caution"], indent=0)


def _file(one: ReachedPlace) -> str:
    return one["label"] or one["sheet"] or ""


def _hit(one: ReachedPlace) -> str:
    """Returns one place in words: where, under what name, inside what, why, whose, which lot."""
    place = f"row {one['line']}" if one["sheet"] else f"{one['line']}:{one['column']}"
    sheet = f"{one['sheet']} " if one["sheet"] and one["label"] else ""
    inside = f", inside {' > '.join(one['inside'])}" if one["inside"] else ""
    whose = f"; {one['supplier']}" if one["supplier"] else ""
    lot = f", lot {one['lot']}" if one["lot_known"] else "; lot not known"
    return f"{sheet}{place} {one['printed']}{inside}: {one['why']}{whose}{lot}"


def rows(data: Trace) -> list[list[str]]:
    """Returns the places as the rows of a spreadsheet, the headings first."""
    headings = (
        "label", "product", "level", "printed", "why", "inside", "sheet", "row or line", "column",
        "supplier", "lot",
    )  # fmt: skip
    return [
        list(headings),
        *(
            [
                place["label"] or "",
                place["product"],
                place["level"],
                place["printed"],
                place["why"],
                " > ".join(place["inside"]),
                place["sheet"] or "",
                str(place["line"]),
                str(place["column"]),
                place["supplier"] or "",
                (place["lot"] or "") if place["lot_known"] else "not known",
            ]
            for place in data["reached"]
        ),
    ]
