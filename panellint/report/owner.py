"""One food in plain words: what its owner's page, its slide and its row of a range have in common.

Sentences are short and use everyday words; what a label prints stands in them as it is printed.
"""

import os
from collections.abc import Iterator
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.analysis.likely_answers import helpful_questions, likely_parts, likely_share
from panellint.analysis.nutrition_input import calories_clash
from panellint.analysis.shares_report import shares
from panellint.analysis.starch_roles import Answer, answers
from panellint.core.phrases import listed
from panellint.ingredients.model import Ingredient
from panellint.nutrition.serialize import target_of
from panellint.output.document import Printed, RangeRow
from panellint.results.likely import HelpfulQuestion, LikelyRange
from panellint.results.nutrition import CarbohydrateTarget
from panellint.results.shares import JudgedPromise
from panellint.rulepacks.data import data
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
