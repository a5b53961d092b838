"""What is in a food at a glance, in a few lines of text."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from panellint.core.numbers import number
from panellint.core.phrases import listed
from panellint.output.cells import wrap

_INDENT = "  "


def glance_lines(data: Mapping[str, Any], columns: int) -> list[str]:
    """The lines for what `analysis.overview.glance` gives, none wider than so many cells."""
    lines: list[str] = []
    for heading, words in _paragraphs(data):
        lines += wrap(f"{heading}: {words}", columns, _INDENT, _INDENT * 3)
    return lines


def _paragraphs(data: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    if data["first"]:
        yield "first", "; ".join(_entry(entry) for entry in data["first"])
    animals = {animal or "not named": names for animal, names in data["animals"].items()}
    if animals:
        told = (f"{animal} ({', '.join(names)})" for animal, names in animals.items())
        yield "animals", "; ".join(told)
    if data["nutrients"]:
        yield "vitamins and minerals", "; ".join(_nutrients(data["nutrients"]))
    for need in data["cat"]:
        yield "for a cat", _need(need)
    for key in ("palatants", "preservatives"):
        yield key, ", ".join(data[key]) or "none declared"
    if data["binders"]:
        yield (
            "binders",
            "; ".join(f"{b['name']}: {b['does']} ({b['why']})" for b in data["binders"]),
        )
    if data["unknown"]:
        yield "names not known", ", ".join(data["unknown"])


def _entry(entry: Mapping[str, Any]) -> str:
    if entry["kind"] is None:
        what = "not known"
    else:
        words = (entry["kind"].replace("-", " "), entry["origin"])
        what = ", ".join(dict.fromkeys(words))
    if entry["low"] is None:
        return f"{entry['name']} ({what})"
    low, high = (number(round(entry[end], 1)) for end in ("low", "high"))
    return f"{entry['name']} ({what}, {low} to {high} %)"


def _nutrients(rows: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    """How many of the profile's have a declared source, and which have another or none."""
    by: dict[str, list[Mapping[str, Any]]] = {}
    for row in rows:
        by.setdefault(row["source"], []).append(row)
    yield f"{len(by.get('declared', ()))} of {len(rows)} of the profile have a declared source"
    if premix := by.get("unlisted premix"):
        yield f"{len(premix)} may be in {listed(premix[0]['from'])}"
    for row in by.get("whole food", ()):
        yield f"{row['name']} from {listed(row['from'])}"
    if none := by.get("none found"):
        yield f"none found for {listed(row['name'] for row in none)}"


def _need(need: Mapping[str, Any]) -> str:
    found = "none found" if need["source"] == "none found" else f"from {listed(need['from'])}"
    useless = f"; {listed(need['not_from'])} no source" if need["not_from"] else ""
    return f"{need['name']} {found}{useless} ({need['note']})"
