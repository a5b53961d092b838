"""Several foods for their owners: a range on one page, and slides to talk through.

No food is ranked above another: the foods stand in the order of their names, complete foods apart
from toppers, treats and supplements, dogs apart from cats.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from panellint.core.phrases import capital, counted
from panellint.core.text import fold_name
from panellint.nutrition.energy import DailyNeed
from panellint.output.document import Heading, Items, Paragraph, Printed, Ranges, Table, money
from panellint.output.render_options import CAUTION
from panellint.report.blocks import Block
from panellint.report.owner import (
    Owner,
    band_words,
    harm_words,
    how_much,
    promise_words,
    questions,
    what_it_is,
)
from panellint.report.saying import figure
from panellint.results.foods import ComparedFood
from panellint.rulepacks.data import data
from panellint.tasks.compare import ANY, ENERGY, compare, has_own_energy

#: What may stand between a brand and the rest of a name.
_JOINTS = "–—-:|· "
_ANIMALS = {
    ("dog",): "for dogs",
    ("cat",): "for cats",
    ("dog", "cat"): "for dogs and cats",
    (): "for an animal that is not said",
}


def range_page(
    owners: Sequence[Owner], day: str, needs: dict[str, DailyNeed] | None = None
) -> Iterator[Block]:
    """Yields foods side by side on dry matter, with likely figures and cost; `needs` are the daily
    needs by species, for a day's amount."""
    foods = sorted(owners, key=lambda owner: (owner.name.casefold(), owner.food.path))
    shared, names = _without_shared([owner.name for owner in foods])
    yield Heading(1, counted(len(foods), "food"))
    brand = f" All names begin with “{shared}”, left out here." if shared else ""
    yield Paragraph(f"Read on {day}. In percent of the food without its water.{brand}")
    own = has_own_energy(owner.food for owner in foods)
    bodies: dict[tuple[tuple[str, ...], str], list[tuple[Owner, str]]] = {}
    for owner, name in zip(foods, names, strict=True):
        bodies.setdefault((owner.context.animals, owner.group), []).append((owner, name))
    for species, animals in _ANIMALS.items():
        for group, title in data("words/sheet")["groups"].items():
            if inside := bodies.get((species, group)):
                # No day is made of treats and toppers.
                daily = {} if group == "other" else needs or {}
                need = daily.get(species[0] if len(species) == 1 else ANY)
                yield Heading(2, f"{title} {animals}", "-".join((group, *species)))
                yield from _table(inside, need, own)
    yield Heading(2, "Keep in mind", "caution")
    yield Paragraph(
        "Protein and fat are as the label prints them: the least there is, or a declared "
        "value. Meat and carbohydrate are likely bands: nine of ten foods with such a label lie "
        f"in them. Meat is weighed raw, of the whole mix. {ENERGY[own]}"
    )
    yield Paragraph(CAUTION, "caution")


def _table(
    inside: Sequence[tuple[Owner, str]], need: DailyNeed | None, own: bool
) -> Iterator[Block]:
    rows = [replace(food.food, name=name, path=str(at)) for at, (food, name) in enumerate(inside)]
    daily = {} if need is None else dict.fromkeys((inside[0][0].context.species or ANY, ANY), need)
    comparison = compare(rows, basis="dry matter", sort_by="name", needs=daily, own=own)
    by_place = {int(row["path"]): row for row in comparison["foods"]}
    headings = ["Food", "Form", "Protein", "Fat", "Carbohydrate", "Meat", "kcal/kg as fed"]
    priced = any(row["cost_per_1000_kcal"] is not None for row in comparison["foods"])
    headings += ["1000 kcal cost"] * priced + ["g a day"] * (need is not None)
    lines = []
    for at, (owner, name) in enumerate(inside):
        row = by_place[at]
        form = owner.context.form
        said = form.moisture_class or "not said" if form.id == "unknown" else form.id
        line: list[str] = [Printed(name, owner.context.language), said]
        line += [_share(row, part) for part in ("protein", "fat")]
        line += [band_words(band) if band else "–" for band in (owner.carbohydrate, owner.meat)]
        line.append(figure(row["kcal_per_kg"], 0))
        if priced:
            line.append(money(row["cost_per_1000_kcal"], row["currency"]))
        if need is not None:
            line.append(figure(row["grams_per_day"], 0))
        lines.append(tuple(line))
    yield Table(tuple(headings), tuple(lines), (2, 3, 6), kind="stack")
    for words in comparison["words"][:1]:
        yield Paragraph(words)
    yield from (Paragraph(capital(words)) for words in comparison["notes"] if words != ENERGY[own])
    if need is not None:
        yield Paragraph(f"A day means {need.kcal:.0f} kcal: {need.title}, {need.formula}.")


def _share(row: ComparedFood, part: str) -> str:
    value = row["values"][part]
    return "–" if value is None else f"{value:.0f} %"


def slides(owners: Sequence[Owner], day: str) -> Iterator[Block]:
    """Yields one food a page, to talk through; read on `day`."""
    yield Heading(1, counted(len(owners), "food"))
    yield Paragraph(f"Read on {day}. {CAUTION}", "caution")
    for at, owner in enumerate(owners, 1):
        yield Heading(2, owner.name, f"food-{at}")
        yield Paragraph(" ".join(what_it_is(owner)), "usual")
        if harm := tuple(harm_words(owner)):
            yield Items(harm)
        if owner.entries:
            yield Ranges(("Ingredient", "Likely part of the mix"), owner.entries, kind="likely")
        yield from (paragraph._replace(kind="usual") for paragraph in how_much(owner))
        yield Items((*promise_words(owner), *questions(owner)[:1]))


def _without_shared(names: Sequence[str]) -> tuple[str, list[str]]:
    """Returns the words that all names begin with, such as a brand, and the names without."""
    words = [name.split() for name in names]
    alike = [[fold_name(word) for word in rest] for rest in words]
    count, most = 0, min(map(len, words), default=0) - 1
    while count < most and len({rest[count] for rest in alike}) == 1:
        count += 1
    if len(names) < 2 or not count:
        return "", list(names)
    return " ".join(words[0][:count]), [" ".join(word[count:]).lstrip(_JOINTS) for word in words]
