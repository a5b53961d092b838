"""Foods side by side, for people: the object of `compare --format json` as a table."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, TextIO

from panellint.output.console import Page, figure
from panellint.output.render_options import CAUTION, RenderOptions

Data = Mapping[str, Any]

_UNITS = {
    "as fed": "percent as fed",
    "dry matter": "percent of the dry matter",
    "per 1000 kcal": "grams per 1000 kcal",
    "energy share": "percent of the energy",
}
_HEADS = {"carbohydrate": "carb.", "moisture": "water"}


def write(data: Data, stream: TextIO, look: RenderOptions) -> None:
    """The page of a comparison."""
    page = Page(stream, look)
    page.title(f"{len(data['foods'])} foods, in {_UNITS[data['basis']]}, by {data['sorted_by']}")
    _figures(page, data)
    _cost(page, data["foods"], data["animal"])
    if data["words"]:
        page.section("What the printed numbers hide")
        for sentence in data["words"]:
            page.line(sentence)
    _remarks(page, data)
    page.section("Caution")
    page.line(CAUTION)


def _figures(page: Page, data: Data) -> None:
    foods = data["foods"]
    parts = [
        part
        for part in ("protein", "fat", "fibre", "moisture", "ash", "carbohydrate")
        if any(food["values"][part] for food in foods)
    ]
    page.line("")
    rows = [
        [
            f"{at}. {food['name']}",
            *(figure(food["values"][part]) + "*" * (part in food["assumed"]) for part in parts),
            figure(food["kcal_per_kg"], 0),
        ]
        for at, food in enumerate(foods, start=1)
    ]
    heads = ["", *(_HEADS.get(part, part) for part in parts), "kcal/kg"]
    page.table(heads, rows, right=range(1, len(heads)))
    if any(food["assumed"] for food in foods):
        page.line("* usual for such a food, not declared.")
    page.line("Energy is the label's own where it has one, else by the equation of the market.")


def _cost(page: Page, foods: Sequence[Data], animal: Data | None) -> None:
    """What it costs and how much a day takes, where any of it is known."""
    columns: list[tuple[str, Callable[[Data], str]]] = [
        ("1000 kcal cost", lambda food: _money(food["cost_per_1000_kcal"], food["currency"])),
        ("grams a day", lambda food: figure(food["grams_per_day"], 0)),
        ("a day costs", lambda food: _money(food["cost_per_day"], food["currency"])),
    ]
    keys = ("cost_per_1000_kcal", "grams_per_day", "cost_per_day")
    shown = [
        column
        for column, key in zip(columns, keys, strict=True)
        if any(food[key] is not None for food in foods)
    ]
    if not shown:
        return
    page.section("Portions and cost")
    rows = [
        [f"{at}. {food['name']}", *(told(food) for _, told in shown)]
        for at, food in enumerate(foods, start=1)
    ]
    heads = ["", *(head for head, _ in shown)]
    page.table(heads, rows, right=range(1, len(heads)))
    if animal:
        kcal, low, high = (figure(animal[key], 0) for key in ("kcal_per_day", "low", "high"))
        page.line(
            f"The animal: {animal['title']}; {animal['formula']} = {kcal} kcal a day "
            f"({low} to {high} among animals; {animal['source']})."
        )


def _money(value: float | None, currency: str) -> str:
    return "-" if value is None else f"{value:.2f} {currency}".strip()


def _remarks(page: Page, data: Data) -> None:
    remarks = [f"{food['name']}: {why}" for food in data["foods"] for why in food["not_computed"]]
    if remarks or data["notes"]:
        page.section("Notes")
    for words in (*data["notes"], *remarks):
        page.line(words)
