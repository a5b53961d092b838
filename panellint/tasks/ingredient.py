"""What the catalogue knows of an ingredient, by its name as printed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, cast

from panellint.catalogue import Catalogue, load
from panellint.catalogue.model import PARTS, CatalogueEntry, Composition, Figure, Match, Range
from panellint.core.errors import PanellintError
from panellint.core.source import Source
from panellint.ingredients.resolve import identify
from panellint.label.languages import languages_read
from panellint.label.reader import read_label

if TYPE_CHECKING:
    from panellint.results.ingredient import (
        BindingData,
        CompositionData,
        GlycaemicData,
        HazardData,
        IngredientEntry,
        LowAndHigh,
    )
    from panellint.rulepacks.settings import Settings


class UnknownIngredient(PanellintError):
    """The catalogue knows no ingredient of that name; the message has the nearest names."""


def entry_of(name: str, settings: Settings, language: str | None = None) -> CatalogueEntry:
    """Returns the entry of an ingredient. Raises UnknownIngredient."""
    return _matched(name, settings, language)[1].known


def ingredient(name: str, settings: Settings, language: str | None = None) -> IngredientEntry:
    """Returns the entry of the catalogue, how the name led to it, and what the name states.

    Raises UnknownIngredient, and PanellintError where several ingredients are named.
    """
    bare, match = _matched(name, settings, language)
    market, language = settings.market_for(), language or settings.language or "en"
    catalogue = load(settings.ingredients)
    return to_dict(name, match, catalogue.composition(bare, market=market, language=language))


def every_ingredient(settings: Settings) -> Iterator[IngredientEntry]:
    """Yields each entry of the catalogue, in id order, under its own name."""
    for known in load(settings.ingredients):
        yield to_dict(known.names[0] if known.names else known.id, Match(known, "listed"), None)


def _matched(name: str, settings: Settings, language: str | None) -> tuple[str, Match]:
    catalogue, market = load(settings.ingredients), settings.market_for()
    language = language or settings.language or "en"
    found = catalogue.lookup(name, market=market, language=language)
    bare, match = (name, found) if found else _as_printed(name, catalogue, market, language)
    if match is None:
        near = catalogue.suggest(bare, market=market, language=language)
        hint = f"; nearest names: {', '.join(near)}" if near else ""
        others = (
            one for one in languages_read() if catalogue.lookup(bare, market=market, language=one)
        )
        if other := next(others, None):
            hint = f"; it is a name in another language: --language {other}"
        raise UnknownIngredient(f"the catalogue knows no {bare!r}{hint}")
    return bare, match


def _as_printed(
    name: str, catalogue: Catalogue, market: str, language: str
) -> tuple[str, Match | None]:
    """Returns the name inside a name with its brackets, percentage and tail, as a declaration
    has it. Raises PanellintError where several ingredients are named."""
    entries = identify(
        read_label(Source(name)), catalogue, market=market, language=language
    ).ingredients
    if len(entries) > 1:
        several = ", ".join(entry.name for entry in entries)
        raise PanellintError(f"{name!r} names several ingredients: {several}; ask for one")
    return (entries[0].name, entries[0].match) if entries else (name, None)


def to_dict(printed: str, match: Match, facts: Composition | None) -> IngredientEntry:
    """Returns the object of `ingredient --format json`; `facts` are what the name states."""
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
        "composed_of": facts
        and cast("CompositionData", {name: fact or None for name, fact in facts._asdict().items()}),
        "kind_of": list(known.classes),
        "usual": _span(known.usual) if known.usual else None,
        "figures": {
            name: {
                **_span(figure.range),
                "unit": figure.unit,
                "source": figure.source,
                "confirmed": figure.confirmed,
            }
            for name, figure in _ordered(known)
        },
        "supplies": list(known.supplies),
        "carries": list(known.carries),
        "glycaemic": [cast("GlycaemicData", one._asdict()) for one in known.glycaemic],
        "binding": [
            cast(
                "BindingData",
                {**one._asdict(), "forms": list(one.forms), "usual": _span(one.usual)},
            )
            for one in known.binding
        ],
        "hazards": [
            cast("HazardData", {**one._asdict(), "also": list(one.also)}) for one in known.hazards
        ],
        "notes": list(known.notes),
    }


def _span(span: Range) -> LowAndHigh:
    return {"low": span.low, "high": span.high}


def _ordered(known: CatalogueEntry) -> list[tuple[str, Figure]]:
    """Returns the six parts first, then the rest by name."""
    rank = {part: number for number, part in enumerate(PARTS)}
    return sorted(known.figures.items(), key=lambda item: (rank.get(item[0], len(rank)), item[0]))
