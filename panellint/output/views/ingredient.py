"""What the catalogue knows of one ingredient, for people."""

from collections.abc import Iterator

from panellint.output.document import Block, Heading, Paragraph, headed, table
from panellint.results.ingredient import IngredientEntry, LowAndHigh


def view(data: IngredientEntry) -> Iterator[Block]:
    """Yields the entry: every figure with its source, what is from memory marked so."""
    yield Heading(1, f"{data['name']}: {data['known_as']}{_how(data)}")
    yield table(("", ""), [row for row in _facts(data) if row[1]], ())
    if not data["figures"]:
        yield Paragraph("no composition is known: anything may be in it")
        return
    yield Heading(2, "Composition, as added")
    sources: dict[str, int] = {}
    rows = []
    for name, figure in data["figures"].items():
        plain = figure["confirmed"] or data["how"] == "composed"
        source = figure["source"] if plain else f"{figure['source']} (from memory)"
        number = sources.setdefault(source, len(sources) + 1)
        rows.append((name, _range(figure), figure["unit"], f"[{number}]"))
    yield table(("", "range", "unit", "source"), rows, (1,))
    yield from headed("Sources", (f"[{number}] {source}" for source, number in sources.items()))


def _how(data: IngredientEntry) -> str:
    if data["how"] == "qualified":
        return f", qualified as {', '.join(data['qualifiers'])}"
    return ", composed" if data["how"] == "composed" else ""


def _facts(data: IngredientEntry) -> Iterator[tuple[str, str]]:
    yield "names", ", ".join(data["names"])
    yield "kind", data["kind"]
    yield "origin", ", ".join(filter(None, (data["origin"], data["species"])))
    yield "family", data["family"]
    yield "state", data["state"]
    facts = data["composed_of"]
    if facts and data["how"] == "composed":
        parts = (facts["source"], facts["part"], facts["treatment"], facts["state"])
        yield "stated", ", ".join(filter(None, parts))
    yield "kind of", ", ".join(data["kind_of"][1:])
    yield "usual level", f"{_range(data['usual'])} % of the mix" if data["usual"] else ""
    yield "supplies", ", ".join(data["supplies"])
    yield "carries", ", ".join(data["carries"])
    for index in data["glycaemic"]:
        yield "glycaemic", f"index {index['value']:g} ({index['form']}); {index['source']}"
    for binder in data["binding"]:
        forms, usual = ", ".join(binder["forms"]), _range(binder["usual"])
        yield "binds", f"{binder['function']} in {forms}, usually {usual} %; {binder['source']}"
    for hazard in data["hazards"]:
        dose = f" ({hazard['dose']})" if hazard["dose"] else ""
        yield "hazard", f"{hazard['species']}: {hazard['what']}{dose}; {hazard['source']}"
    for note in data["notes"]:
        yield "note", note


def _range(span: LowAndHigh) -> str:
    low, high = span["low"], span["high"]
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"
