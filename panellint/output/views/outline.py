"""What was understood of a label, as a tree for people to check against the label."""

from collections import Counter
from collections.abc import Iterator, Sequence

from panellint.core.phrases import counted
from panellint.output.document import Block, Heading, Paragraph, headed, table
from panellint.output.views.overview import paragraphs
from panellint.results import outline as shapes

BOUNDS = {"min": "at least ", "max": "at most ", "about": "about ", "exact": "", "declared": ""}
_OF = {
    "parent": "its group",
    "component": "its component",
    "rehydrated": "the rehydrated food",
    "unclear": "what is not clear",
}


def view(data: shapes.Outline) -> Iterator[Block]:
    """Yields the outline of one label."""
    yield Heading(1, data["path"])
    yield Paragraph(f"Read as: {', '.join(_read_as(data))}")
    yield from _name(data["name"])
    entries = data["declaration"]
    if entries:
        yield Heading(2, f"Declaration: {counted(len(entries), 'entry', 'entries')}")
        yield table(("as printed", "understood as"), list(_rows(entries, "")), ())
    yield from (Paragraph(f"footnote {note['mark']} {note['text']}") for note in data["footnotes"])
    if glance := list(paragraphs(data["glance"])):
        tighter = "These shares go by the order of the list alone; `shares` has tighter ones."
        yield from headed("At a glance", [*glance, tighter])
    if data["guarantees"]:
        yield Heading(2, "Guarantees")
        rows = [(guarantee["nutrient"], _guaranteed(guarantee)) for guarantee in data["guarantees"]]
        yield table(("nutrient", "guaranteed"), rows, ())
    actives = data["actives"]
    for heading, lines in (
        ("Additives", map(_additive, data["additives"])),
        (actives[0]["group"].capitalize() if actives else "", map(_additive, actives)),
        ("Energy", map(_figure, data["energy"].get("figures", ()))),
        ("Adequacy", map(_statement, data["adequacy"].get("statements", ()))),
        ("Claims", map(_claim, data["claims"])),
        ("Sections", map(_section, data["sections"])),
        ("Text", _text(data["ledger"], data["unread"])),
    ):
        yield from headed(heading, lines)


def _read_as(data: shapes.Outline) -> Iterator[str]:
    form = data["form"]
    yield f"market {data['market']} ({data['edition']})"
    yield " and ".join(data["animals"]) or "species unknown"
    yield from data["stages"]
    yield f"form {form['id']} ({form['how']}{': ' + form['word'] if form['word'] else ''})"
    yield from data["uses"]


def _name(name: shapes.NameData) -> Iterator[Block]:
    if name["text"]:
        yield Paragraph(f"Name: {name['text']}")
    for promise in name["promises"]:
        named = ", ".join(promise["named"]) or "nothing named"
        yield Paragraph(f"promises {promise['text']} ({promise['tier']}): {named}", indent=4)


def _rows(entries: Sequence[shapes.IngredientData], indent: str) -> Iterator[tuple[str, str]]:
    for number, entry in enumerate(entries, start=1):
        name = entry["name"] + "".join(entry["marks"])
        yield f"{indent}{number:>2} {name}", "; ".join(_remarks(entry))
        yield from _rows(entry["members"], indent + "   ")


def _remarks(entry: shapes.IngredientData) -> Iterator[str]:
    if entry["known_as"]:
        yield entry["known_as"]
    elif not entry["members"]:
        yield "not in the catalogue"
    if entry["percent"] is not None:
        of = entry["percent_of"] or "food"
        whole = "" if of == "food" else f" of {_OF.get(of, of)}"
        yield f"{BOUNDS[entry['percent_bound'] or 'exact']}{entry['percent']:g} %{whole}"
    if entry["at_most"] is not None:
        yield f"in a tail of at most {entry['at_most']:g} %"
    if entry["partial"]:
        yield "lists some members only"
    if entry["any_of"]:
        yield "one or more of"
    yield from entry["notes"]


def _guaranteed(guarantee: shapes.GuaranteeData) -> str:
    basis = "" if guarantee["basis"] == "as fed" else f", {guarantee['basis']}"
    return f"{BOUNDS.get(guarantee['bound'], '')}{guarantee['value']:g} {guarantee['unit']}{basis}"


def _additive(additive: shapes.AdditiveData) -> str:
    number = f" ({additive['number']})" if additive["number"] else ""
    value = "" if additive["value"] is None else f" {additive['value']:g} {additive['unit']}"
    return f"{additive['name']}{number}{value}"


def _figure(figure: shapes.EnergyFigure) -> str:
    per = f" per {figure['per']}" if figure["per"] else ""
    grams = f" ({figure['grams']:g} g)" if figure["grams"] else ""
    return f"{figure['value']:g} {figure['unit']}{per}{grams}"


def _statement(statement: shapes.AdequacyStatement) -> str:
    parts = [statement["route"], statement["species"], *statement["stages"]]
    return ", ".join(str(part) for part in parts if part)


def _claim(claim: shapes.ClaimData) -> str:
    kind = f"{claim['kind']} ({claim['owes']})" if claim["kind"] else "of no class that is known"
    return f"{claim['text']}: {kind}"


def _section(section: shapes.SectionData) -> str:
    heading = section["heading"].strip()
    place = f"line {section['start']['line']}: {section['kind']}"
    return f"{place} ({heading})" if heading else place


def _text(
    ledger: Sequence[shapes.StretchData], unread: Sequence[shapes.UnreadData]
) -> Iterator[str]:
    """Yields how much of the text had which fate, each sentence of prose, and what is not read."""
    counts = Counter(row["fate"] for row in ledger)
    read = f"{counted(counts['read'], 'stretch', 'stretches')} read"
    yield f"{read}, {counts['prose']} scanned as prose, {counts['unread']} not read"
    for stretch in ledger:
        if stretch["fate"] == "prose":
            yield f"line {stretch['start']['line']}: prose: {stretch['text']}"
    for words in unread:
        maybe = f" (it may be: {', '.join(words['maybe'])})" if words["maybe"] else ""
        yield f"line {words['start']['line']}: not read: {words['text']}{maybe}"
