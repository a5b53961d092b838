"""What is in a food at a glance, as plain data for outlines and reports.

It tells and does not judge: the first entries with what they are and how much of them there
can be, the animals, where the vitamins and minerals of the profile come from, taste, keeping
and binding, and, for cats, what a cat must eat.
"""

from collections.abc import Iterable, Iterator
from typing import Any

from panellint.analysis.additive_register import element_of
from panellint.analysis.context import LabelContext
from panellint.analysis.list_position import standing
from panellint.analysis.nutrient_sources import names_of
from panellint.analysis.starch_roles import answers
from panellint.catalogue.model import CatalogueEntry
from panellint.core.once import once
from panellint.core.text import one_line
from panellint.ingredients.model import Ingredient
from panellint.ingredients.selector import Choice, Listing, names_one
from panellint.nutrition.profiles import NoProfile, authority_of, profile, stage_of
from panellint.results.outline import BinderRole, CatNeed, FirstEntry, Glance, NutrientSource
from panellint.rulepacks.data import data

_WHERE = "rules/words/glance.yaml"
#: The rule whose limits say what binds; a settings file may change them.
_BINDERS = "starch-as-bulk"
DECLARED, FOOD, PREMIX, NONE = "declared", "whole food", "unlisted premix", "none found"


def glance(context: LabelContext) -> Glance:
    """What is in the food, in printed order.

    `first`: name, kind, origin and species as the catalogue has them (None where the name is
    unknown), least and most in percent of the mix (None where no formula fits the label).
    `animals`: species to names; "" holds those whose animal is not named. `nutrients`: each
    vitamin and mineral that the profile asks for, `source` being declared, whole food,
    unlisted premix or none found, and the names it comes `from`. `palatants`, `preservatives`,
    `unknown`: names. `binders`: name, `does` (binds, bulk, holds shape, undecided) and why.
    `cat`: for cat foods, taurine, arachidonic acid and preformed vitamin A, in the same form
    as `nutrients`, with `not_from` for what is no source to a cat, and a word about it.
    """
    words = data("words/glance")
    leaves = [leaf for leaf in context.leaves if leaf.name]
    return {
        "first": [_entry(context, e) for e in context.declaration.ingredients[: words["first"]]],
        "animals": _animals(context, Choice(words["animals"], _WHERE)),
        "nutrients": list(_nutrients(context, words)),
        "palatants": _names(Choice(words["palatants"], _WHERE).among(leaves)),
        "preservatives": _preservatives(context, leaves, Choice(words["preservatives"], _WHERE)),
        "binders": _binders(context),
        "unknown": _names(leaf for leaf in leaves if leaf.match is None),
        "cat": list(_cat(context, leaves, words)) if context.species == "cat" else [],
        "beside_a_diet": context.is_beside_a_diet,
    }


def _names(entries: Iterable[Ingredient]) -> list[str]:
    return list(dict.fromkeys(entry.name for entry in entries))


def _entry(context: LabelContext, entry: Ingredient) -> FirstEntry:
    known = entry.match.known if entry.match else None
    stands = standing(context, entry)
    return {
        "name": entry.name,
        "kind": known.kind if known else None,
        "origin": known.origin if known else None,
        "species": known.species if known else None,
        "low": round(stands.low, 4) if stands.bounds else None,
        "high": round(stands.high, 4) if stands.bounds else None,
    }


def _animals(context: LabelContext, animals: Choice) -> dict[str, list[str]]:
    """Names by species; what stands inside a named animal ("duck (liver)") is of that one."""
    by_species: dict[str, list[str]] = {}
    inside: dict[tuple[int, ...], str] = {}
    for entry in context.entries:
        named = next(
            (inside[p] for n in range(len(entry.path)) if (p := entry.path[:n]) in inside), ""
        )
        if not animals.fits(entry) or entry.match is None:
            continue
        species = entry.match.known.species
        species = species if names_one(species) else named
        if species:
            inside.setdefault(entry.path, species)
        of = by_species.setdefault(species, [])
        if entry.name not in of:
            of.append(entry.name)
    return by_species


def _preservatives(context: LabelContext, leaves: list[Ingredient], wanted: Choice) -> list[str]:
    """The preservatives by name; one in a note by the note's words."""
    preservatives = []
    for entry in wanted.among(leaves):
        place = wanted.place(context, entry)
        in_note = place != entry.name_span
        notes = [note for note in entry.notes if note] if in_note else []
        preservatives.append(", ".join([entry.name, *notes]) if in_note else entry.name)
    return list(dict.fromkeys(preservatives))


def _binders(context: LabelContext) -> list[BinderRole]:
    rule = context.settings.rules.get(_BINDERS)
    if rule is None:
        return []
    return [
        {"name": answer.entry.name, "does": answer.which, "why": answer.why}
        for answer in answers(context, rule.parameters)
    ]


