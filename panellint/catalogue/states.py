"""The ranges of an ingredient in another state, worked out from its own ranges.

Drying moves water alone, cooking loses drip, curing adds salt: each state of
`rules/ingredients/forms.yaml` says between which limits the water of the result lies, how much of
a part is kept and what may come to it. The ranges of the result are optima of a small program:
over all six parts at once, with the raw parts and the result summing to 100 within the error of
analyses, and never part by part (a lean meat of 15 to 24 % protein and 55 to 78 % water would
then be 105 % protein when dry).

A part's share of the solids is a ratio of two linear functions of the raw parts; its optimum is
found by Dinkelbach's method (Management Science 13 (1967) 492-498), each step a greedy filling of
a box whose sum is bounded.
"""

from collections.abc import Mapping, Sequence
from math import ceil, floor
from typing import Any

from panellint.catalogue.model import PARTS, CatalogueEntry, Figure, Range

_SOLIDS = PARTS[1:]
#: The steps of Dinkelbach's method grow exact fast; a ratio of six terms needs a handful.
_STEPS = 40


def worked_out(entry: CatalogueEntry, state: Mapping[str, Any], error: float) -> dict[str, Figure]:
    """Returns the ranges of the six parts (percent as added) of an entry in a state; {} where a
    part of the entry is not known. `error` are the points by which parts may miss 100."""
    if any(part not in entry.figures for part in PARTS):
        return {}
    raw = {part: entry.figures[part].range for part in PARTS}
    ranges = state_ranges(raw, state, entry.kind, error)
    source = f"worked out from the ranges of {entry.names[0]}, {state['name']}"
    return {part: Figure(span, "%", source, False) for part, span in ranges.items()}


def widened(figure: Figure, sort: Figure, share: float) -> Figure:
    """Returns a range with both ends moved by a share of the way to those of a wider one."""
    (low, high), (least, most) = figure.range, sort.range
    span = Range(
        floor(10 * (low - share * max(0.0, low - least))) / 10,
        ceil(10 * (high + share * max(0.0, most - high))) / 10,
    )
    return Figure(span, figure.unit, f"{figure.source}; widened for another animal", False)


def state_ranges(
    raw: Mapping[str, Range], state: Mapping[str, Any], kind: str, error: float
) -> dict[str, Range]:
    """Returns the range of each part in a state, from the ranges of the raw parts (percent)."""
    moistures = state["moisture"]
    least_water, most_water = moistures.get(kind) or moistures["*"]
    kept: Mapping[str, Sequence[float]] = state["kept"]
    added: Mapping[str, float] = state["added"]
    low = [raw[part].low for part in _SOLIDS]
    # What a table gives by difference holds the errors of the rest.
    low[-1] = max(0.0, low[-1] - error)
    high = [raw[part].high for part in _SOLIDS]
    water = raw["moisture"]
    if not state["gains_water"]:
        most_water = max(least_water, min(most_water, water.high))
    total = (100 - error - water.high, 100 + error - water.low)
    ranges = {"moisture": Range(float(least_water), float(most_water))}
    for place, part in enumerate(_SOLIDS):
        ends = [kept.get(other, (1.0, 1.0)) for other in _SOLIDS]
        most = [end[1] if at == place else end[0] for at, end in enumerate(ends)]
        least = [end[0] if at == place else end[1] for at, end in enumerate(ends)]
        own = added.get(part, 0.0)
        others = sum(added.values()) - own
        largest = _extreme_share(place, most, low, high, total, 1)
        smallest = _extreme_share(place, least, low, high, total, -1)
        top = own + largest * max(0.0, 100 + error - least_water - own)
        bottom = smallest * max(0.0, 100 - error - most_water - others)
        ranges[part] = Range(floor(10 * max(0.0, bottom)) / 10, ceil(10 * min(100.0, top)) / 10)
    return ranges


def _extreme_share(
    place: int,
    weights: Sequence[float],
    low: Sequence[float],
    high: Sequence[float],
    total: tuple[float, float],
    sign: int,
) -> float:
    """The most (sign 1) or the least (sign -1) that one weighted part can be of the weighted sum
    of all, 0 to 1."""
    share = 0.5 - 0.5 * sign
    for _ in range(_STEPS):
        gains = [sign * weight * ((at == place) - share) for at, weight in enumerate(weights)]
        parts = _filled(gains, low, high, total)
        whole = sum(weight * part for weight, part in zip(weights, parts, strict=True))
        if whole <= 0:
            return 0.5 + 0.5 * sign
        better = weights[place] * parts[place] / whole
        if sign * (better - share) <= 1e-12:
            break
        share = better
    return share


def _filled(
    gains: Sequence[float],
    low: Sequence[float],
    high: Sequence[float],
    total: tuple[float, float],
) -> list[float]:
    """The parts that gain most, each within its range and their sum within `total`; where no
    parts sum so, the sum is let go (the ranges of a table need not close)."""
    parts = [high[at] if gain > 0 else low[at] for at, gain in enumerate(gains)]
    least, most = total
    by_gain = sorted(range(len(gains)), key=lambda at: gains[at])
    excess = sum(parts) - most
    for at in by_gain:
        if excess <= 0:
            break
        cut = min(excess, parts[at] - low[at])
        parts[at] -= cut
        excess -= cut
    want = least - sum(parts)
    for at in reversed(by_gain):
        if want <= 0:
            break
        rise = min(want, high[at] - parts[at])
        parts[at] += rise
        want -= rise
    return parts
