"""Numbers and sentences as findings print them."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core import phrases


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (25.0, "25"),
        (25, "25"),
        (100 / 3, "33.3"),
        (3.14159, "3.14"),
        (0.012345, "0.0123"),
        (3512.4, "3512"),
        (99.96, "100"),
        (0.0, "0"),
        (-0.0, "0"),
        (-2.5, "-2.5"),
        (Decimal("95.50"), "95.5"),
        (Decimal("0.125000"), "0.125"),
        (Decimal("1E+3"), "1000"),
        (Fraction(1, 3), "0.333"),
        (float("inf"), "unlimited"),
        (1e22, "10000000000000000000000"),
    ],
)
def test_number(value: float | Decimal | Fraction, text: str) -> None:
    assert phrases.number(value) == text


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e12, max_value=1e12))
def test_a_number_is_told_within_half_a_unit_of_its_third_digit(value: float) -> None:
    told = float(phrases.number(value))
    assert abs(told - value) <= max(abs(value) * 0.005001, 0) or abs(told - value) <= 0.5 < 1e3 < (
        abs(value)
    )


def test_fields_are_filled_and_nothing_else_is_reached() -> None:
    text = "{named}: {most} % {who} {most.real} {0} {} {most!r}"
    assert phrases.fill(text, {"named": ("duck", "hen", "egg"), "most": 12.50}) == (
        "duck, hen and egg: 12.5 % {who} {most.real} {0} {} {most!r}"
    )
    assert phrases.fields("{a} {b} {a} {c.d}") == ("a", "b")


def test_lists() -> None:
    assert phrases.listed([]) == ""
    assert phrases.listed(["duck"]) == "duck"
    assert phrases.listed(["duck", "hen"], "or") == "duck or hen"


def test_the_nearest_word() -> None:
    assert phrases.nearest("Kible", ["kibble", "baked"]) == "kibble"
    assert phrases.nearest("zzz", ["kibble", "baked"]) is None
    assert phrases.nearest("x", []) is None
