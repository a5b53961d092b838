"""What the linter understood of a label, as a tree for people to check against the label."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, TextIO

from panellint.output.cells import harmless, width, wrap
from panellint.output.render_options import RenderOptions
from panellint.output.views.overview import glance_lines

if TYPE_CHECKING:
    from panellint.results.outline import Outline

WIDEST_NAME = 44
BOUNDS = {"min": "at least ", "max": "at most ", "about": "about ", "exact": "", "declared": ""}


def write(data: Outline, stream: TextIO, look: RenderOptions) -> None:
    """Writes the page."""
    stream.write(outline_text(data, look.width))


def outline_text(data: Outline, columns: int) -> str:
    """The outline of one label, from the object that `outline --format json` prints."""
    lines = [harmless(data["path"]), *_read_as(data, columns), *_name(data["name"], columns)]
    lines += _declaration(data["declaration"], columns)
    for note in data["footnotes"]:
        lines += wrap(f"{note['mark']} {note['text']}", columns, "  footnote ", "    ")
    if "glance" in data:
        lines += ["At a glance:", *glance_lines(data["glance"], columns)]
    lines += _guarantees(data["guarantees"])
    lines += _listed("Additives", data["additives"], _additive, columns)
    lines += _listed("Energy", data["energy"].get("figures", ()), _figure, columns)
    lines += _listed("Adequacy", data["adequacy"].get("statements", ()), _statement, columns)
    lines += _listed("Claims", data["claims"], lambda claim: claim["text"], columns)
    lines += _listed("Sections", data["sections"], _section, columns)
    return "\n".join(lines) + "\n"


def _read_as(data: Mapping[str, Any], columns: int) -> list[str]:
    form = data["form"]
    parts = [
        f"market {data['market']} ({data['edition']})",
        data["species"] or "species unknown",
        *data["stages"],
        f"form {form['id']} ({form['how']}{': ' + form['word'] if form['word'] else ''})",
        *data["uses"],
    ]
    return wrap(", ".join(parts), columns, "Read as: ", "         ")


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
        yield from wrap(right, columns, left + " " * (column - width(left)), " " * column)


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


def _listed(
    heading: str, items: Sequence[Any], said: Callable[[Any], str], columns: int
) -> Iterator[str]:
    if items:
        yield heading
    for item in items:
        yield from wrap(said(item), columns, "  ", "    ")


def _additive(additive: Mapping[str, Any]) -> str:
    number = f" ({additive['number']})" if additive["number"] else ""
    value = "" if additive["value"] is None else f" {additive['value']:g} {additive['unit']}"
    return f"{additive['name']}{number}{value}"


def _figure(figure: Mapping[str, Any]) -> str:
    per = f" per {figure['per']}" if figure["per"] else ""
    grams = f" ({figure['grams']:g} g)" if figure["grams"] else ""
    return f"{figure['value']:g} {figure['unit']}{per}{grams}"


def _statement(statement: Mapping[str, Any]) -> str:
    parts = [statement["route"], statement["species"], *statement["stages"]]
    return ", ".join(str(part) for part in parts if part)


def _section(section: Mapping[str, Any]) -> str:
    heading = section["heading"].strip()
    return f"line {section['start']['line']}: {section['kind']}" + (
        f" ({heading})" if heading else ""
    )
