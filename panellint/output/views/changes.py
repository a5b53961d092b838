"""What a new version of a label changed, for people."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, TextIO

from panellint.output.cells import harmless, wrap
from panellint.output.render_options import RenderOptions

if TYPE_CHECKING:
    from panellint.results.changes import LabelChanges
    from panellint.results.findings import FindingData

_HEADINGS = {
    "name": "Name",
    "facts": "What it is",
    "ingredients": "Ingredients",
    "guarantees": "Guarantees",
    "additives": "Additives",
    "energy": "Energy",
    "statements": "Statements and claims",
    "other": "Other parts",
}


def write(data: LabelChanges, stream: TextIO, look: RenderOptions) -> None:
    """Writes the page."""
    stream.write(changes_text(data, look.width))


def changes_text(data: LabelChanges, columns: int) -> str:
    """The changes part by part, from the object that `changes --format json` prints."""
    lines = [f"{harmless(data['old'])} -> {harmless(data['new'])}"]
    for part, heading in _HEADINGS.items():
        told = [one for one in data["changes"] if one["part"] == part]
        if told:
            lines.append(heading)
        for one in told:
            lines += wrap(one["says"], columns, "  ", "    ")
    found = data["findings"]
    for findings, heading in (
        (found["new"], "New findings"),
        (found["gone"], "Findings that are gone"),
    ):
        if findings:
            lines += [heading, *_findings(findings, columns)]
    if len(lines) == 1:
        lines.append("Nothing changed that a reader of the label would see.")
    return "\n".join(lines) + "\n"


def _findings(found: Sequence[FindingData], columns: int) -> Iterator[str]:
    for one in found:
        words = f"line {one['start']['line']}: {one['severity']}: {one['message']} [{one['rule']}]"
        yield from wrap(words, columns, "  ", "    ")
