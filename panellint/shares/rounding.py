"""From exact fractions to floats that are never on the wrong side."""

from __future__ import annotations

import math
from fractions import Fraction


def outward(value: Fraction, up: bool) -> float:
    """The nearest float that is not on the wrong side."""
    found = float(value)
    if up and Fraction(found) < value:
        return math.nextafter(found, math.inf)
    if not up and Fraction(found) > value:
        return math.nextafter(found, -math.inf)
    return found
