"""Markdown that shows a label's words as they stand, by the reference parser markdown-it-py."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from markdown_it.token import Token

from panellint.core.text import harmless
from panellint.output import document
from panellint.report import markdown
from panellint.report.blocks import flat

from .told import Reading, single

ALLOWED = {"text", "softbreak", "inline"} | {
    f"{part}_{end}"
    for part in (
        "heading", "paragraph", "bullet_list", "list_item", "table", "thead", "tbody", "tr",
        "th", "td",
    )
    for end in ("open", "close")
}  # fmt: skip


def tokens(text: str) -> Iterator[Token]:
    """Every token of a Markdown text, tables as GitHub has them."""
    for token in MarkdownIt("commonmark").enable("table").parse(text):
        yield token
        yield from token.children or ()


def test_a_label_full_of_markup_makes_none(hostile: Reading, day: str) -> None:
    text = "".join(markdown.write(flat(single(hostile, day))))
    kinds = {token.type for token in tokens(text)}
    assert kinds <= ALLOWED
    shown = " ".join(token.content for token in tokens(text) if token.type == "text")
    assert "window.hacked=1" in shown
    assert "<script" not in text
    assert "http://" not in text


@pytest.mark.parametrize("name", ["duck-millet-freeze-dried", "peanut-xylitol-treat"])
def test_tables_stand_as_tables(name: str, corpus: Callable[[str], Reading], day: str) -> None:
    found = list(flat(single(corpus(name), day)))
    kinds = [token.type for token in tokens("".join(markdown.write(found)))]
    assert kinds.count("table_open") == sum(
        isinstance(block, document.Table | document.Ranges) for block in found
    )
    assert kinds.count("heading_open") == sum(
        isinstance(block, document.Heading) for block in found
    )


@given(st.text(max_size=60))
def test_any_text_is_shown_as_it_stands(words: str) -> None:
    escaped = markdown.escaped(words)
    parsed = list(tokens(f"{escaped}\n"))
    assert {token.type for token in parsed} <= {
        "paragraph_open", "paragraph_close", "inline", "text",
    }  # fmt: skip
    shown = "".join(token.content for token in parsed if token.type == "text")
    assert shown.replace("\u2060", "") == harmless(" ".join(words.split())).replace("\u2060", "")
