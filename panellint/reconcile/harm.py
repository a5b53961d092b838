"""Ingredients of the batch that harm the species, those that the label leaves out among them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from panellint import lint
from panellint.batch.formula import Component
from panellint.checks.choosing import Choice
from panellint.declared import Ingredient
from panellint.findings import Certainty, Observation
from panellint.reconcile.case import BatchCase, batch_case
from panellint.reconcile.listing import percent
from panellint.source import Span

if TYPE_CHECKING:
    from panellint.case import Case
    from panellint.known import Hazard
    from panellint.packs import Rule

_SPECIES = ("dog", "cat")


def hazards(case: Case, rule: Rule) -> Iterator[Observation]:
    """An ingredient with a hazard of the rule's `level`, with the part that is really there.

    What a rule of `check` says of such hazards on a label holds here too: which ingredients
    it leaves to other rules, and which harm only as a large part of the food. Their places are
    those of their weights.
    """
    found = batch_case(case)
    if found is None:
        return
    level = rule.parameters.text("level")
    check = rule.parameters.text("check")
    wanted = (found.species,) if found.species else _SPECIES
    places = {
        id(component): path
        for path, components in found.matching.own.items()
        for component in components
    }
    spans = {entry.path: entry.name_span for entry in found.declaration.walk()}
    by_weight = sorted(found.formula.components, key=lambda c: -c.share)
    for rank, component in enumerate(by_weight):
        known = component.known
        worst = [
            hazard
            for hazard in (known.hazards if known else ())
            if hazard.level == level and any(one in hazard.species for one in wanted)
        ]
        if not worst or not component.share:
            continue
        path = places.get(id(component))
        where = spans[path] if path is not None else found.label.declaration_span
        if _matters(found, check, level, component, where, rank):
            yield _observation(component, worst, where)


def _matters(
    case: BatchCase, check: str, level: str, component: Component, where: Span, rank: int
) -> bool:
    entry = Ingredient(component.name, where, where, (rank,), component.match)
    for other in case.settings.rules.values():
        if other.check != check or other.parameters.get("level") != level:
            continue
        if not lint.applies(other, case):
            continue
        if Choice(other.parameters["elsewhere"], other.path).fits(entry):
            return False
        for one in other.parameters.get("only-among-first", ()):
            if Choice(one["which"], other.path).fits(entry) and rank >= one["first"]:
                return False
    return True


def _observation(component: Component, worst: list[Hazard], where: Span) -> Observation:
    return Observation(
        where,
        Certainty.POSSIBLE,
        {
            "name": component.name,
            "what": "; ".join(dict.fromkeys(hazard.what for hazard in worst)),
            "dose": worst[0].dose or "no dose is published",
            "from": worst[0].source + ("" if worst[0].confirmed else " (from memory)"),
        },
        rests_on=("batch sheet",),
        proof=(f"{component.name} is {percent(component.share)} of the mix",),
    )
