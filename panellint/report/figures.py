"""What the guarantees come to, on every basis, with ranges, energy and profile."""

from panellint.output.document import RangeRow, Ranges
from panellint.report.saying import premises, rounded
from panellint.results.nutrition import Assessed


def ranges(data: Assessed) -> Ranges:
    """Returns how wide carbohydrate can be, by what is taken for granted."""
    rows = tuple(
        RangeRow(
            premises(part["rests_on"]),
            part["low"],
            part["high"],
            f"{rounded(part['low'])} to {rounded(part['high'])} %",
        )
        for part in data["ranges"]["carbohydrate"]
        if part["low"] is not None and part["high"] is not None
    )
    caption = "Carbohydrate as fed: how far each assumption narrows it"
    return Ranges(("Taken for granted", "Carbohydrate, % as fed"), rows, caption, "bands")
