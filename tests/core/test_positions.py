"""Client positions against Python's own encoders."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.source import Positions, Source

WIDTH = {"utf-8": ("utf-8", 1), "utf-16": ("utf-16-le", 2), "utf-32": ("utf-32-le", 4)}
texts = st.text(st.sampled_from("a é\u0301\N{DUCK}\u20ac\u2028\x0b\n\r"), max_size=30)


@pytest.mark.parametrize("encoding", list(WIDTH))
@given(text=texts, data=st.data())
def test_there_and_back(encoding, text, data):
    source = Source(text)
    positions = Positions(source, encoding)
    offset = data.draw(st.integers(0, len(text)))
    line, character = positions.units(offset)
    codec, width = WIDTH[encoding]
    before = text[source.line_start(line + 1) : offset]
    assert character == len(before.encode(codec)) // width
    if offset == len(text) or text[offset - 1 : offset + 1] not in ("\r\n",):
        back = positions.offset(line, character)
        # A line end belongs to no position of its line.
        assert back == offset or text[back] in "\r\n"


def test_beyond_the_line_and_the_text_is_their_end():
    positions = Positions(Source("ab\ncd"))
    assert positions.offset(0, 99) == 2
    assert positions.offset(9, 0) == 5
