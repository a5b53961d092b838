"""A day's bowl, for people: the object of `plan --format json` as a page."""

from collections.abc import Iterator

from panellint.nutrition.bases import PARTS
from panellint.output.document import (
    Block,
    Heading,
    Paragraph,
    caution,
    figure,
    headed,
    money,
    table,
)
from panellint.results.foods import Money, Plan, PlanFood


def view(data: Plan) -> Iterator[Block]:
    """Yields one plan: the amounts first, then what to watch, what the bowl is, and the need."""
    animal = data["animal"]
    yield Heading(1, f"A day's food for a {animal['species']} of {animal['kilograms']:.4g} kg")
    rows = [
        [food["name"], *_amounts(food), figure(food["kcal"], 0), _a_day(food["cost"])]
        for food in data["foods"]
    ]
    total = data["costs"][0] if len(data["costs"]) == 1 and data["cost_of_all"] else None
    if len(rows) > 1:
        sums = (figure(data["grams"], 0), figure(data["kcal"], 0))
        rows.append(["together", "", *sums, _a_day(total)])
    yield table(["A day", "measure", "grams", "kcal", "cost"], rows)
    for cost in data["costs"]:
        some = "" if data["cost_of_all"] else " for the foods that have a price"
        month = money(cost["per_month"], cost["currency"])
        yield Paragraph(f"This costs {_a_day(cost)} a day and {month} a month{some}.")
    yield from _directions(data)
    yield from headed("To watch", data["watch"], items=True)
    yield Heading(2, "The bowl")
    bases, shares = data["bases"], data["energy"]["shares"]
    columns = (bases["as_fed"], bases["dry_matter"], bases["per_1000_kcal"])
    rows = []
    for part in PARTS:
        figures = (figure(column[part] or None) for column in columns)
        rows.append([part, *figures, figure(shares[part]) if part in shares else ""])
    yield table(["", "as fed, %", "dry matter, %", "g/1000 kcal", "% of energy"], rows)
    kcal, low, high = (figure(animal[key], 0) for key in ("kcal_per_day", "low", "high"))
    spread = "" if low == high else f" ({low} to {high} among animals)"
    yield Heading(2, "The need")
    yield Paragraph(
        f"{animal['title']}: {animal['formula']} = {kcal} kcal a day{spread}. {animal['source']}."
    )
    yield from map(Paragraph, data["notes"])
    yield from caution()


def _a_day(cost: Money | None) -> str:
    return money(cost["per_day"], cost["currency"]) if cost else "-"


def _amounts(food: PlanFood) -> tuple[str, str]:
    household = [measure["words"] for measure in food["measures"] if measure["unit"] != "g"]
    return (household[0] if household else "-"), figure(food["grams"], 0)


def _directions(data: Plan) -> Iterator[Block]:
    """Yields how far the labels' own directions are from the plan."""
    for food in data["foods"]:
        given = food["directions"]
        if given is None:
            continue
        low, high = given["low_percent"], given["high_percent"]
        if low is None or high is None:
            yield Paragraph(
                f"The directions of {food['name']} give no amount for this weight: "
                f"“{given['words']}”"
            )
            continue
        kcal = figure(given["low_kcal"], 0)
        if given["high_kcal"] != given["low_kcal"]:
            kcal += f" to {figure(given['high_kcal'], 0)}"
        yield Paragraph(
            f"By its own directions {food['name']}, fed alone, would give {kcal} kcal: "
            f"{_differs(low, high)}."
        )


def _differs(low: float, high: float) -> str:
    if abs(low) < 0.5 and abs(high) < 0.5:
        return "the same as the need here"
    if low >= 0 or high <= 0:
        way = "more" if low >= 0 else "less"
        few, many = sorted((abs(low), abs(high)))
        spread = f"{few:.0f}" if f"{few:.0f}" == f"{many:.0f}" else f"{few:.0f} to {many:.0f}"
        return f"{spread} % {way} than the need here"
    return f"from {-low:.0f} % less to {high:.0f} % more than the need here"
