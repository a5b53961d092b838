"""Starches and gums: a high human glycaemic index where they can be a main part of the food, and
whether they bind or fill at the place where they stand.

The index belongs to a food in the form that was tested; what is parted from a plant (starch,
protein, fibre) has none of its own unless somebody tested it. ISO 26642:2010 sets the classes. A
value that was not read first-hand is said to be such. What binds is a judgement of the trade; the
bound that decided and the published range are named apart from it.
"""

from collections.abc import Iterator

from panellint.analysis.context import LabelContext
from panellint.analysis.list_position import ListPosition, standing
from panellint.analysis.starch_roles import answers
from panellint.catalogue.model import Glycaemic
from panellint.core.findings import Certainty, Observation, Related
from panellint.core.numbers import number
from panellint.core.phrases import listed
from panellint.ingredients.model import Ingredient
from panellint.rulepacks.model import Rule


def check(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds the high-index starches of a label that may be main ingredients."""
    if not set(context.uses).isdisjoint(rule.parameters.texts("not-for")):
        return
    first, high_from = rule.parameters.number("among-first"), rule.parameters.number("high-from")
    starches: list[tuple[Ingredient, ListPosition, list[Glycaemic]]] = []
    for entry in context.entries:
        if entry.path[0] >= first:
            break
        tested = entry.match.known.glycaemic if entry.match else ()
        if not tested or class_of(tested, high_from) != "high":
            continue
        stands = standing(context, entry)
        if stands.bounds and stands.high >= rule.parameters.number("share-at-least"):
            starches.append((entry, stands, list(tested)))
    if not starches:
        return
    yield Observation(
        starches[0][0].name_span,
        Certainty.PRACTICE,
        values={
            "name": starches[0][0].name,
            "starches": listed(_spelled_out(*starch) for starch in starches),
            "high": high_from,
        },
        rests_on=tuple(dict.fromkeys(p for _, stands, _ in starches for p in stands.rests_on)),
        proof=tuple(_proof(entry, index) for entry, _, tested in starches for index in tested),
        related=tuple(Related(entry.name_span, "another one") for entry, _, _ in starches[1:]),
    )


def class_of(tested: tuple[Glycaemic, ...], high_from: float) -> str:
    """Returns “high” where every tested form is at the limit or above, "" where none is, "doubtful"
    where the forms differ."""
    high = [index.value >= high_from for index in tested]
    if not any(high):
        return ""
    return "high" if all(high) else "doubtful"


def _spelled_out(entry: Ingredient, stands: ListPosition, tested: list[Glycaemic]) -> str:
    values = "; ".join(
        f"{number(index.value)} for {index.form}{'' if index.confirmed else ', not confirmed'}"
        for index in tested
    )
    return f"{entry.name} ({stands.place}, {stands.share} of the mix; human GI {values})"


def _proof(entry: Ingredient, tested: Glycaemic) -> str:
    memory = "" if tested.confirmed else ", from memory"
    return f"{entry.name}: {number(tested.value)} for {tested.form} ({tested.source}{memory})"


def role(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds the starches and gums of which the answer (they bind, or fill) is the rule's."""
    wanted = rule.parameters.text("answer")
    for answer in answers(context, rule.parameters):
        if answer.which == wanted:
            yield Observation(
                answer.entry.name_span,
                Certainty.PRACTICE,
                values={
                    "name": answer.entry.name,
                    "why": answer.why,
                    "published": answer.published,
                    "form": context.form.id,
                    **answer.stands.values,
                },
                rests_on=answer.stands.rests_on,
                proof=answer.sources,
            )
