"""Place and share of an ingredient in words."""

from __future__ import annotations

import gc
import weakref

import pytest

from panellint.analysis.context import LabelContext
from panellint.analysis.list_position import ordinal, share, standing
from panellint.core.source import Source
from panellint.rulepacks.settings import Settings


def case_of(ingredients: str) -> LabelContext:
    source = Source(f"Ingredients: {ingredients}\n", "standing.panel")
    return LabelContext.of(source, Settings(), quick=True)


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (0, 100, "any share"),
        (0.04, 33.333, "at most 33.3 %"),
        (12.5, 100, "at least 12.5 %"),
        (5, 20, "between 5 and 20 %"),
        (26.0, 26.04, "26 %"),
        (100, 100, "all"),
    ],
)
def test_shares(low: float, high: float, words: str) -> None:
    assert share(low, high) == words


def test_ordinals() -> None:
    assert [ordinal(n) for n in (1, 2, 3, 4, 11, 12, 13, 21, 102, 111)] == [
        "1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "102nd", "111th",
    ]  # fmt: skip


def test_a_member_stands_in_its_group() -> None:
    context = case_of("Chunks: beef, wheat gluten; Gravy: water, corn starch, salt")
    starch = next(leaf for leaf in context.leaves if leaf.name == "corn starch")
    assert standing(context, starch).place == "2nd of 3 in Gravy"


def test_a_label_that_contradicts_itself_bounds_nothing() -> None:
    context = case_of("beef (10 %), peas (40 %)")
    stands = standing(context, context.leaves[1])
    assert stands.bounds is None
    assert stands.share == "a share that nothing tells"
    assert stands.rests_on == ()


def test_it_is_kept_for_its_case_and_does_not_keep_it() -> None:
    context = case_of("beef, peas")
    first = standing(context, context.leaves[0])
    assert standing(context, context.leaves[0]) is first
    gone = weakref.ref(context)
    del context
    gc.collect()
    assert gone() is None
