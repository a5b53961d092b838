"""A blend of two foods, for people: the object of `blend --format json` as a page."""

from collections.abc import Iterator

from panellint.nutrition.bases import PARTS
from panellint.output.document import Block, Heading, Paragraph, caution, figure, table
from panellint.results.foods import Blend


def view(data: Blend) -> Iterator[Block]:
    """Yields one blend."""
    base, added = data["base"], data["added"]
    yield Heading(1, f"{added['name']} to {base['name']}")
    for sentence in data["words"]:
        yield Paragraph(sentence)
    yield Heading(2, "The bowl")
    bases, shares = data["bases"], data["energy"]["shares"]
    rows = []
    for part in PARTS:
        columns = [side["as_fed"] for side in (base, added)]
        columns += [bases["as_fed"], bases["dry_matter"], bases["per_1000_kcal"]]
        figures = (figure(column[part]) for column in columns)
        rows.append([part, *figures, figure(shares[part]) if part in shares else ""])
    kcal = (side["kcal_per_kg"] for side in (base, added, data["energy"]))
    rows.append(["energy, kcal/kg", *(figure(value, 0) for value in kcal), "", "", ""])
    heads = ["as fed, %", "base", "added", "bowl", "dry matter", "g/1000 kcal", "of energy"]
    yield table(heads, rows)
    yield Paragraph("The three columns on the right are the bowl's too.")
    yield Paragraph(f"Energy of all three by {data['energy']['method']}, so that they compare.")
    day = data["per_day"]
    if day is not None:
        yield Paragraph(
            f"The animal: {day['animal']}; {day['formula']} kcal a day ({day['source']})."
        )
    yield from caution()
