"""From exact fractions to floats that are never on the wrong side."""

import math
from fractions import Fraction


def outward(value: Fraction, up: bool) -> float:
    """The nearest float that is not on the wrong side."""
    return outward_of(value.numerator, value.denominator, up)


def outward_of(top: int, bottom: int, up: bool) -> float:
    """The same of top / bottom, where `bottom` is above nothing."""
    nearest = top / bottom
    near, unit = nearest.as_integer_ratio()
    above = near * bottom - top * unit
    if up and above < 0:
        return math.nextafter(nearest, math.inf)
    if not up and above > 0:
        return math.nextafter(nearest, -math.inf)
    return nearest
