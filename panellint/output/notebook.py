"""The answers of `panellint.api` as tables and pictures, for notebooks.

It needs the extra `notebook`: pandas and matplotlib.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from pandas import DataFrame

    from panellint.results.shares import Shares

#: The list of rows in an answer, by the key that holds it; the first that is there counts.
_ROWS = ("ingredients", "findings", "requirements", "foods", "reached", "changes", "declaration")
_INCHES, _INCHES_A_ROW = 7.0, 0.35


def to_frame(answer: Mapping[str, Any]) -> DataFrame:
    """Returns the rows of an answer as a table: ingredients of `shares`, findings of `lint`, foods
    of `compare` and so on; of `nutrition` the parts of the food on each basis. A value inside a
    value has the column `outer.inner` (`likely.low`).

    Raises ValueError for an answer that has no rows, ImportError where pandas is missing.
    """
    import pandas

    if "bases" in answer and "ranges" in answer:
        return pandas.DataFrame(answer["bases"])
    key = next((name for name in _ROWS if name in answer), None)
    if key is None:
        raise ValueError(f"this answer has none of {', '.join(_ROWS)}")
    return pandas.json_normalize(list(answer[key]))


def plot(shares: Shares) -> Figure:
    """Returns a picture of the shares of a label, percent of the mix: a line from the least to the
    most that is proven, a bar over the likely range, a mark at its middle.

    Raises ImportError where matplotlib is missing.
    """
    from matplotlib.figure import Figure

    rows = shares["ingredients"]
    figure = Figure(figsize=(_INCHES, 1 + _INCHES_A_ROW * len(rows)), layout="tight")
    axes = figure.subplots()
    for place, row in enumerate(rows):
        axes.plot([row["low"], row["high"]], [place, place], color="0.6", linewidth=1.5)
        if (likely := row["likely"]) is not None:
            axes.plot([likely["low"], likely["high"]], [place, place], color="0.2", linewidth=6)
            axes.plot(likely["middle"], place, marker="|", color="white", markersize=8)
    axes.set_yticks(range(len(rows)), [row["name"] for row in rows])
    axes.invert_yaxis()
    axes.set_xlim(0, 100)
    axes.set_xlabel("Share of the mix, percent: proven (line) and likely (bar)")
    return figure