# Where nutrients come from -------------------------------------------------------------------


def _suppliers(context: LabelContext) -> list[tuple[str, CatalogueEntry]]:
    """Every known thing of the label by its printed name: entries of the list, then the
    additives of the EU heading."""
    suppliers = [(e.name, e.match.known) for e in context.entries if e.match]
    for additive in context.label.additives:
        for printed in (additive.printed, additive.printed.partition("(")[0], additive.number):
            match = context.catalogue.lookup(printed or "", market=context.market)
            if match is not None:
                suppliers.append((additive.printed, match.known))
                break
    return suppliers


def _nutrients(context: LabelContext, words: dict[str, Any]) -> Iterator[NutrientSource]:
    suppliers = _suppliers(context)
    additives = _additives(context)
    rows = {row["id"]: row for row in data("nutrients/nutrients")["nutrients"]}
    for nutrient in _asked_for(context):
        row = rows.get(nutrient)
        if row is None or row["class"] not in words["classes"]:
            continue
        source, names = _source(nutrient, suppliers, additives, _unlisted(context, row["class"]))
        yield {
            "nutrient": nutrient,
            "name": next(names_of([nutrient])),
            "source": source,
            "from": names,
        }


def _additives(context: LabelContext) -> list[tuple[str, str]]:
    """The additives of the EU heading, in any language, with what they are a source of."""
    return [(one_line(a.printed), element_of(a)[0]) for a in context.label.additives]


@once
def _unlisted(context: LabelContext, nutrients: str) -> list[Ingredient]:
    """The entries that may hold nutrients of a class without listing them, in printed order."""
    wanted = [
        {key: value for key, value in row.items() if key != "may-hold"}
        for row in data("words/glance")["premixes"]
        if nutrients in row["may-hold"]
    ]
    return Choice(wanted, _WHERE).of(Listing(context.leaves)) if wanted else []


def _source(
    nutrient: str,
    suppliers: list[tuple[str, CatalogueEntry]],
    additives: list[tuple[str, str]],
    unlisted: list[Ingredient],
) -> tuple[str, list[str]]:
    """Returns where a nutrient comes from, and the names that bring it."""
    added = [name for name, known in suppliers if nutrient in known.supplies]
    added += [name for name, element in additives if element == nutrient]
    if added:
        return DECLARED, list(dict.fromkeys(added))
    if unlisted:
        return PREMIX, _names(unlisted)
    kinds = data("data/complete-nutrients")["carried_by_kind"].get(nutrient, ())
    foods = [name for name, known in suppliers if nutrient in known.carries or known.kind in kinds]
    return FOOD if foods else NONE, list(dict.fromkeys(foods))


def _asked_for(context: LabelContext) -> list[str]:
    """The nutrients with a minimum in the profiles of the market, in the profile's order; for
    both species where the label names none."""
    authority, edition = authority_of(context.market)
    nutrients: dict[str, None] = {}
    for species in (context.species,) if context.species else ("dog", "cat"):
        for stage in (stage_of(context.stages), "maintenance"):
            try:
                limits = profile(authority, species, stage or "maintenance", edition).limits
            except NoProfile:
                continue
            nutrients.update(dict.fromkeys(limit.nutrient for limit in limits if limit.low))
            break
    return list(nutrients)


def _cat(
    context: LabelContext, leaves: list[Ingredient], words: dict[str, Any]
) -> Iterator[CatNeed]:
    suppliers = _suppliers(context)
    additives = _additives(context)
    classes = {row["id"]: row["class"] for row in data("nutrients/nutrients")["nutrients"]}
    for need in words["cat"]:
        useless = Choice(need["no-source"], _WHERE)
        counted = [
            (name, known) for name, known in suppliers if not useless_to_a_cat(known, useless)
        ]
        unlisted = _unlisted(context, classes[need["nutrient"]])
        source, names = _source(need["nutrient"], counted, additives, unlisted)
        if source in (FOOD, NONE):
            names = _names(Choice(need["carried-by"], _WHERE).among(context.entries))
            source = FOOD if names else NONE
        yield {
            "nutrient": need["nutrient"],
            "name": need["name"],
            "source": source,
            "from": names,
            "not_from": _names(useless.among(leaves)),
            "note": need["says"],
        }


def useless_to_a_cat(known: CatalogueEntry, useless: Choice) -> bool:
    """True for what feeds a dog and not a cat, such as carotene for vitamin A."""
    return any(
        all(getattr(known, name) in wanted for name, wanted in alternative.fields)
        for alternative in useless.alternatives
        if alternative.fields and alternative.words is None and not alternative.but
    )
