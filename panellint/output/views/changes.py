"""What a new version of a label changed, for people."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from panellint.output.cells import harmless, wrap

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


def changes_text(data: Mapping[str, Any], columns: int) -> str:
    """The changes part by part, from the object that `changes --format json` prints."""
    lines = [f"{harmless(data['old'])} -> {harmless(data['new'])}"]
    for part, heading in _HEADINGS.items():
        told = [one for one in data["changes"] if one["part"] == part]
        if told:
            lines.append(heading)
        for one in told:
            lines += wrap(one["says"], columns, "  ", "    ")
    for key, heading in (("new", "New findings"), ("gone", "Findings that are gone")):
        if data["findings"][key]:
            lines += [heading, *_findings(data["findings"][key], columns)]
    if len(lines) == 1:
        lines.append("Nothing changed that a reader of the label would see.")
    return "\n".join(lines) + "\n"


def _findings(found: list[Mapping[str, Any]], columns: int) -> Iterator[str]:
    for one in found:
        words = f"line {one['start']['line']}: {one['severity']}: {one['message']} [{one['rule']}]"
        yield from wrap(words, columns, "  ", "    ")
