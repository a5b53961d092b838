"""What is known of a long list grows with its length, and not with the square of it."""

from __future__ import annotations

import tracemalloc

from panellint import api


def peak(entries: int) -> int:
    """The most memory that an outline of so many percentages takes, in bytes."""
    text = "Ingredients: " + "rice (1.5%), " * entries
    tracemalloc.start()
    try:
        api.outline(text)
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


def test_memory_grows_with_the_length_of_a_list_of_percentages() -> None:
    peak(10)
    assert peak(1600) < 3 * peak(800)
