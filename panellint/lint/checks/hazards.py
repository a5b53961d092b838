"""Ingredients that harm the species, by the graded hazards of the catalogue, and those that a rule
bars, or wants looked at, wherever they stand or high in the list.

What the catalogue says is wrongly feared gives no finding at any level. A hazard depends on
the dose, so it is never more than possible; the share bound is turned into a daily dose with
what an animal eats (`rules/data/feeding.yaml`).
"""

import re
from collections.abc import Iterator
from typing import Any

from panellint.analysis.context import LabelContext
from panellint.analysis.list_position import ListPosition, standing
from panellint.catalogue.model import Hazard
from panellint.core.findings import Certainty, Observation, Related
from panellint.core.numbers import number
from panellint.core.source import Span
from panellint.ingredients.model import Ingredient
from panellint.ingredients.selector import Choice, Listing, listing
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule

SPECIES = ("dog", "cat")


def check(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds declared ingredients that harm the species, by the level of their hazard.

    What harms only as a large part of the diet is not looked for in what is fed beside a diet. A
    hazard that was not read first-hand is a judgement.
    """
    level = rule.parameters.text("level")
    if not context.once(_dangers):
        return
    fed_beside = rule.parameters.texts("beside")
    beside = context.is_beside_a_diet if fed_beside else False
    there = context.market in rule.parameters.get("elsewhere-in", (context.market,))
    elsewhere = rule.parameters.built("elsewhere", Choice) if there else None
    limits = rule.parameters.built("only-among-first", _chosen)
    for entry, hazards in context.once(_dangers):
        worst = [hazard for hazard in hazards if hazard.level == level]
        if not worst or (elsewhere and elsewhere.fits(entry)):
            continue
        firsts = [limit["first"] for limit in limits if limit["which"].fits(entry)]
        # A member of a group stands where it would in the group's place at the earliest.
        place = entry.path[0] + sum(entry.path[1:]) + _is_the_less(context, entry)
        if all(place < first and not beside for first in firsts):
            yield _observation(context, entry, worst, _little(context, rule, entry))


def _is_the_less(context: LabelContext, entry: Ingredient) -> bool:
    """Returns whether percentages say that an entry is less than half of what it stands in."""
    around = context.entry_at.get(entry.path[:-1])
    own, whole = entry.percent, around.percent if around else None
    return bool(own and whole and own.of is whole.of and 2 * own.value < whole.value)


def _little(context: LabelContext, rule: Rule, entry: Ingredient) -> dict[str, object]:
    """Returns the marker (salt, a premix) behind which this much of it is far below what harms, and
    the percentage that it usually keeps under there; empty where there is none."""
    for little in rule.parameters.built("little", _chosen):
        if context.species not in little["species"] or not little["which"].fits(entry):
            continue
        after = little["after"].among(context.declaration.ingredients)
        marker = next((marked.name for marked in after if marked.path[0] < entry.path[0]), "")
        if marker:
            return {"marker": marker, "under": little["under"]}
    return {}


def _dangers(context: LabelContext) -> list[tuple[Ingredient, tuple[Hazard, ...]]]:
    """Returns the declared ingredients that have hazards, with these."""
    feared = [
        entry for entry in context.entries if entry.match is not None and entry.match.known.hazards
    ]
    dangers = [(entry, hazards_of(context, entry)) for entry in feared]
    return [(entry, hazards) for entry, hazards in dangers if hazards]


def hazards_of(context: LabelContext, entry: Ingredient) -> tuple[Hazard, ...]:
    """Returns the hazards of an ingredient to the species that the food is for; to either where the
    label names none, or both."""
    if entry.match is None or not entry.match.known.hazards:
        return ()
    wanted = (context.species,) if context.species else SPECIES
    return tuple(h for h in entry.match.known.hazards if any(s in h.species for s in wanted))


def _observation(
    context: LabelContext, entry: Ingredient, hazards: list[Hazard], little: dict[str, object]
) -> Observation:
    stands = standing(context, entry)
    first = hazards[0]
    judged = bool(little) or not any(hazard.confirmed for hazard in hazards)
    species = list(dict.fromkeys(s for h in hazards for s in SPECIES if s in h.species))
    if context.species:
        species = [context.species]
    return Observation(
        entry.name_span,
        Certainty.PRACTICE if judged else Certainty.POSSIBLE,
        variant="little" if little else "",
        values={
            "name": entry.name,
            "marker": "",
            "under": "",
            **little,
            "animals": [f"{animal}s" for animal in species],
            "what": "; ".join(dict.fromkeys(h.what for h in hazards)),
            "dose": first.dose or "no dose is published",
            "from": "; ".join(
                dict.fromkeys(h.source + ("" if h.confirmed else " (from memory)") for h in hazards)
            ),
            "daily": daily(context, stands),
            **stands.values,
        },
        rests_on=stands.rests_on,
    )


def _chosen(rows: list[dict[str, Any]], where: str) -> list[dict[str, Any]]:
    """Returns rows with their choices of ingredients compiled."""
    return [
        {
            key: Choice(value, where) if key in ("which", "after") else value
            for key, value in row.items()
        }
        for row in rows
    ]


def daily(context: LabelContext, stands: ListPosition) -> str:
    """Returns the share as a daily dose, in words: "at most 0.2 g per kg of body weight a day";
    what water leaves in processing is not counted. A food that is fed beside a diet is taken as
    the part of the day that is customary for such (practice)."""
    eaten = data("data/feeding")["eaten"].get(context.form.moisture_class or "dry")
    if eaten is None or stands.bounds is None:
        return "the daily dose is open"
    part, beside = 1.0, ""
    if context.is_beside_a_diet:
        percent = data("data/nutrition")["incomplete_energy_share"]["most"]
        part, beside = percent / 100, f"as {number(percent)} % of what is eaten (practice), "
    low, high = (number(round(part * eaten[end], 2)) for end in ("low", "high"))
    most = stands.most / 100 * part * eaten["high"]
    return (
        f"{beside}at {low} to {high} g of such food per kg of body weight a day, "
        f"{number(round(most, 4))} g/kg at most"
    )


def barred(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds ingredients that a rule bars or asks about, in the list or in a part of it."""
    which = rule.parameters.built("which", Choice)
    ingredients = _in_part(context, rule, which.of(listing(context)))
    if not ingredients and "among-first" not in rule.parameters:
        ingredients = which.of(context.once(_listed_additives))
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


#: An additive among others, with its amount; what stands behind its name.
_ADDITIVE = re.compile(r"[^\s,;:.][^,;:\n]*[^\s,;:.]")
_AMOUNT = re.compile(r"[\s(]*\d.*")


def _listed_additives(context: LabelContext) -> Listing:
    """Returns what the EU heading of additives declares, with amounts and without, in the form of
    entries without a place."""
    printed = (
        Span(section.body.start + piece.start(), section.body.start + piece.end())
        for section in context.sections_of("additives")
        for piece in _ADDITIVE.finditer(section.text)
    )
    names = ((span, _AMOUNT.sub("", context.source.slice(span))) for span in printed)
    return Listing([Ingredient(name, span, span, (), context.lookup(name)) for span, name in names])


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
