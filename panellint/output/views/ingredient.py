"""What the catalogue knows of one ingredient, for people and as plain data."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from panellint.catalogue.model import PARTS, CatalogueEntry, Composition, Figure, Match, Range
from panellint.output.cells import wrap

LABEL = 14


def ingredient_data(printed: str, match: Match, facts: Composition | None) -> dict[str, Any]:
    """The answer as plain data: the entry of the catalogue, how the name led to it, and what the
    name states fact by fact."""
    known = match.known
    return {
        "name": printed,
        "known_as": known.id,
        "how": match.how,
        "qualifiers": list(match.qualifiers),
        "names": list(known.names),
        "kind": known.kind,
        "origin": known.origin,
        "species": known.species,
        "family": known.family,
        "state": known.state,
        "composed_of": {key: value or None for key, value in facts._asdict().items()}
        if facts
        else None,
        "kind_of": list(known.classes),
        "usual": known.usual._asdict() if known.usual else None,
        "figures": {name: _figure(figure) for name, figure in _ordered(known)},
        "supplies": list(known.supplies),
        "carries": list(known.carries),
        "glycaemic": [one._asdict() for one in known.glycaemic],
        "binding": [{**one._asdict(), "usual": one.usual._asdict()} for one in known.binding],
        "hazards": [one._asdict() for one in known.hazards],
        "notes": list(known.notes),
    }


def ingredient_text(printed: str, match: Match, facts: Composition | None, columns: int) -> str:
    """The same for people: every figure with its source, what is from memory marked so."""
    known = match.known
    lines = [f"{printed}: {known.id}" + _led(match)]
    rows = [
        ("names", ", ".join(known.names)),
        ("kind", known.kind),
        ("origin", ", ".join(filter(None, (known.origin, known.species)))),
        ("family", known.family),
        ("state", known.state),
        ("stated", _stated(facts) if match.how == "composed" and facts else ""),
        ("kind of", ", ".join(known.classes[1:])),
        ("usual level", f"{_range(known.usual)} % of the mix" if known.usual else ""),
        ("supplies", ", ".join(known.supplies)),
        ("carries", ", ".join(known.carries)),
    ]
    rows += [
        ("glycaemic", f"index {one.value:g} ({one.form}); {one.source}") for one in known.glycaemic
    ]
    for binder in known.binding:
        forms = ", ".join(binder.forms)
        words = f"{binder.function} in {forms}, usually {_range(binder.usual)} %; {binder.source}"
        rows.append(("binds", words))
    for hazard in known.hazards:
        dose = f" ({hazard.dose})" if hazard.dose else ""
        rows.append(("hazard", f"{hazard.species}: {hazard.what}{dose}; {hazard.source}"))
    rows += [("note", note) for note in known.notes]
    for label, words in rows:
        if words:
            lines += wrap(words, columns, f"  {label:<{LABEL}}", " " * (LABEL + 2))
    lines += _figures(known, columns)
    return "\n".join(lines) + "\n"


def _stated(facts: Composition) -> str:
    return ", ".join(filter(None, (facts.source, facts.part, facts.treatment, facts.state)))


def _led(match: Match) -> str:
    if match.how == "qualified":
        return f", qualified as {', '.join(match.qualifiers)}"
    return ", composed" if match.how == "composed" else ""


def _figures(known: CatalogueEntry, columns: int) -> Iterator[str]:
    """The ranges, and each source once beneath them."""
    if not known.figures:
        yield from wrap("no composition known: any is reckoned with", columns, "  ", "  ")
        return
    sources: dict[str, int] = {}
    longest = max(map(len, known.figures))
    yield "  composition, as added"
    for name, figure in _ordered(known):
        words = figure.source if figure.confirmed else f"{figure.source} (from memory)"
        number = sources.setdefault(words, len(sources) + 1)
        yield f"    {name:<{longest}}  {_range(figure.range)} {figure.unit}  [{number}]"
    yield "  sources"
    for words, number in sources.items():
        yield from wrap(words, columns, f"    [{number}] ", " " * 8)


def _ordered(known: CatalogueEntry) -> list[tuple[str, Figure]]:
    """The six parts first, then the rest by name."""
    rank = {part: number for number, part in enumerate(PARTS)}
    return sorted(known.figures.items(), key=lambda item: (rank.get(item[0], len(rank)), item[0]))


def _figure(figure: Figure) -> dict[str, Any]:
    return {
        **figure.range._asdict(),
        "unit": figure.unit,
        "source": figure.source,
        "confirmed": figure.confirmed,
    }


def _range(span: Range) -> str:
    if span.low == span.high:
        return f"{span.low:g}"
    return f"{span.low:g} to {span.high:g}"
