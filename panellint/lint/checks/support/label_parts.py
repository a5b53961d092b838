"""The parts of a label: what is there, and where to point at what is not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from panellint.core.source import Span

if TYPE_CHECKING:
    from panellint.analysis.context import Case

#: Sections that a text may have without being a whole label: a declaration, and what the
#: linter's user notes beside it.
_NOT_A_LABEL = frozenset(
    {
        "untitled",
        "unknown",
        "waiver",
        "declaration",
        "brand",
        "species",
        "form",
        "market",
        "life-stage",
        "language",
        "price",
        "preparation",
        "ash",
        "batch-sheet",
    }
)


def is_whole(case: Case) -> bool:
    """False for a declaration alone, which owes nothing that a whole label owes."""
    return case.once(_is_whole)


def declaration_text(case: Case) -> str:
    """The declaration as printed, without its heading."""
    return case.once(_declaration_text)


def _declaration_text(case: Case) -> str:
    return case.source.slice(case.label.declaration_span)


def _is_whole(case: Case) -> bool:
    return not case.label.bare and any(
        section.kind not in _NOT_A_LABEL and (section.text or section.heading.end)
        for section in case.label.sections
    )


def where(case: Case, *kinds: str) -> Span:
    """The heading of the first section of those kinds, else the product's name, else the first
    words of the text."""
    label = case.label
    for kind in kinds:
        for section in case.sections_of(kind):
            found = section.heading if section.heading.end > section.heading.start else section.body
            return _first_line(case, found)
    if label.product_name:
        return label.product_name_span
    text = case.source.text
    start = len(text) - len(text.lstrip("\ufeff \t\r\n"))
    return _first_line(case, Span(start, len(text.rstrip())))


def _first_line(case: Case, span: Span) -> Span:
    """The first line of a stretch, without white space around it."""
    words = case.source.slice(span)
    lead = len(words) - len(words.lstrip())
    line = words[lead:].splitlines()[0] if words.strip() else ""
    return Span(span.start + lead, span.start + lead + len(line.rstrip()))
