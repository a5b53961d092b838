"""What the guarantees come to, on every basis, with ranges, energy and profile."""

from collections.abc import Iterator
from pathlib import Path

from panellint.output.document import RangeRow, Ranges
from panellint.output.document_template import written
from panellint.report.blocks import Block
from panellint.report.saying import figure, premises
from panellint.results.nutrition import Assessed

_TEMPLATE = Path(__file__).parent / "documents" / "numbers.j2"


def section(data: Assessed) -> Iterator[Block]:
    """Yields the parts, how wide carbohydrate can be, energy, and the profile."""
    rows = tuple(
        RangeRow(
            premises(part["rests_on"]),
            part["low"],
            part["high"],
            f"{figure(part['low'])} to {figure(part['high'])} %",
        )
        for part in data["ranges"]["carbohydrate"]
        if part["low"] is not None and part["high"] is not None
    )
    caption = "Carbohydrate as fed: how far each assumption narrows it"
    ranges = Ranges(("Taken for granted", "Carbohydrate, % as fed"), rows, caption, "bands")
    return written(_TEMPLATE, {"data": data, "ranges": ranges})
