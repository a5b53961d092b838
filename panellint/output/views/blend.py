"""A blend of two foods, for people: the object of `blend --format json` as a page."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TextIO

from panellint.output.console import Page, figure
from panellint.output.render_options import CAUTION, RenderOptions

Data = Mapping[str, Any]

_PARTS = ("protein", "fat", "fibre", "moisture", "ash", "carbohydrate")


def write(data: Data, stream: TextIO, look: RenderOptions) -> None:
    """The page of one blend."""
    page = Page(stream, look)
    base, added = data["base"], data["added"]
    page.title(f"{added['name']} to {base['name']}")
    for sentence in data["words"]:
        page.line(sentence)
    page.section("The bowl")
    bases, shares = data["bases"], data["energy"]["shares"]
    rows = []
    for part in _PARTS:
        told = [side["as_fed"][part] for side in (base, added)]
        told += [bases[basis][part] for basis in ("as_fed", "dry_matter", "per_1000_kcal")]
        rows.append([part, *map(figure, told), figure(shares[part]) if part in shares else ""])
    rows.append(
        [
            "energy, kcal/kg",
            *(figure(side["kcal_per_kg"], 0) for side in (base, added)),
            figure(data["energy"]["kcal_per_kg"], 0),
            "",
            "",
            "",
        ]
    )
    heads = ["as fed, %", "base", "added", "bowl", "dry matter", "g/1000 kcal", "of energy"]
    page.table(heads, rows, right=range(1, len(heads)))
    page.line("The three columns on the right are the bowl's too.")
    page.line(f"Energy of all three by {data['energy']['method']}, so that they compare.")
    day = data["per_day"]
    if day is not None:
        page.line(f"The animal: {day['animal']}; {day['formula']} kcal a day ({day['source']}).")
    page.section("Caution")
    page.line(CAUTION)
