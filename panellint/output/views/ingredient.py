"""What the catalogue knows of one ingredient, for people."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, TextIO

from panellint.output.cells import wrap
from panellint.output.render_options import RenderOptions

if TYPE_CHECKING:
    from panellint.results.ingredient import IngredientEntry, Span

LABEL = 14


def write(data: IngredientEntry, stream: TextIO, look: RenderOptions) -> None:
    """Writes the same for people: every figure with its source, what is from memory marked so."""
    columns = look.width
    lines = [f"{data['name']}: {data['known_as']}" + _led(data)]
    rows = [
        ("names", ", ".join(data["names"])),
        ("kind", data["kind"]),
        ("origin", ", ".join(filter(None, (data["origin"], data["species"])))),
        ("family", data["family"]),
        ("state", data["state"]),
        ("stated", ", ".join(_stated(data)) if data["how"] == "composed" else ""),
        ("kind of", ", ".join(data["kind_of"][1:])),
        ("usual level", f"{_range(data['usual'])} % of the mix" if data["usual"] else ""),
        ("supplies", ", ".join(data["supplies"])),
        ("carries", ", ".join(data["carries"])),
    ]
    rows += [
        ("glycaemic", f"index {one['value']:g} ({one['form']}); {one['source']}")
        for one in data["glycaemic"]
    ]
    for binder in data["binding"]:
        forms = ", ".join(binder["forms"])
        usual = f"usually {_range(binder['usual'])} %"
        rows.append(("binds", f"{binder['function']} in {forms}, {usual}; {binder['source']}"))
    for hazard in data["hazards"]:
        dose = f" ({hazard['dose']})" if hazard["dose"] else ""
        rows.append(("hazard", f"{hazard['species']}: {hazard['what']}{dose}; {hazard['source']}"))
    rows += [("note", note) for note in data["notes"]]
    for label, words in rows:
        if words:
            lines += wrap(words, columns, f"  {label:<{LABEL}}", " " * (LABEL + 2))
    lines += _figures(data, columns)
    stream.write("\n".join(lines) + "\n")


def _stated(data: IngredientEntry) -> Iterator[str]:
    facts = data["composed_of"]
    if facts is not None:
        parts = (facts["source"], facts["part"], facts["treatment"], facts["state"])
        yield from filter(None, parts)


def _led(data: IngredientEntry) -> str:
    if data["how"] == "qualified":
        return f", qualified as {', '.join(data['qualifiers'])}"
    return ", composed" if data["how"] == "composed" else ""


def _figures(data: IngredientEntry, columns: int) -> Iterator[str]:
    """Yields the ranges, and each source once beneath them."""
    if not data["figures"]:
        yield from wrap("no composition is known: anything may be in it", columns, "  ", "  ")
        return
    sources: dict[str, int] = {}
    longest = max(map(len, data["figures"]))
    yield "  composition, as added"
    for name, figure in data["figures"].items():
        source = figure["source"] if figure["confirmed"] else f"{figure['source']} (from memory)"
        number = sources.setdefault(source, len(sources) + 1)
        yield f"    {name:<{longest}}  {_range(figure)} {figure['unit']}  [{number}]"
    yield "  sources"
    for source, number in sources.items():
        yield from wrap(source, columns, f"    [{number}] ", " " * 8)


def _range(span: Span) -> str:
    low, high = span["low"], span["high"]
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"
