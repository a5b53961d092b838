"""The laws of the ledger: nothing unread, nothing passed in silence."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from panellint.core.source import Source
from panellint.label.ledger import Fate
from panellint.label.reader import read_label

_LINES = (
    "Quail Bowl for cats",
    "Ingredients: quail, millet (whole), salt. *from the field",
    "Guaranteed analysis",
    "Crude protein (min) 24%, Crude fqt (min) 1O%",
    "Calorie content (calculated): 3,500 kcal/kg",
    "<b>Net Wt</b> 4 oz | 113 g",
    "Complete pet food for adult cats.",
    "## Feeding: 3 spoons a day.",
    "Batch: see base\r\nQuail Row 4, VT 05099",
    "xqz wvut",
    "",
)


@settings(max_examples=60)
@given(st.lists(st.one_of(st.sampled_from(_LINES), st.text(max_size=12)), max_size=9))
def test_the_stretches_are_disjoint_and_stand_in_order_and_cover_the_text(lines: list[str]) -> None:
    text = "\n".join(lines)
    at = 0
    for stretch in read_label(Source(text)).ledger.stretches:
        assert stretch.span.start == at < stretch.span.end
        at = stretch.span.end
        words = text[stretch.span.start : stretch.span.end]
        assert (stretch.fate is Fate.READ) == bool(stretch.kind)
        assert not stretch.maybe or stretch.fate is Fate.UNREAD
        assert (
            stretch.fate is not Fate.SET_ASIDE or not any(map(str.isalnum, words)) or "<" in words
        )
    assert at == len(text)
