import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.text import harmless
from panellint.output.cells import cells, width, wrap


@pytest.mark.parametrize(
    ("text", "filled"),
    [
        ("duck", 4),
        ("米", 2),
        ("e\u0301", 1),
        ("🦆", 2),
        ("ｄ", 2),
        ("\u200b", 0),
        ("½", 1),
        ("", 0),
    ],
)
def test_width(text, filled):
    # East Asian Width (Unicode Standard Annex 11) gives W and F two cells, marks none.
    assert width(text) == filled


def test_tabs_reach_the_next_stop():
    assert list(cells("a\tb")) == [("a", 1), ("   ", 3), ("b", 1)]
    assert list(cells("duck\t"))[-1] == ("    ", 4)


@pytest.mark.parametrize(
    "char", ["\x1b", "\x07", "\r", "\u202e", "\u2066", "\udc80", "\x9b", "\x7f"]
)
def test_nothing_commands_the_terminal(char):
    assert char not in harmless(f"duck{char}[31m")
    assert len(harmless(char)) == 1


def test_tabs_stay():
    assert harmless("a\tb") == "a\tb"


@given(st.text(), st.integers(10, 100))
def test_wrapped_lines_keep_every_word_and_fit(text, columns):
    lines = wrap(text, columns, "> ", "  ")
    assert all(width(line) <= columns for line in lines)
    told = "".join("".join(line.removeprefix(">").split()) for line in lines[:1])
    told += "".join("".join(line.split()) for line in lines[1:])
    assert told == "".join(harmless(" ".join(text.split())).split())


def test_a_long_word_is_broken():
    assert wrap("abcdefgh", 5, rest=" ") == ["abcd", " efgh"]
