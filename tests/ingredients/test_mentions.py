"""Names of known ingredients in free text."""

from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.catalogue import load
from panellint.ingredients.mentions import is_listed, mentions

LOOKUP = partial(load().lookup, market="us", language="en")


def names(text: str) -> list[str]:
    return [mention.name for mention in mentions(text, LOOKUP)]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Real chicken and brown rice.", ["chicken", "brown rice"]),
        ("Chicken Meal, rice", ["chicken meal", "rice"]),
        ("chicken | rice & barley", ["chicken", "rice", "barley"]),
        ("our food for happy pets", []),
        ("", []),
    ],
)
def test_the_longest_name_at_each_place(text, found):
    assert names(text) == found


def test_a_part_of_a_text():
    text = "duck, without chicken"
    assert [m.name for m in mentions(text, LOOKUP, 0, text.index("without"))] == ["duck"]


def test_a_name_that_is_not_accepted_gives_way_to_a_shorter_one():
    accepted = [
        mention.name
        for mention in mentions(
            "chicken meal", LOOKUP, accepts=lambda one: one.name != "chicken meal"
        )
    ]
    assert accepted == ["chicken"]


@given(st.lists(st.sampled_from(["duck", "meal", "brown", "rice", ",", "-", "the"]), max_size=12))
def test_mentions_stand_in_order_and_apart(words):
    text = " ".join(words)
    found = list(mentions(text, LOOKUP))
    assert all(is_listed(mention) for mention in found)
    ends = [0, *(mention.span.end for mention in found)]
    assert all(m.span.start >= end for m, end in zip(found, ends, strict=False))
    for mention in found:
        assert text[mention.span.start : mention.span.end].lower() == mention.name
