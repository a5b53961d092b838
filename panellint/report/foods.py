"""Foods for their owners: a sheet of one, a range on one page, and slides to talk through.

No food is ranked above another: the foods stand in the order of their names, complete foods apart
from toppers, treats and supplements, dogs apart from cats.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from panellint.core.text import fold_name
from panellint.nutrition.energy import DailyNeed
from panellint.report.blocks import Block
from panellint.report.owner import Owner
from panellint.report.writing import document
from panellint.results.foods import ComparedFood, Comparison, Plan
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
    own = has_own_energy(owner.food for owner in foods)
    bodies: dict[tuple[tuple[str, ...], str], list[tuple[Owner, str]]] = {}
    for owner, name in zip(foods, names, strict=True):
        bodies.setdefault((owner.context.animals, owner.group), []).append((owner, name))
    groups = []
    for species, animals in _ANIMALS.items():
        for group, title in data("words/sheet")["groups"].items():
            if inside := bodies.get((species, group)):
                # No day is made of treats and toppers.
                daily = {} if group == "other" else needs or {}
                need = daily.get(species[0] if len(species) == 1 else ANY)
                comparison, rows = _compared(inside, need, own)
                id = "-".join((group, *species))
                groups.append((id, f"{title} {animals}", rows, comparison, need))
    return document(
        "range", count=len(foods), day=day, shared=shared, groups=groups, energy=ENERGY[own]
    )


def _compared(
    inside: Sequence[tuple[Owner, str]], need: DailyNeed | None, own: bool
) -> tuple[Comparison, list[tuple[Owner, str, ComparedFood]]]:
    """Returns foods of one kind side by side, and each with its name and its figures."""
    foods = [replace(food.food, name=name, path=str(at)) for at, (food, name) in enumerate(inside)]
    daily = {} if need is None else dict.fromkeys((inside[0][0].context.species or ANY, ANY), need)
    comparison = compare(foods, basis="dry matter", sort_by="name", needs=daily, own=own)
    by_place = {int(row["path"]): row for row in comparison["foods"]}
    return comparison, [(*owner, by_place[at]) for at, owner in enumerate(inside)]


def slides(owners: Sequence[Owner], day: str) -> Iterator[Block]:
    """Yields one food a page, to talk through; read on `day`."""
    return document("slides", owners=owners, day=day)


def sheet(owner: Owner, day: str, plan: Plan | None = None) -> Iterator[Block]:
    """Yields the owner's page of one food, read on `day`; `plan` is a day's bowl of it, where an
    animal is given."""
    return document("sheet", owner=owner, day=day, plan=plan)


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
