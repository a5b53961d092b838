"""What it would take to reach a target: what to add to the food, from `blend`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from panellint.core.errors import NotComputable
from panellint.core.phrases import listed
from panellint.nutrition.targets import Target
from panellint.report.model import Toward, Way
from panellint.report.saying import capital, figure
from panellint.rulepacks.data import data
from panellint.tasks.blend import Portion, blend, portion_of, portion_of_known

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.nutrition.assessment import Assessment
    from panellint.results.foods import Blend
    from panellint.results.nutrition import Assessed, CarbohydrateData

_RULES = "data/reading"
_SHARE = "energy share"
_THERE = "The food is there already; nothing need be added."
_RAW = "What is added is weighed raw; its figures are the middle of literature ranges."


def toward(
    context: LabelContext, statement: Assessment, told: Assessed
) -> tuple[tuple[Toward, ...], str]:
    """Ways to a carbohydrate and a protein target, and why there are none where there are none.

    The targets are those of `rules/data/carbohydrate.yaml`: the trade's for carbohydrate,
    and what animals chose in the first study there for protein.
    """
    if not context.species:
        return (), "Targets differ for dogs and cats, and the label does not say which it is for."
    apart = [use for use in context.uses if use in data(_RULES)["no-target-for"]]
    if apart:
        return (), f"Not asked: it is sold as {listed(f'a {use}' for use in apart)}, not as a bowl."
    try:
        base = portion_of(statement, "this food")
    except NotComputable as fault:
        return (), f"Cannot be worked out: {fault.reason}."
    added = list(_added(context))
    found = []
    for target, whose in _targets(told["carbohydrate"]):
        found.append(_reached(base, added, target, whose))
    return tuple(found), "" if found else "No target is known for this animal."


def _added(context: LabelContext) -> Iterator[Portion]:
    for row in data(_RULES)["added"]:
        try:
            yield portion_of_known(context.catalogue.known(row["id"]), row["name"])
        except NotComputable:
            continue


def _targets(carbohydrate: CarbohydrateData) -> Iterator[tuple[Target, str]]:
    trade = carbohydrate["target"]
    if trade:
        yield (
            Target("carbohydrate", _SHARE, trade["high"], "at most"),
            "a rule of the trade without a source, not a requirement",
        )
    study = next((one for one in carbohydrate["research"] if one["protein"] is not None), None)
    if study and study["protein"] is not None:
        yield (
            Target("protein", _SHARE, study["protein"], "at least"),
            f"what animals ate in one study ({study['what']}; {study['source']}), not a "
            "requirement",
        )


def _reached(base: Portion, added: Sequence[Portion], target: Target, whose: str) -> Toward:
    ways: list[Way] = []
    words: list[str] = []
    apart: list[float] = []
    most = 0.0
    for portion in added:
        try:
            found = blend(base, portion, target)
        except NotComputable as fault:
            words.append(f"{portion.name}: {fault.reason}")
            continue
        if found["possible"] and found["share_percent"] == 0:
            return Toward(str(target), whose, (), (_THERE,))
        way = _way(portion, found)
        ways.append(way)
        completeness = found["completeness"]
        if completeness["over"] and way.share is not None:
            apart.append(completeness["incomplete_energy_percent"] or 0.0)
            most = completeness["customary_most_percent"]
    if apart and base.complete is False:
        words.append("This food is not complete by itself, and no such bowl would be.")
    elif apart:
        low, high = figure(min(apart), 0), figure(max(apart), 0)
        words.append(
            f"That way {low if low == high else f'{low} to {high}'} % of the energy comes from "
            f"food that is not complete. More than {figure(most)} % (a rule of the trade) can "
            "leave the whole diet short of what a complete food holds: ask a veterinarian or a "
            "qualified nutritionist first."
        )
    if any(way.share is not None for way in ways):
        words.append(_RAW)
    elif ways:
        reasons = "; ".join(f"{way.added}: {way.then}" for way in ways)
        return Toward(str(target), whose, (), (f"None of these gets there. {capital(reasons)}.",))
    return Toward(str(target), whose, tuple(ways), tuple(dict.fromkeys(words)))


def _way(portion: Portion, found: Blend) -> Way:
    if not found["possible"]:
        return Way(portion.name, None, None, None, "no amount of it is enough")
    shares = found["energy"]["shares"]
    then = ", ".join(f"{part} {figure(shares[part])} %" for part in shares)
    return Way(
        portion.name,
        found["added_grams_per_kg_of_base"],
        found["share_percent"],
        found["added_energy_percent"],
        then,
    )
