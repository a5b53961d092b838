"""What the linter understood of a label, as a tree for people to check against the label."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from panellint.output.cells import harmless, width, wrap

WIDEST_NAME = 44
BOUNDS = {"min": "at least ", "max": "at most ", "about": "about ", "exact": "", "declared": ""}


def outline_text(data: Mapping[str, Any], columns: int) -> str:
    """The outline of one label, from the object that `outline --format json` prints."""
    lines = [harmless(data["path"]), *_name(data.get("name") or {}, columns)]
    lines += _declaration(data["declaration"], columns)
    lines += _guarantees(data["guarantees"])
    for key in ("energy", "adequacy"):
        lines += _facts(key, data.get(key) or {}, columns)
    lines += _sections(data.get("sections") or [], columns)
    return "\n".join(lines) + "\n"


def _name(name: Mapping[str, Any], columns: int) -> Iterator[str]:
    if not name.get("text"):
        return
    yield from wrap(name["text"], columns, "Name: ", "      ")
    for promise in name.get("promises", ()):
        named = ", ".join(promise["named"]) or "nothing named"
        words = f"{promise['text']} ({promise['tier']}): {named}"
        yield from wrap(words, columns, "  promises ", "           ")


def _declaration(entries: Sequence[Mapping[str, Any]], columns: int) -> Iterator[str]:
    if not entries:
        return
    yield f"Declaration: {len(entries)} {'entry' if len(entries) == 1 else 'entries'}"
    rows = list(_rows(entries, "  "))
    column = min(WIDEST_NAME, max(width(left) for left, _ in rows)) + 2
    for left, right in rows:
        if width(left) + 2 > column:
            yield from wrap(left, columns, left[: len(left) - len(left.lstrip())], "      ")
            left = ""
        yield (left + " " * (column - width(left)) + right).rstrip()


def _rows(entries: Sequence[Mapping[str, Any]], indent: str) -> Iterator[tuple[str, str]]:
    for number, entry in enumerate(entries, start=1):
        name = harmless(entry["name"] + "".join(entry["marks"]))
        yield f"{indent}{number:>2} {name}", "; ".join(_remarks(entry))
        yield from _rows(entry["members"], indent + "   ")


def _remarks(entry: Mapping[str, Any]) -> Iterator[str]:
    known = entry["known_as"]
    if known:
        yield known
    elif not entry["members"]:
        yield "not in the catalogue"
    if entry["percent"] is not None:
        of = "" if entry["percent_of"] in (None, "food") else f" of {_of(entry['percent_of'])}"
        yield f"{BOUNDS[entry['percent_bound']]}{entry['percent']:g} %{of}"
    if entry["at_most"] is not None:
        yield f"in a tail of at most {entry['at_most']:g} %"
    if entry["partial"]:
        yield "lists some members only"
    if entry["any_of"]:
        yield "one or more of"
    yield from (harmless(note) for note in entry["notes"])


def _of(word: str) -> str:
    return {
        "parent": "its group",
        "component": "its component",
        "rehydrated": "the rehydrated food",
        "unclear": "what is not clear",
    }.get(word, word)


def _guarantees(guarantees: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    if not guarantees:
        return
    yield "Guarantees"
    longest = max(width(one["nutrient"]) for one in guarantees)
    for one in guarantees:
        value = f"{BOUNDS.get(one['bound'], '')}{one['value']:g} {one['unit']}"
        basis = "" if one["basis"] == "as fed" else f", {one['basis']}"
        yield f"  {one['nutrient']}{' ' * (longest - width(one['nutrient']))}  {value}{basis}"


def _facts(key: str, facts: Mapping[str, Any], columns: int) -> Iterator[str]:
    told = {
        name: value
        for name, value in facts.items()
        if value not in (None, "", [], {}) and name not in ("start", "end")
    }
    if not told:
        return
    yield key.capitalize()
    for name, value in told.items():
        yield from wrap(_said(value), columns, f"  {name.replace('_', ' ')}: ", "    ")


def _said(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping):
        inner = ((key, item) for key, item in value.items() if key not in ("start", "end"))
        return ", ".join(f"{key.replace('_', ' ')} {_said(item)}" for key, item in inner)
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "; ".join(map(_said, value))
    return f"{value:g}" if isinstance(value, float) else str(value)


def _sections(sections: Sequence[Any], columns: int) -> Iterator[str]:
    if not sections:
        return
    yield "Sections"
    for section in sections:
        if isinstance(section, Mapping):
            head = str(section.get("heading") or section.get("kind") or section.get("name") or "")
            kind = str(section.get("kind") or section.get("section") or "")
            line = section.get("start", {}).get("line")
            place = f"line {line}: " if line else ""
            yield from wrap(f"{place}{kind} {head!r}".strip(), columns, "  ", "    ")
        else:
            yield from wrap(str(section), columns, "  ", "    ")
