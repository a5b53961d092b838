"""Where an ingredient has gone, for people and for spreadsheets."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from panellint.output.document import Block, Heading, Line

if TYPE_CHECKING:
    from panellint.results.trace import ReachedPlace, Trace

_LEVELS = {"contains": "Contains it", "may contain": "May contain it"}


def view(data: Trace) -> Iterator[Block]:
    """Yields the labels and sheets that contain it, then those that may."""
    for level, title in _LEVELS.items():
        before = ""
        for one in data["reached"]:
            if one["level"] != level:
                continue
            if _file(one) != before:
                before = _file(one)
                yield Heading(2, f"{title}: {before}")
                if one["product"]:
                    yield Line(one["product"], indent=4)
            yield Line(_hit(one), indent=4)
    reached = {_file(one) for one in data["reached"]}
    sure = {_file(one) for one in data["reached"] if one["level"] == "contains"}
    read = len(reached) + len(data["not_reached"])
    contain = f"{len(sure)} contain {data['name']}, {len(reached - sure)} more may contain it"
    yield Heading(2, f"{read} read: {contain}.")
    yield Line(data["caution"], indent=0)


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
                one["label"] or "",
                one["product"],
                one["level"],
                one["printed"],
                one["why"],
                " > ".join(one["inside"]),
                one["sheet"] or "",
                str(one["line"]),
                str(one["column"]),
                one["supplier"] or "",
                (one["lot"] or "") if one["lot_known"] else "not known",
            ]
            for one in data["reached"]
        ),
    ]
