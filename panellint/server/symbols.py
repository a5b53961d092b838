"""The parts of a label as an editor's outline shows them: sections, and ingredients in them."""

from collections.abc import Iterable

from lsprotocol import types

from panellint.analysis.context import LabelContext
from panellint.core.source import Positions, Span
from panellint.core.text import one_line
from panellint.ingredients.model import Ingredient
from panellint.label.model import Section
from panellint.server.convert import range_of

#: So much of a section without parts of its own is shown beside it.
_WORDS = 60


def symbols(context: LabelContext, positions: Positions) -> list[types.DocumentSymbol]:
    """Returns the sections in the order of the text, with what is listed in them."""
    return [_section(context, section, positions) for section in context.label.sections]


def _symbol(
    positions: Positions,
    name: str,
    detail: str,
    kind: types.SymbolKind,
    span: Span,
    mark: Span,
    inside: Iterable[types.DocumentSymbol] = (),
) -> types.DocumentSymbol:
    """Returns a part of the label: `span` is all of it, `mark` the words that name it."""
    whole, named = (range_of(part, positions) for part in (span, mark))
    return types.DocumentSymbol(name, kind, whole, named, detail or None, children=[*inside])


def _section(context: LabelContext, section: Section, positions: Positions) -> types.DocumentSymbol:
    span = Span(section.heading.start, max(section.body.end, section.heading.end))
    heading = one_line(context.source.slice(section.heading)).rstrip(":")
    inside: list[types.DocumentSymbol] = []
    if section.kind == "declaration":
        inside = [
            _ingredient(entry, positions)
            for entry in context.declaration.ingredients
            if span.start <= entry.span.start < span.end
        ]
    elif section.kind == "guarantees":
        inside = [
            _symbol(
                positions,
                guarantee.printed,
                context.source.slice(guarantee.value_span),
                types.SymbolKind.Number,
                guarantee.span,
                guarantee.name_span,
            )
            for guarantee in context.label.guarantees
            if span.start <= guarantee.span.start < span.end
        ]
    mark = section.heading if section.heading.end > section.heading.start else span
    name = heading or section.kind.replace("-", " ")
    detail = "" if inside else one_line(section.text)[:_WORDS]
    return _symbol(positions, name, detail, types.SymbolKind.Namespace, span, mark, inside)


def _ingredient(entry: Ingredient, positions: Positions) -> types.DocumentSymbol:
    known = entry.match.known if entry.match else None
    span = entry.span.cover(entry.name_span)
    for member in entry.members:
        span = span.cover(member.span)
    kind = types.SymbolKind.Array if entry.members else types.SymbolKind.Field
    detail = known.kind.replace("-", " ") if known else ""
    inside = [_ingredient(member, positions) for member in entry.members]
    return _symbol(
        positions, entry.name or "(nothing)", detail, kind, span, entry.name_span, inside
    )


def flat(
    symbols: Iterable[types.DocumentSymbol], uri: str, container: str | None = None
) -> list[types.SymbolInformation]:
    """Returns the same for clients that know no tree: each with the name of what it stands in."""
    rows = []
    for symbol in symbols:
        place = types.Location(uri, symbol.range)
        rows.append(
            types.SymbolInformation(place, symbol.name, symbol.kind, container_name=container)
        )
        rows += flat(symbol.children or (), uri, symbol.name)
    return rows
