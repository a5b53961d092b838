"""Guarantees as sentences, exports and tables under one bound say them."""

import pytest

from panellint.core.source import Source
from panellint.label.reader import read_label

FOUR = [("protein", "min", 24), ("fat", "min", 13), ("fibre", "max", 6), ("moisture", "max", 10)]


@pytest.mark.parametrize(
    "text",
    [
        # Words lead up to the first name.
        "How much of what? Crude protein, not less than 24%; crude fat, not less than 13%; crude"
        " fiber, not more than 6%; moisture, not more than 10%.",
        "It contains crude protein min 24% / crude fat min 13% / crude fiber max 6% / moisture"
        " max 10%",
        # The figure stands in words too.
        "Crude protein, at least twenty-four percent (24%)\nCrude fat, at least thirteen percent"
        " (13%)\nCrude fiber, at most six percent (6%)\nMoisture, at most ten percent (10%)",
        # The names stand behind their figures, and a bound is that of the next figure too.
        "This food is guaranteed to contain not less than 24 percent crude protein and 13 percent"
        " crude fat, and not more than 6 percent crude fiber and 10 percent moisture.",
        # One bound for all that have none of their own.
        "Guaranteed Analysis (min. unless noted) Crude protein 24 %, crude fat 13 %, crude fiber"
        " (max.) 6 %, moisture (max.) 10 %",
        # The row of an export.
        '"guaranteed_analysis": "Crude Protein (min) 24%, Crude Fat (min) 13%, Crude Fiber (max)'
        ' 6%, Moisture (max) 10%",',
    ],
)
def test_the_four_guarantees_are_read(text: str) -> None:
    label = read_label(Source(f"Ingredients: duck, oats.\n\n{text}\n"))
    assert [(each.nutrient, each.bound, each.value) for each in label.guarantees] == FOUR
    for each in label.guarantees:
        assert label.source.slice(each.value_span).startswith(str(each.value))


def test_a_sentence_that_praises_is_no_guarantee() -> None:
    label = read_label(Source("Ingredients: duck, oats.\n\nPacked with 30% protein and 18% fat.\n"))
    assert not label.guarantees
