"""The parts of a label as an editor's outline shows them: sections, and ingredients in them."""

from __future__ import annotations

from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.ingredients.model import Ingredient
from panellint.label.model import Section


class Symbol(NamedTuple):
    """A part of the label: `span` is all of it, `mark` the words that name it. `sort` is
    "section", "group", "ingredient" or "guarantee"."""

    name: str
    detail: str
    sort: str
    span: Span
    mark: Span
    inside: tuple[Symbol, ...] = ()


def symbols(context: LabelContext) -> list[Symbol]:
    """Returns the sections in the order of the text, with what is listed in them."""
    return [_section(context, section) for section in context.label.sections]


def _section(context: LabelContext, section: Section) -> Symbol:
    span = Span(section.heading.start, max(section.body.end, section.heading.end))
    heading = one_line(context.source.slice(section.heading)).rstrip(":")
    words = one_line(section.text)
    inside: tuple[Symbol, ...] = ()
    if section.kind == "declaration":
        inside = tuple(
            _ingredient(entry)
            for entry in context.declaration.ingredients
            if span.start <= entry.span.start < span.end
        )
    elif section.kind == "guarantees":
        inside = tuple(
            Symbol(
                guarantee.printed,
                context.source.slice(guarantee.value_span),
                "guarantee",
                guarantee.span,
                guarantee.name_span,
            )
            for guarantee in context.label.guarantees
            if span.start <= guarantee.span.start < span.end
        )
    mark = section.heading if section.heading.end > section.heading.start else span
    return Symbol(
        heading or section.kind.replace("-", " "),
        "" if inside else words[:60],
        "section",
        span,
        mark,
        inside,
    )


def _ingredient(entry: Ingredient) -> Symbol:
    known = entry.match.known if entry.match else None
    span = entry.span.cover(entry.name_span)
    for member in entry.members:
        span = span.cover(member.span)
    return Symbol(
        entry.name or "(nothing)",
        known.kind.replace("-", " ") if known else "",
        "group" if entry.members else "ingredient",
        span,
        entry.name_span,
        tuple(_ingredient(member) for member in entry.members),
    )
