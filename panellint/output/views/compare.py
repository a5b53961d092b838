"""Foods side by side, for people: the object of `compare --format json` as a table."""

from collections.abc import Iterator, Sequence

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
from panellint.output.likely import content_sentences, target_sentence
from panellint.results.foods import ComparedFood, Comparison

_UNITS = {
    "as fed": "percent as fed",
    "dry matter": "percent of the dry matter",
    "per 1000 kcal": "grams per 1000 kcal",
    "energy share": "percent of the energy",
}
_HEADS = {"carbohydrate": "carb.", "moisture": "water"}


def view(data: Comparison) -> Iterator[Block]:
    """Yields foods side by side, those for dogs apart from those for cats."""
    foods = f"{len(data['foods'])} foods"
    yield Heading(1, f"{foods}, in {_UNITS[data['basis']]}, by {data['sorted_by']}")
    kinds = list(dict.fromkeys(food["species"] for food in data["foods"]))
    for species in kinds:
        inside = [food for food in data["foods"] if food["species"] == species]
        if len(kinds) > 1:
            yield Heading(2, f"For {species}s" if species else "For dogs and cats, or not said")
        yield from _figures(inside)
        yield from _likely(inside)
        yield from _cost(inside)
    for animal in data["animals"]:
        need = (animal["kcal_per_day"], animal["low"], animal["high"])
        kcal, low, high = (figure(share, 0) for share in need)
        yield Paragraph(
            f"The animal: {animal['title']}; {animal['formula']} = {kcal} kcal a day "
            f"({low} to {high} among animals; {animal['source']})."
        )
    yield from headed("What the printed numbers hide", data["words"])
    remarks = [f"{food['name']}: {why}" for food in data["foods"] for why in food["not_computed"]]
    yield from headed("Notes", [*data["notes"], *remarks])
    yield from caution()


def _figures(foods: Sequence[ComparedFood]) -> Iterator[Block]:
    order = ("protein", "fat", "fibre", "moisture", "ash", "carbohydrate")
    parts = [part for part in order if any(food["values"][part] for food in foods)]
    rows = [
        [
            f"{at}. {food['name']}",
            *(figure(food["values"][part]) + "*" * (part in food["assumed"]) for part in parts),
            figure(food["kcal_per_kg"], 0),
        ]
        for at, food in enumerate(foods, start=1)
    ]
    heads = ["", *(_HEADS.get(part, part) for part in parts), "kcal/kg as fed"]
    yield table(heads, rows)
    if any(food["assumed"] for food in foods):
        yield Paragraph("* usual for such a food, not declared.")


def _likely(foods: Sequence[ComparedFood]) -> Iterator[Block]:
    """Yields what is likely in each food, and where it stands against the trade's target."""
    lines = []
    for at, food in enumerate(foods, start=1):
        sentences = list(content_sentences(food["likely"]))
        if sentences and food["target"]:
            sentences.append(target_sentence(food["target"], food["likely"]["carbohydrate"]))
        lines += [f"{at}. {food['name']}: {' '.join(sentences)}"] if sentences else []
    yield from headed("Likely: nine of ten foods with such a label, an estimate", lines)


def _cost(foods: Sequence[ComparedFood]) -> Iterator[Block]:
    """Yields what foods cost and how much a day takes, where any of it is known."""
    costs = [money(food["cost_per_1000_kcal"], food["currency"]) for food in foods]
    columns = [
        ("1000 kcal cost", costs),
        ("grams a day", [figure(food["grams_per_day"], 0) for food in foods]),
        ("a day costs", [money(food["cost_per_day"], food["currency"]) for food in foods]),
    ]
    shown = [(head, cells) for head, cells in columns if set(cells) != {"-"}]
    if not shown:
        return
    yield Heading(3, "Portions and cost")
    names = [f"{at}. {food['name']}" for at, food in enumerate(foods, start=1)]
    rows = list(zip(names, *(cells for _, cells in shown), strict=True))
    yield table(["", *(head for head, _ in shown)], rows)
