"""What the guarantees come to, on every basis, with ranges, energy and profile."""

from collections.abc import Iterator

from panellint.output.document import Heading, Paragraph, RangeRow, Ranges
from panellint.output.views import nutrition
from panellint.report.blocks import Block
from panellint.report.saying import figure, premises
from panellint.results.nutrition import Assessed


def section(data: Assessed) -> Iterator[Block]:
    """Yields the parts, how wide carbohydrate can be, energy, and the profile."""
    yield Heading(2, "Protein, fat, carbohydrate, energy", "figures")
    yield Paragraph(
        "The same food three ways. As fed is what goes into the bowl, water and all. Dry matter "
        "leaves the water out, so that wet and dry foods can be compared. Per 1000 kcal counts "
        "what comes with the same energy; beside it stands where that energy comes from.",
        "once",
    )
    yield from nutrition.bases(data)
    ranges = tuple(
        RangeRow(
            premises(part["rests_on"]),
            part["low"],
            part["high"],
            f"{figure(part['low'])} to {figure(part['high'])} %",
        )
        for part in data["ranges"]["carbohydrate"]
        if part["low"] is not None and part["high"] is not None
    )
    if ranges:
        caption = "Carbohydrate as fed: how far each assumption narrows it"
        yield Ranges(("Taken for granted", "Carbohydrate, % as fed"), ranges, caption, "bands")
    if data["energy"] is None:
        yield Paragraph(
            "The label does not give what its energy could be worked out from.", "usual"
        )
    for block in nutrition.further(data):
        yield block._replace(level=3) if isinstance(block, Heading) else block
