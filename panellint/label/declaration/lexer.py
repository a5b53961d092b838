"""The words, figures and signs of a declaration, as the grammar's terminals part them, and the
brackets and commas among them.

The grammar is `declaration.lark`. Lark compiles its terminals once and the result is kept, so that
a start needs no lark: importing it takes an eighth of a cold start, and its parser half of reading
a declaration. What is read is what lark itself reads with this grammar; a test holds both to it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple, TypeAlias

from panellint.core.cache import cached

#: The grammar of declarations.
GRAMMAR = Path(__file__).with_name("declaration.lark")
#: Blanks behind a word or sign. None of the grammar's terminals begins there with one, so the
#: commonest of all that is ignored need not be tried as each of them.
_BLANKS = r"(?<=\S) +"


class Piece(NamedTuple):
    """A terminal of the grammar where it stands: its kind, its words and its offsets."""

    type: str
    value: str
    start: int
    end: int


class Group(NamedTuple):
    """A bracket with the list inside it."""

    opener: Piece
    inner: Listing
    closer: Piece


#: What stands between two separators.
Segment: TypeAlias = "list[Piece | Group]"
#: Segments with the separator behind each, None behind the last one.
Listing: TypeAlias = "list[tuple[Segment, Piece | None]]"


def pieces(text: str) -> list[Piece]:
    """Returns the terminals in the order of the text."""
    pattern, ignored = _terminals()
    return [
        Piece(kind, match.group(), *match.span())
        for match in pattern.finditer(text)
        if (kind := match.lastgroup) is not None and kind not in ignored
    ]


def listings(matched: Iterable[Piece]) -> list[Listing]:
    """Returns the lists that full stops part, of terminals whose brackets match."""
    segment: Segment = []
    listing: Listing = []
    lists: list[Listing] = []
    around: list[tuple[Piece, Segment, Listing]] = []
    for piece in matched:
        if piece.type == "OPEN":
            around.append((piece, segment, listing))
            segment, listing = [], []
        elif piece.type == "CLOSE":
            inner = [*listing, (segment, None)]
            opener, segment, listing = around.pop()
            segment.append(Group(opener, inner, piece))
        elif piece.type == "SEPARATOR":
            listing.append((segment, piece))
            segment = []
        elif piece.type == "_STOP":
            lists.append([*listing, (segment, None)])
            segment, listing = [], []
        else:
            segment.append(piece)
    return [*lists, [*listing, (segment, None)]]


def flat(listing: Listing) -> Iterator[Piece]:
    """Yields the terminals of a list, those in its brackets among them."""
    for segment, separator in listing:
        for part in segment:
            if isinstance(part, Piece):
                yield part
            else:
                yield from (part.opener, *flat(part.inner), part.closer)
        if separator is not None:
            yield separator


@cache
def _terminals() -> tuple[re.Pattern[str], frozenset[str]]:
    """Returns the terminals as one expression, and those that are passed over."""
    given = cached("declaration-terminals", [GRAMMAR], _compiled)
    return re.compile(given["pattern"], given["flags"]), frozenset(given["ignored"])


def _compiled() -> dict[str, Any]:
    """Compiles the terminals in lark's order: of several that match at a place the first counts."""
    from lark import Lark
    from lark.lexer import BasicLexer

    conf = Lark(GRAMMAR.read_text(encoding="utf-8"), parser="lalr", lexer="basic").parser.lexer_conf
    named = [
        f"(?P<{terminal.name}>{terminal.pattern.to_regexp()})"
        for terminal in BasicLexer(conf).terminals
    ]
    pattern = "|".join([_BLANKS, *named])
    return {"pattern": pattern, "flags": int(conf.g_regex_flags), "ignored": list(conf.ignore)}
