"""From exact fractions to floats that are never on the wrong side."""

import math


def outward_of(top: int, bottom: int, up: bool) -> float:
    """Returns the nearest float to top / bottom (above nothing) that is not on the wrong side."""
    nearest = top / bottom
    near, unit = nearest.as_integer_ratio()
    above = near * bottom - top * unit
    if up and above < 0:
        return math.nextafter(nearest, math.inf)
    if not up and above > 0:
        return math.nextafter(nearest, -math.inf)
    return nearest
