"""What the catalogue knows of an ingredient, by its name as printed."""

from collections.abc import Iterator

from panellint.catalogue import Catalogue, load
from panellint.catalogue.model import PARTS, CatalogueEntry, Composition, Figure, Match
from panellint.core.errors import PanellintError
from panellint.core.phrases import listed
from panellint.core.records import to_data
from panellint.core.source import Source
from panellint.ingredients.resolve import identify
from panellint.label.languages import languages_read
from panellint.label.reader import read_label
from panellint.results.ingredient import FigureData, IngredientEntry
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
    known = catalogue.lookup(name, market=market, language=language)
    bare, match = (name, known) if known else _as_printed(name, catalogue, market, language)
    if match is None:
        near = catalogue.suggest(bare, market=market, language=language)
        hint = f"; nearest names: {', '.join(near)}" if near else ""
        others = [
            other
            for other in sorted(languages_read())
            if catalogue.lookup(bare, market=market, language=other)
        ]
        if others:
            hint = f"; it is a name in another language: --language {listed(others, 'or')}"
        raise UnknownIngredient(f"the catalogue knows no {bare!r}{hint}")
    return bare, match


def _as_printed(
    name: str, catalogue: Catalogue, market: str, language: str
) -> tuple[str, Match | None]:
    """Returns the name inside a name with its brackets, percentage and tail, as a declaration
    has it. Raises PanellintError where several ingredients are named."""
    label = read_label(Source(name))
    entries = identify(label, catalogue, market=market, language=language).ingredients
    if len(entries) > 1:
        several = ", ".join(entry.name for entry in entries)
        raise PanellintError(f"{name!r} names several ingredients: {several}; ask for one")
    return (entries[0].name, entries[0].match) if entries else (name, None)


def to_dict(printed: str, match: Match, facts: Composition | None) -> IngredientEntry:
    """Returns the object of `ingredient --format json`; `facts` are what the name states."""
    known = match.known
    return to_data(
        IngredientEntry,
        known,
        name=printed,
        known_as=known.id,
        how=match.how,
        qualifiers=match.qualifiers,
        composed_of=facts,
        kind_of=known.classes,
        figures={
            name: to_data(FigureData, figure, **figure.range._asdict())
            for name, figure in _ordered(known)
        },
    )


def _ordered(known: CatalogueEntry) -> list[tuple[str, Figure]]:
    """Returns the six parts first, then the rest by name."""
    rank = {part: number for number, part in enumerate(PARTS)}
    return sorted(known.figures.items(), key=lambda item: (rank.get(item[0], len(rank)), item[0]))
