"""Terminals and lists against what lark itself reads with the same grammar."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lark import Lark, Token, Tree
from lark.lexer import BasicLexer, LexerThread

from panellint.label.declaration.brackets import MatchedBrackets
from panellint.label.declaration.lexer import GRAMMAR, Listing, Piece, listings, pieces

#: Stretches of declarations that each terminal, and the white space around it, is made of.
_PIECES = (
    "chicken", "L. acidophilus", "omega-3", "and/or", "contains", "less than 2 % of", " : ",
    "2% or less:", "min. 4 %", "4-6 %", "of which", "one or more of the following",
    "preserved with", "a source of", "(", ")", "[", "]", ",", ";", "•", "\n- ", "\n\n  - x",
    "1,5", ".", ". ", "*", "†", "^2", "\n2. ", " 1) ", ":", "10:1", "%", "™", "\t", " ",
    "\r\n", "- \n- foo", "-\nmeal", "\u200b", "\ufeff",
)  # fmt: skip
_TEXTS = st.one_of(st.text(), st.lists(st.sampled_from(_PIECES)).map("".join))


class _Mended:
    """Brackets made to match between lark's own lexer and parser."""

    always_accept = ()

    def process(self, stream: Iterator[Token]) -> Iterator[Token]:
        for one in MatchedBrackets([_piece(token) for token in stream]).pieces:
            yield Token(one.type, one.value, start_pos=one.start, end_pos=one.end)


@pytest.fixture(scope="module")
def lark() -> Lark:
    grammar = GRAMMAR.read_text(encoding="utf-8")
    return Lark(grammar, parser="lalr", lexer="basic", postlex=_Mended(), maybe_placeholders=False)


def _piece(token: Token) -> Piece:
    assert token.start_pos is not None
    assert token.end_pos is not None
    return Piece(token.type, str(token), token.start_pos, token.end_pos)


@given(text=_TEXTS)
def test_the_same_terminals_at_the_same_places(lark: Lark, text: str) -> None:
    """Kind, words and offsets of every terminal."""
    lexer = BasicLexer(lark.parser.lexer_conf)
    theirs = LexerThread.from_text(lexer, text).lex(None)
    assert pieces(text) == [_piece(token) for token in theirs]


@given(text=_TEXTS)
def test_the_same_lists(lark: Lark, text: str) -> None:
    """Segments, separators and brackets as lark's parser nests them."""
    theirs = [node for node in lark.parse(text).children if isinstance(node, Tree)]
    ours = listings(MatchedBrackets(pieces(text)).pieces)
    assert [_nested(listing) for listing in ours] == [_of_lark(node) for node in theirs]


def _nested(listing: Listing) -> list[object]:
    """Segments as lists, each separator behind its segment."""
    found: list[object] = []
    for segment, separator in listing:
        found.append(
            [p if isinstance(p, Piece) else [p.opener, _nested(p.inner), p.closer] for p in segment]
        )
        found += [separator] if separator else []
    return found


def _of_lark(node: Tree[Token]) -> list[object]:
    return [_piece(one) if isinstance(one, Token) else _of_lark(one) for one in node.children]
