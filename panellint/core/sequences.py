"""The longest run of a sequence that stands in order."""

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from typing import TypeVar

Number = TypeVar("Number", int, float, Fraction)


def longest_run(values: Sequence[Number]) -> set[int]:
    """Returns the places of a longest subsequence that never falls: what may be said to stand
    in order, where the fewest others are to move."""
    tails: list[Number] = []
    ends: list[int] = []
    before: list[int] = []
    for place, value in enumerate(values):
        length = bisect_right(tails, value)
        before.append(ends[length - 1] if length else -1)
        tails[length : length + 1] = [value]
        ends[length : length + 1] = [place]
    kept: set[int] = set()
    at = ends[-1] if ends else -1
    while at >= 0:
        kept.add(at)
        at = before[at]
    return kept
