"""Documents written by templates.

The template of a document is written much as Markdown is. Only what the template itself says is
markup: what it takes from an answer is text, whatever that holds, and keeps its language.

    # words             a heading, with as many # as its level
    words               a paragraph, set in by the blanks before it
    - words             an item of a list
    ^ words             the caption of the table below
    | words | words |   a row of a table; the second says which columns hold figures (---:)
    {{ block }}         a block of a document, alone on its line

`[word]` before the words is the kind of a paragraph, a list or a table, or the id of a heading. A
line that ends with a backslash goes on below; one of blanks alone is none.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from itertools import groupby, pairwise
from pathlib import Path
from typing import Any, NamedTuple

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from jinja2.nativetypes import NativeCodeGenerator

from panellint.core.numbers import number
from panellint.core.phrases import capital, counted, listed, shown
from panellint.core.text import is_plural, one_line
from panellint.nutrition.bases import PARTS
from panellint.output.document import (
    Bar,
    Block,
    Heading,
    Items,
    Paragraph,
    Printed,
    Table,
    Text,
    Verbatim,
    figure,
    likely_words,
    money,
    plain,
)
from panellint.output.render_options import CAUTION
from panellint.output.views.balance import sentence
from panellint.rulepacks.data import data
from panellint.rulepacks.settings import market_title, the_market

#: Functions that every template may apply, and names that it may use.
_FILTERS = (
    capital, counted, figure, is_plural, likely_words, listed, market_title, money, number,
    one_line, round, sentence, shown, the_market,
)  # fmt: skip
_NAMES = {
    "Bar": Bar,
    "CAUTION": CAUTION,
    "Heading": Heading,
    "PARTS": PARTS,
    "Paragraph": Paragraph,
    "Verbatim": Verbatim,
    "words_of": data,
}
#: The views: the templates of answers, which others may import from.
_VIEWS = Path(__file__).parent / "views"
_MARK = re.compile(r"( *)(#+(?= )|-(?= )|[|^])? *")


def view(question: str, **more: object) -> Callable[[Any], Iterator[Block]]:
    """Returns what writes the answer to a question; `more` are further values of its template."""
    return lambda data: written(_VIEWS / f"{question}.j2", {**more, "data": data})


def written(
    template: Path, values: Mapping[str, object], *filters: Callable[..., object]
) -> Iterator[Block]:
    """Yields the document that a template writes of values, with functions as filters by their
    names."""
    page = _environment(template.parent, filters).get_template(template.name)
    pieces = page.root_render_func(page.new_context(dict(values)))
    lines = map(_Line.of, _lines(pieces))
    for mark, group in groupby(filter(None, lines), lambda line: line.mark.replace("^", "|")):
        match mark:
            case "|":
                yield from _tables(group)
            case "-":
                items = list(group)
                yield Items(tuple(item.words for item in items), items[0].kind)
            case _:
                yield from (_block(line) for line in group)


class _Value(NamedTuple):
    """What a template takes from an answer."""

    content: Any

    def __str__(self) -> str:
        return str(self.content)


class _Pieces(tuple[Any, ...]):
    """What a macro comes to, or a part of a template that has a name."""

    @property
    def words(self) -> Text:
        """Returns the words of its lines, a blank between them."""
        words: list[str] = []
        for line in filter(None, map(_Line.of, _lines(self))):
            words += [" "] * bool(words) + [*_pieces_of(line.words)]
        return _text(words)

    def __str__(self) -> str:
        return plain(self.words)

    def __bool__(self) -> bool:
        return bool(str(self))


class _Documents(Environment):
    """Templates that keep apart what they say and what they take from an answer."""

    code_generator_class = NativeCodeGenerator
    concat = staticmethod(_Pieces)  # type: ignore[assignment]


@cache
def _environment(folder: Path, filters: tuple[Callable[..., object], ...]) -> Environment:
    environment = _Documents(
        loader=FileSystemLoader([folder, _VIEWS]),
        extensions=["jinja2.ext.do"],
        undefined=StrictUndefined,
        finalize=lambda value: value if isinstance(value, _Pieces) else _Value(value),
    )
    environment.filters |= {function.__name__: function for function in (*_FILTERS, *filters)}
    environment.globals |= _NAMES
    return environment


def _lines(pieces: Iterable[Any]) -> Iterator[list[Any]]:
    """Yields the pieces of each line, as the template parts them. A macro alone on a line gives
    lines of its own; elsewhere its words."""
    line: list[Any] = []
    for piece, following in pairwise([*pieces, "\n"]):
        if isinstance(piece, _Pieces):
            if any(line) or not str(following).lstrip(" ").startswith("\n"):
                line.append(_Value(piece.words))
            else:
                yield from _lines(piece)
        elif isinstance(piece, _Value):
            line.append(piece)
        else:
            first, *others = piece.split("\n")
            line.append(first)
            for other in others:
                if line[-1].endswith("\\"):
                    line[-1] = line[-1][:-1].rstrip() + " "
                    line.append(other.lstrip())
                else:
                    yield line
                    line = [other]
    yield line


class _Line(NamedTuple):
    """A line: what it is, how far it is set in, its kind, and its pieces."""

    mark: str
    indent: int
    kind: str
    pieces: list[Any]

    @property
    def words(self) -> Text:
        """Returns the words of the line."""
        return _words(self.pieces)

    @classmethod
    def of(cls, pieces: list[Any]) -> _Line | None:
        """Returns a line of its pieces; None for one without words."""
        mark, indent, kind = "", 0, ""
        pieces = list(_joined(pieces))
        if pieces and isinstance(pieces[0], str):
            match = _MARK.match(pieces[0])
            assert match is not None
            mark, indent = match[2] or "", len(match[1])
            pieces[0] = pieces[0][match.end() :]
            if pieces[0].startswith("["):
                own = [piece if isinstance(piece, str) else "" for piece in pieces]
                end = next(at for at, words in enumerate(own) if "]" in words)
                before, _, pieces[end] = pieces[end].partition("]")
                kind = "".join(map(str, [*pieces[:end], before]))[1:]
                pieces = pieces[end:]
        if mark != "^" and not any(str(piece).strip() for piece in pieces):
            return None
        return cls(mark, indent, kind, pieces)


def _joined(pieces: Iterable[Any]) -> Iterator[Any]:
    """Yields pieces, what the template says between two of the answer in one."""
    for is_value, group in groupby(pieces, lambda piece: isinstance(piece, _Value)):
        values = list(group)
        yield from values if is_value else ["".join(values)]


def _words(pieces: list[Any]) -> Text:
    """Returns pieces as text, without the blanks that the template has at its ends."""
    pieces = [piece for piece in pieces if str(piece)]
    words: list[object] = []
    for at, piece in enumerate(pieces):
        if isinstance(piece, _Value):
            words += _pieces_of(piece.content)
        else:
            piece = piece.lstrip() if at == 0 else piece
            words.append(piece.rstrip() if at == len(pieces) - 1 else piece)
    return _text(words)


def _pieces_of(text: Any) -> tuple[Any, ...]:
    return text if isinstance(text, tuple) else (text,)


def _text(words: Iterable[object]) -> Text:
    """Returns words in one piece, but apart where one is in a language of its own."""
    pieces = [word if isinstance(word, str) else str(word) for word in words if word != ""]
    if any(isinstance(piece, Printed) for piece in pieces):
        return pieces[0] if len(pieces) == 1 else tuple(pieces)
    return "".join(pieces)


def _record(pieces: Iterable[Any]) -> Any:
    """Returns the block, or the bar of a cell, that stands where words could; else None."""
    rest = [piece for piece in pieces if str(piece).strip()]
    value = rest[0].content if len(rest) == 1 and isinstance(rest[0], _Value) else None
    return value if hasattr(value, "_fields") else None


def _block(line: _Line) -> Block:
    if line.mark:
        return Heading(len(line.mark), line.words, line.kind)
    return _record(line.pieces) or Paragraph(line.words, line.kind, line.indent)


def _tables(lines: Iterable[_Line]) -> Iterator[Table]:
    """Yields tables; the line of a caption parts two of them."""
    caption, kind = "", ""
    for is_caption, group in groupby(lines, lambda line: line.mark == "^"):
        if is_caption:
            [line] = group
            caption, kind = plain(line.words), line.kind
            continue
        rows = [tuple(_record(cell) or _words(cell) for cell in _cells(line)) for line in group]
        headings, sides, *others = rows
        right = tuple(at for at, side in enumerate(sides) if str(side).endswith(":"))
        usual = "figures" if right else "stack"
        yield Table(tuple(map(str, headings)), tuple(others), right, caption, kind or usual)
        caption, kind = "", ""


def _cells(line: _Line) -> Iterator[list[Any]]:
    """Yields the pieces of each cell, as the template parts them."""
    cell: list[Any] = []
    for first, *others in (
        [piece] if isinstance(piece, _Value) else piece.split("|") for piece in line.pieces
    ):
        cell.append(first)
        for other in others:
            yield cell
            cell = [other]
