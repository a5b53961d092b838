"""Sums and ratios over mixes: sharp, by brute force over the corners of each ingredient."""

from __future__ import annotations

from itertools import product
from math import inf, isclose

from hypothesis import given, settings
from hypothesis import strategies as st

from panellint.catalogue.model import PARTS, Range
from panellint.nutrition.mixture import Box, Mixed, Terms, value

DRY = {part: 1.0 for part in PARTS if part != "moisture"}


@st.composite
def boxes(draw):
    """A box that some ingredient can have: ranges round a true composition."""
    true = [draw(st.integers(0, 50)) for _ in PARTS]
    total = sum(true) or 1
    held = [100 * one / total for one in true] if sum(true) else [100, 0, 0, 0, 0, 0]
    ranges = {}
    for part, one in zip(PARTS, held, strict=True):
        below, above = draw(st.integers(0, 12)), draw(st.integers(0, 12))
        ranges[part] = Range(max(0.0, one - below), min(100.0, one + above))
    return Box.of(ranges)


def corners(box: Box):
    """Every corner of the polytope: five parts at an end, the sixth what is left."""
    for free in PARTS:
        others = [part for part in PARTS if part != free]
        for ends in product(*((box.low[p], box.high[p]) for p in others)):
            rest = 100 - sum(ends)
            if box.low[free] - 1e-9 <= rest <= box.high[free] + 1e-9:
                yield dict(zip([*others, free], [*ends, rest], strict=True))


weights = st.dictionaries(st.sampled_from(PARTS), st.integers(-5, 9).map(float), max_size=4)


@given(boxes(), weights)
def test_the_extreme_of_one_ingredient_is_that_of_its_corners(box, factors):
    found = [value(factors, corner) for corner in corners(box)]
    assert isclose(value(factors, box.point(factors, True)), max(found), abs_tol=1e-6)
    assert isclose(value(factors, box.point(factors, False)), min(found), abs_tol=1e-6)


@settings(max_examples=40)
@given(boxes(), boxes(), st.integers(1, 99), st.sampled_from([p for p in PARTS if p != "moisture"]))
def test_a_ratio_is_largest_at_corners(one, other, share, part):
    mixed = Mixed([one, other], [share / 100, 1 - share / 100])
    over, under = [Terms({part: 1.0})] * 2, [Terms(DRY)] * 2
    if mixed.extreme(under, False) < 1:
        return
    ratios = [
        (share * a[part] + (100 - share) * b[part])
        / sum(share * a[p] + (100 - share) * b[p] for p in DRY)
        for a in corners(one)
        for b in corners(other)
    ]
    assert isclose(mixed.ratio(over, under, True), max(ratios), rel_tol=1e-6, abs_tol=1e-9)
    assert isclose(mixed.ratio(over, under, False), min(ratios), rel_tol=1e-6, abs_tol=1e-9)


@given(boxes())
def test_the_estimate_is_a_whole_and_lies_within(box):
    assert isclose(sum(box.middle.values()), 100, abs_tol=1e-6)
    assert all(box.low[p] - 1e-6 <= box.middle[p] <= box.high[p] + 1e-6 for p in PARTS)


@given(boxes(), st.dictionaries(st.sampled_from(PARTS), st.floats(0, 100), max_size=6))
def test_means_are_moved_into_the_box_and_make_a_whole(box, means):
    ranges = {p: Range(box.low[p], box.high[p]) for p in PARTS}
    found = Box.of(ranges, means)
    assert isclose(sum(found.middle.values()), 100, abs_tol=1e-6)
    assert all(found.low[p] - 1e-6 <= found.middle[p] <= found.high[p] + 1e-6 for p in PARTS)


def test_a_divisor_that_can_vanish_leaves_the_ratio_without_limit():
    water = Box.of({"moisture": Range(90, 100), "protein": Range(0, 10)})
    mixed = Mixed([water], [1.0])
    assert mixed.ratio([Terms({"moisture": 1.0})], [Terms({"protein": 1.0})], True) == inf
    # What counts is every mix for which the ratio has a value.
    assert mixed.ratio([Terms({"protein": 1.0})], [Terms({"protein": 1.0})], False) == 1
