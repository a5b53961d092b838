"""Ingredients that a rule bars, or wants looked at, wherever they stand or high in the list.

One finding at the first of them, the others named with it.
"""

from collections.abc import Iterator

from panellint.analysis.context import LabelContext
from panellint.analysis.list_position import standing
from panellint.core.findings import Certainty, Observation, Related
from panellint.ingredients.model import Ingredient
from panellint.ingredients.selector import Choice, Listing, listing
from panellint.rulepacks.model import Rule


def check(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds ingredients that a rule bars or asks about, in the list or in a part of it."""
    which = rule.parameters.built("which", Choice)
    ingredients = _in_part(context, rule, which.of(listing(context)))
    if not ingredients and context.label.additives and "among-first" not in rule.parameters:
        ingredients = which.of(context.once(_additives))
    if not ingredients or len(ingredients) < rule.parameters.number("at-least"):
        return
    first = ingredients[0]
    listed = bool(first.path)
    yield Observation(
        which.place(context, first),
        Certainty(rule.parameters.text("certainty")),
        values={
            "name": first.name,
            "names": list(dict.fromkeys(entry.name for entry in ingredients)),
            "number": len(ingredients),
            "species": context.species or "pet",
            **(standing(context, first).values if listed else _UNLISTED),
        },
        rests_on=("order",) if "among-first" in rule.parameters else (),
        related=tuple(Related(which.place(context, e), "this one too") for e in ingredients[1:]),
    )


#: What is said of the place of an additive that stands outside the list.
_UNLISTED = {"place": "among the additives", "share": "a small part", "least": 0.0, "most": 100.0}


def _additives(context: LabelContext) -> Listing:
    """Returns what the EU heading of additives declares, in the form of entries without a place."""
    return Listing(
        [
            Ingredient(
                name=additive.printed,
                name_span=additive.span,
                span=additive.span,
                path=(),
                match=context.lookup(additive.printed),
            )
            for additive in context.label.additives
        ]
    )


def _in_part(context: LabelContext, rule: Rule, ingredients: list[Ingredient]) -> list[Ingredient]:
    """Returns those of the chosen that stand in the part of the list that a rule looks at."""
    if ingredients and "before" in rule.parameters:
        ends = rule.parameters.built("before", Choice).of(listing(context))
        end = min((entry.path[0] for entry in ends), default=len(context.declaration.ingredients))
        ingredients = [entry for entry in ingredients if entry.path[0] < end]
    if ingredients and "among-first" in rule.parameters:
        most = rule.parameters.number("among-first")
        ingredients = [entry for entry in ingredients if entry.path[0] < most]
    return ingredients
