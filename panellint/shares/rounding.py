"""From exact fractions to floats that are never on the wrong side."""

from __future__ import annotations

import math
from fractions import Fraction


def outward(value: Fraction, up: bool) -> float:
    """The nearest float that is not on the wrong side."""
    found = float(value)
    top, bottom = found.as_integer_ratio()
    above = top * value.denominator - value.numerator * bottom
    if up and above < 0:
        return math.nextafter(found, math.inf)
    if not up and above > 0:
        return math.nextafter(found, -math.inf)
    return found
