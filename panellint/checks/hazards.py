"""Ingredients that harm the species, by the graded hazards of the catalogue.

What the catalogue says is wrongly feared gives no finding at any level. A hazard depends on
the dose, so it is never more than possible; the share bound is turned into a daily dose with
what an animal eats (`rules/practice/feeding.yaml`).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from panellint.checks.choosing import Choice
from panellint.checks.standing import Standing, standing
from panellint.declared import Ingredient
from panellint.findings import Certainty, Observation
from panellint.known import Hazard
from panellint.packs import data
from panellint.wording import number

if TYPE_CHECKING:
    from panellint.case import Case
    from panellint.packs import Rule

SPECIES = ("dog", "cat")


def check(case: Case, rule: Rule) -> Iterator[Observation]:
    """One observation for each declared ingredient with a hazard of the rule's `level`.

    `elsewhere` chooses, by market, those that another rule speaks of there. What harms only as
    a large part of the diet is looked for among so many first entries (`only-among-first`), and
    not at all in what is fed beside a diet (`beside`: uses).
    """
    level = rule.parameters.text("level")
    beside = not set(case.uses).isdisjoint(rule.parameters.get("beside", ()))
    elsewhere = Choice(rule.parameters["elsewhere"].get(case.market, []), rule.path)
    limits = [
        (Choice(one["which"], rule.path), one["first"])
        for one in rule.parameters.get("only-among-first", ())
    ]
    for entry in case.declaration.walk():
        worst = [hazard for hazard in hazards_of(case, entry) if hazard.level == level]
        if not worst or elsewhere.fits(entry):
            continue
        firsts = [first for which, first in limits if which.fits(entry)]
        if all(entry.path[0] < first and not beside for first in firsts):
            yield _observation(case, entry, worst)


def hazards_of(case: Case, entry: Ingredient) -> tuple[Hazard, ...]:
    """The hazards of an ingredient to the species that the food is for; to either where the
    label names none, or both."""
    if entry.match is None:
        return ()
    wanted = (case.species,) if case.species else SPECIES
    return tuple(h for h in entry.match.known.hazards if any(s in h.species for s in wanted))


def _observation(case: Case, entry: Ingredient, hazards: list[Hazard]) -> Observation:
    stands = standing(case, entry)
    first = hazards[0]
    species = list(dict.fromkeys(s for h in hazards for s in SPECIES if s in h.species))
    if case.species:
        species = [case.species]
    return Observation(
        entry.name_span,
        Certainty.POSSIBLE,
        values={
            "name": entry.name,
            "animals": [f"{one}s" for one in species],
            "what": "; ".join(dict.fromkeys(h.what for h in hazards)),
            "dose": first.dose or "no dose is published",
            "from": "; ".join(
                dict.fromkeys(h.source + ("" if h.confirmed else " (from memory)") for h in hazards)
            ),
            "daily": daily(case, stands),
            **stands.values,
        },
        rests_on=stands.rests_on,
    )


def daily(case: Case, stands: Standing) -> str:
    """The share as a daily dose, in words: "at most 0.2 g per kg of body weight a day"; what
    water leaves in processing is not counted."""
    eaten = data("practice/feeding")["eaten"].get(case.form.moisture_class or "dry")
    if eaten is None or stands.bounds is None:
        return "the daily dose is open"
    most = stands.high / 100 * eaten["high"]
    return (
        f"at {number(eaten['low'])} to {number(eaten['high'])} g of such food per kg of body "
        f"weight a day, {number(round(most, 4))} g/kg at most"
    )
