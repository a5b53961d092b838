"""How far an analysis may lie from the printed figure, by market.

The tables and their sources stand in `rules/nutrients/tolerances.yaml`. A tolerance is in the
unit of the figure itself: percentage points for a percentage, mg/kg for mg/kg.
"""

from functools import lru_cache
from typing import Any, NamedTuple

from panellint.core.errors import ImpossibleFigure
from panellint.core.numbers import decimal
from panellint.rulepacks.data import data


class Tolerance(NamedTuple):
    """What may be missing below the printed figure and what may be found above it.

    None: no table of the market sets a limit that way, so nothing is known there.
    """

    below: float | None
    above: float | None


@lru_cache(maxsize=512)
def _tables(market: str, nutrient: str) -> list[dict[str, Any]]:
    known = data("nutrients/tolerances")
    names = known["markets"].get(market)
    if names is None:
        names = [table["id"] for table in known["tables"]]
    return [t for t in known["tables"] if t["id"] in names and nutrient in t["bands"]]


def _one(bands: list[dict[str, Any]], declared: float) -> Tolerance:
    band = next(b for b in bands if "to" not in b or declared <= b["to"])

    def width(side: str) -> float | None:
        if band[side] is None:
            return None
        points, share = band[side]
        return float(points + share * declared / 100)

    return Tolerance(width("below"), width("above"))


def _widest(sides: list[float | None]) -> float | None:
    known = [side for side in sides if side is not None]
    return max(known) if len(known) == len(sides) and known else None


def tolerance(market: str, nutrient: str, declared: float) -> Tolerance:
    """The tolerance of a printed figure, in the figure's own unit.

    Where several tables of a market hold the nutrient, the widest of them; an unknown market
    takes the widest of all tables. Raises ImpossibleFigure below nothing.
    """
    if not declared >= 0:
        raise ImpossibleFigure(f"{nutrient} of {decimal(declared)} is below nothing", nutrient)
    tolerances = [_one(table["bands"][nutrient], declared) for table in _tables(market, nutrient)]
    return Tolerance(_widest([t.below for t in tolerances]), _widest([t.above for t in tolerances]))


def tolerance_source(market: str, nutrient: str) -> str:
    """Where `tolerance` has its figure from, and whether that is from memory; "" where no table
    holds the nutrient."""
    tables = _tables(market, nutrient)
    sources = "; ".join(f"{t['source']['document']}, {t['source']['section']}" for t in tables)
    return sources if all(t["confirmed"] for t in tables) else f"{sources} (from memory)"


def undeclared_at_most(market: str, nutrient: str) -> float | None:
    """The most of a part that a label may leave unsaid, in percent as fed; None without a rule."""
    for row in data("nutrients/tolerances")["undeclared"]:
        if market in row["markets"] and row["nutrient"] == nutrient:
            return float(row["at_most"])
    return None
