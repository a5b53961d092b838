"""The lexer against lark's own basic lexer over the same grammar."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lark import Lark, Token
from lark.common import LexerConf
from lark.lexer import BasicLexer, LexerThread

from panellint.label.declaration.brackets import MatchedBrackets
from panellint.label.declaration.lexer import OffsetLexer
from panellint.label.declaration.parse import GRAMMAR

#: Stretches of declarations that each terminal, and the white space around it, is made of.
_PIECES = (
    "chicken", "L. acidophilus", "omega-3", "and/or", "contains", "less than 2 % of", " : ",
    "2% or less:", "min. 4 %", "4-6 %", "of which", "one or more of the following",
    "preserved with", "a source of", "(", ")", "[", "]", ",", ";", "•", "\n- ", "\n\n  - x",
    "1,5", ".", ". ", "*", "†", "^2", "\n2. ", " 1) ", ":", "10:1", "%", "™", "\t", " ",
    "\r\n", "- \n- foo", "-\nmeal", "\u200b", "\ufeff",
)  # fmt: skip


@pytest.fixture(scope="module")
def conf() -> LexerConf:
    """The grammar's terminals."""
    grammar = GRAMMAR.read_text(encoding="utf-8")
    made: LexerConf = Lark(grammar, parser="lalr", postlex=MatchedBrackets()).parser.lexer_conf
    return made


@given(text=st.one_of(st.text(), st.lists(st.sampled_from(_PIECES)).map("".join)))
def test_the_same_tokens_at_the_same_places(conf: LexerConf, text: str) -> None:
    """Kind, words and offsets of every token."""
    ours = OffsetLexer(conf).lex(text)
    theirs = LexerThread.from_text(BasicLexer(conf), text).lex(None)
    assert [_told(one) for one in ours] == [_told(one) for one in theirs]


def _told(token: Token) -> tuple[str, str, int | None, int | None]:
    return token.type, str(token), token.start_pos, token.end_pos


def test_a_token_knows_no_line(conf: LexerConf) -> None:
    """Lines are counted by the source, when asked; lark's fields for them stay empty."""
    token = next(OffsetLexer(conf).lex("\n chicken"))
    assert (token.start_pos, token.end_pos, token.value) == (2, 9, "chicken")
    assert token.line is token.column is token.end_line is token.end_column is None
