"""The text of a label as it is laid out: formatting, folding, the kinds of its words.

Formatting moves white space and never a word: the declaration is wrapped, guarantees stand under
each other, blanks at the end of a line go.
"""

import re
from collections.abc import Iterator
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.core.findings import Edit
from panellint.core.source import Span
from panellint.label.model import Section

WIDTH = 80
_INDENT = "  "
#: Sections whose lines are entries of their own and keep their ends.
_LINED = ("guarantees", "additives")
#: The kinds of words that a client can colour, in the order of the legend.
TOKENS = ("keyword", "variable", "number", "type", "macro")
_FIGURE = re.compile(r"\d[\d.,]*(?:\s?%)?")
_BLANKS = re.compile(r"[ \t\u00a0]+")


class Token(NamedTuple):
    """A word of a kind, by its place in `TOKENS`."""

    span: Span
    kind: int


def formatted(context: LabelContext) -> list[Edit]:
    """Returns the edits that lay the label out; none where a word would change."""
    edits = []
    text = context.source.text
    for section in context.label.sections:
        headed = section.heading.end > section.heading.start
        start = section.body.start
        if headed:  # behind the colon
            start = len(text[: section.body.start].rstrip())
        span = Span(start, _end(context, section))
        old = text[span.start : span.end]
        if not old.strip():
            continue
        new = _laid_out(section, old, context.source.position(start).column - 1, headed)
        if "\r\n" in text:
            new = new.replace("\r\n", "\n").replace("\n", "\r\n")
        if new != old and new.split() == old.split():
            edits.append(Edit(span, new))
    return edits


def _end(context: LabelContext, section: Section) -> int:
    """Returns the end of a section's words; blank lines behind it stay as they are."""
    return section.body.start + len(context.source.slice(section.body).rstrip())


def _laid_out(section: Section, text: str, column: int, headed: bool) -> str:
    """Returns the words behind a heading that ends in a column, laid out."""
    lines = text.replace("\r\n", "\n").split("\n")
    indent = _INDENT if headed else ""
    if section.kind in _LINED:
        laid = [_BLANKS.sub(" ", line).strip() for line in lines]
        first = f" {laid[0]}" if headed and laid[0] else laid[0]
        return "\n".join([first, *(indent + line if line else "" for line in laid[1:])])
    if section.kind != "declaration" or "" in map(str.strip, lines[1:-1]):
        return "\n".join(map(str.rstrip, lines))  # lines of prose and of tables are the maker's
    on_own_line = headed and not lines[0].strip()
    if on_own_line:
        return "\n" + _wrapped(text.split(), len(_INDENT), _INDENT)
    return _wrapped(text.split(), column + headed, " " * headed)


def _wrapped(words: list[str], column: int, before: str) -> str:
    """Returns words in lines of at most `WIDTH` columns; the first begins at a column."""
    lines, used = before, column
    for number, word in enumerate(words):
        if number and used + 1 + len(word) > WIDTH:
            lines += f"\n{_INDENT}{word}"
            used = len(_INDENT) + len(word)
        else:
            lines += f" {word}" if number else word
            used += len(word) + bool(number)
    return lines


def folds(context: LabelContext) -> Iterator[tuple[int, int]]:
    """Yields first and last line (from 0) of each section and group of more than one line."""
    spans = [Span(part.heading.start, _end(context, part)) for part in context.label.sections]
    for entry in context.declaration.walk():
        if entry.members:
            spans.append(entry.name_span.cover(entry.members[-1].span))
    for span in spans:
        first, last = (context.source.position(offset).line - 1 for offset in span)
        if last > first:
            yield first, last


def tokens(context: LabelContext) -> list[Token]:
    """Returns headings, names, figures, nutrients and waivers in the order of the text, none of
    them across a line end."""
    marks: list[Token] = []
    for section in context.label.sections:
        marks.append(Token(section.heading, 0))
        if section.kind == "waiver":
            marks.append(Token(section.body, 4))
    names = [entry.name_span for entry in context.declaration.walk()]
    marks += [Token(span, 1) for span in names]
    nutrients = [guarantee.name_span for guarantee in context.label.guarantees]
    marks += [Token(span, 3) for span in nutrients]
    marks += [Token(Span(*figure.span()), 2) for figure in _FIGURE.finditer(context.source.text)]
    kept: list[Token] = []
    for token in sorted(marks, key=lambda mark: (mark.span.start, mark.kind == 2)):
        for span in _by_line(context, token.span):
            if not kept or span.start >= kept[-1].span.end:
                kept.append(Token(span, token.kind))
    return kept


def _by_line(context: LabelContext, span: Span) -> Iterator[Span]:
    at = span.start
    for piece in context.source.slice(span).splitlines(True):
        words = piece.strip()
        if words:
            start = at + piece.index(words)
            yield Span(start, start + len(words))
        at += len(piece)


def mentions(context: LabelContext, offset: int) -> list[Span]:
    """Returns every place where the ingredient under an offset stands: in the declaration (the
    first one is where it is declared) and in what the name promises; none where there is no
    ingredient."""
    places: list[tuple[Span, str]] = []
    for entry in context.declaration.walk():
        known = entry.match.known.id if entry.match else entry.name.casefold()
        places.append((entry.name_span, known))
    for promise in context.promises:
        for named in promise.named:
            places.append((named.span, named.match.known.id))
    under = [key for span, key in places if span.start <= offset <= span.end]
    return [span for span, key in places if under and _is_kind(key, under[0])]


def _is_kind(kind: str, other: str) -> bool:
    return kind == other or kind.startswith(f"{other}-") or other.startswith(f"{kind}-")
