"""Where an ingredient has gone, for people and for spreadsheets."""

from __future__ import annotations

from typing import TYPE_CHECKING, TextIO

from panellint.output.cells import harmless, wrap
from panellint.output.render_options import RenderOptions

if TYPE_CHECKING:
    from panellint.results.trace import ReachedPlace, Trace

_LEVELS = {"contains": "Contains it", "may contain": "May contain it"}


def write(data: Trace, stream: TextIO, look: RenderOptions) -> None:
    """Writes the labels and sheets that contain it, then those that may."""
    lines: list[str] = []
    for level, title in _LEVELS.items():
        before = ""
        for one in data["reached"]:
            if one["level"] != level:
                continue
            where = _file(one)
            if where != before:
                # A path stays whole, so that it can be copied.
                lines += ["", f"{title}: {harmless(where)}"]
                lines += _wrapped(one["product"], look.width)
            before = where
            lines += _wrapped(_hit(one), look.width)
    reached = {_file(one) for one in data["reached"]}
    sure = {_file(one) for one in data["reached"] if one["level"] == "contains"}
    read = len(reached) + len(data["not_reached"])
    lines += [
        "",
        f"{read} read: {len(sure)} contain {data['name']}, {len(reached - sure)} more may "
        "contain it.",
        "",
        *wrap(data["caution"], look.width),
    ]
    stream.write("\n".join(lines).lstrip("\n") + "\n")


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


def _wrapped(words: str, width: int) -> list[str]:
    return wrap(words, width, "    ", "      ") if words else []


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
