"""Foods for their owners: a sheet of one, a range on one page, and slides to talk through.

No food is ranked above another: the foods stand in the order of their names, complete foods apart
from toppers, treats and supplements, dogs apart from cats.
"""

import os
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple, cast

from panellint.analysis.context import LabelContext
from panellint.analysis.likely_answers import helpful_questions, likely_parts, likely_share
from panellint.analysis.nutrition_input import calories_clash, statement_of
from panellint.analysis.shares_report import shares
from panellint.analysis.starch_roles import Answer, answers
from panellint.core.phrases import listed
from panellint.core.text import fold_name
from panellint.ingredients.model import Ingredient
from panellint.nutrition.energy import DailyNeed
from panellint.nutrition.serialize import target_of
from panellint.output.document import Printed, RangeRow, Ranges, joined
from panellint.output.document_template import written
from panellint.report.blocks import (
    Block,
    Details,
    Legend,
    Points,
    percent,
    premises,
    range_words,
    resting,
    rounded,
)
from panellint.results.foods import ComparedFood, Comparison, Plan
from panellint.results.nutrition import CarbohydrateTarget
from panellint.results.shares import HelpfulQuestion, JudgedPromise, LikelyRange
from panellint.rulepacks.data import data
from panellint.tasks.bowl import harmful
from panellint.tasks.compare import ANY, ENERGY, compare, has_own_energy
from panellint.tasks.food import Food, food_of

#: The rule whose limits say what binds; a settings file may change them.
_BINDERS = "starch-as-bulk"


class Owner(NamedTuple):
    """One food as its owner gets it told.

    `group` is complete, other (a topper, a treat, a supplement) or unsaid; `consistent` is False
    where not all that the label says can be true. `meat` is the likely
    part of meat and fish in the mix and `carbohydrate` that of the dry matter, in percent; None
    where nothing can be said. `entries` are the first of the list; `clash` is True where the
    calorie line does not fit the rest.
    """

    context: LabelContext
    food: Food
    name: Printed
    group: str
    consistent: bool
    meat: LikelyRange | None
    carbohydrate: LikelyRange | None
    entries: tuple[RangeRow, ...]
    promises: tuple[JudgedPromise, ...]
    target: CarbohydrateTarget | None
    clash: bool
    helpful: tuple[HelpfulQuestion, ...]

    @property
    def animals(self) -> str:
        """Returns dogs, cats, both, or pets where the label does not say."""
        return listed(f"{kind}s" for kind in self.context.animals) or "pets"


def file_of(context: LabelContext) -> str:
    """Returns the file's name alone: a report is handed on, and folders are nobody's business."""
    return "standard input" if context.source.path == "-" else os.path.basename(context.source.path)


def owner(context: LabelContext) -> Owner:
    """Returns what is to be told of one food."""
    food, proven = food_of(context), shares(context)
    likely = {tuple(share["path"]): share["likely"] for share in proven["ingredients"]}
    complete = food.statement.facts.complete
    aside = complete is False or any(use in data("words/sheet")["uses"] for use in context.uses)
    part = likely_parts(context).get("carbohydrate")
    return Owner(
        context=context,
        food=food,
        name=Printed(context.label.product_name or file_of(context), context.language),
        group="other" if aside else "complete" if complete else "unsaid",
        consistent=proven["consistent"],
        meat=_meat(context) if proven["consistent"] else None,
        carbohydrate=part["dry_matter"] if part else None,
        entries=tuple(_entries(context, likely)),
        promises=tuple(proven["promises"]),
        target=target_of(food.statement, part),
        clash=bool(calories_clash(context)),
        helpful=tuple(helpful_questions(context)),
    )


def _meat(context: LabelContext) -> LikelyRange | None:
    meat = {*data("words/sheet")["meat"], *data("words/sheet")["meat-groups"]}
    weights: dict[tuple[int, ...], int] = {}
    for leaf in sorted(context.formulas.tree.leaves, key=lambda leaf: len(leaf.path)):
        known = leaf.ingredient.match.known if leaf.ingredient.match else None
        counts = known is not None and not meat.isdisjoint((known.kind, known.id))
        # The weight of a group of which only some is named counts for what is in it, too.
        above = sum(weights.get(leaf.path[:depth], 0) for depth in range(1, len(leaf.path)))
        weights[leaf.path] = counts - above
    return likely_share(context, weights) if any(weights.values()) else None


def _entries(
    context: LabelContext, likely: dict[tuple[int, ...], LikelyRange | None]
) -> Iterator[RangeRow]:
    """Yields the first entries of the list, why each is there, and how much is likely."""
    words = data("words/sheet")
    for entry in context.declaration.ingredients[: words["entries"]]:
        band = likely.get(entry.path) if not entry.members else _group(context, entry)
        kind = entry.match.known.kind if entry.match else ""
        what = words["kinds"][kind] if kind else words["unknown"]
        notes = (words["group"] if entry.members else what,)
        low, high = (band["low"], band["high"]) if band else (None, None)
        share = f"likely {band_words(band)}" if band else "the label does not say how much"
        yield RangeRow(Printed(entry.name, context.language), low, high, share, notes)


def _group(context: LabelContext, entry: Ingredient) -> LikelyRange | None:
    return likely_share(context, {entry.path: 1}) if context.formulas.consistent else None


def band_words(band: LikelyRange) -> str:
    """Returns such as "20 to 35 %": whole figures, since a finer one would be false."""
    low, high = f"{band['low']:.0f}", f"{band['high']:.0f}"
    return f"{low} %" if low == high else f"{low} to {high} %"


def starch_answers(context: LabelContext) -> list[Answer]:
    """Returns each starch and gum of a food with what it does there."""
    rule = context.settings.rules.get(_BINDERS)
    return list(answers(context, rule.parameters)) if rule else []


def everyday(asked: str) -> str:
    """Returns a question in everyday words."""
    for words, plain in data("words/sheet")["asked"].items():
        asked = asked.replace(words, plain)
    return asked


_DOCUMENTS = Path(__file__).parent / "documents"
_FILTERS = (band_words, everyday, file_of, joined, percent, premises, resting, rounded, tuple)
_NAMES = {
    "Details": Details,
    "Legend": Legend,
    "Points": Points,
    "Printed": Printed,
    "RangeRow": RangeRow,
    "Ranges": Ranges,
    "harmful": harmful,
    "range_words": range_words,
    "starch_answers": starch_answers,
    "statement_of": statement_of,
}


def document(name: str, /, **values: object) -> Iterator[Block]:
    """Yields the document of a name, written of some values."""
    blocks = written(_DOCUMENTS / f"{name}.j2", {**_NAMES, **values}, *_FILTERS)
    return cast(Iterator[Block], blocks)


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
