"""The composition list of the EU and the UK: emphasis, category names."""

import re
from collections.abc import Iterator
from functools import cache

from panellint.analysis.context import LabelContext
from panellint.catalogue.model import CatalogueEntry
from panellint.core.findings import Certainty, Observation, Related
from panellint.core.source import Span
from panellint.core.text import fold_name, one_line
from panellint.core.wording import regex
from panellint.ingredients.mentions import mentions
from panellint.ingredients.model import Ingredient
from panellint.ingredients.own_names import supports
from panellint.lint.checks.support.free_text import free_text
from panellint.lint.checks.support.label_parts import declared_here
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule

#: Where what a claim names ends.
_END = re.compile(r"[.;!?\n•·✓✔|]|\b(?:no|without|free)\b", re.IGNORECASE)


def emphasis(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds ingredients stressed in the name or a claim that are listed without a percentage.

    What a claim says is only possible, since free words may mean something else. A percentage on
    any entry of the same animal or plant, or on the group that it stands in, is enough.
    """
    with_ = rule.parameters
    if len(context.leaves) == len(context.declaration.ingredients) == 1:
        return  # the food is that one material
    seen: set[str] = set()
    exempt = set(with_.texts("exempt"))
    for known, name, place, certainty in _stressed(context, rule):
        if known.kind in exempt or known.id in exempt or known.id in seen:
            continue
        seen.add(known.id)
        entries = [entry for entry in context.entries if entry.match and _same(known, entry)]
        if not entries or any(_has_percent(context, entry) for entry in entries):
            continue
        yield Observation(
            next((e for e in entries if e.known_as == known.id), entries[0]).name_span,
            certainty,
            {"named": name, "where": one_line(context.source.slice(place))},
            related=(Related(place, f"{name} is stressed here"),),
        )


def stressed_nowhere(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds ingredients stressed in the name that are declared only inside a category, unnamed."""
    with_ = rule.parameters
    categories = with_["categories"]
    declared = context.once(_declared_categories)
    of_which = data("words/languages")["of-which"][context.language]
    for promise in context.promises if declared else ():
        if promise.tier not in with_.texts("tiers"):
            continue
        for named in promise.named:
            known = named.match.known
            held = [
                ingredient
                for ingredient, number in declared
                if number in categories.get(known.kind, ())
            ]
            entries = [entry for entry in context.entries if entry.match and _same(known, entry)]
            notes = " ".join(note for ingredient in held for note in ingredient.notes)
            if held and not entries and not regex(re.escape(named.name)).search(notes):
                yield Observation(
                    named.span,
                    Certainty.PROVEN,
                    {"named": named.name, "category": held[0].name, "of_which": of_which},
                    related=declared_here(held),
                )


def _stressed(
    context: LabelContext, rule: Rule
) -> Iterator[tuple[CatalogueEntry, str, Span, Certainty]]:
    with_ = rule.parameters
    for promise in context.promises:
        if promise.tier in with_.texts("tiers"):
            for named in promise.named:
                yield named.match.known, named.name, named.span, Certainty.PROVEN
    words = with_.words("claims")
    fed = {section.words.start for section in context.sections_of("feeding")}
    for stretch in free_text(context):
        if not stretch.in_name and stretch.start not in fed:  # "Feed with bone and offal"
            for opening in words.finditer(stretch.text):
                end = _END.search(stretch.text, opening.end())
                stop = end.start() if end else None
                for mention in mentions(stretch.text, context.lookup, opening.end(), stop):
                    place = Span(*(stretch.start + at for at in mention.span))
                    yield mention.match.known, mention.name, place, Certainty.POSSIBLE


def _same(known: CatalogueEntry, entry: Ingredient) -> bool:
    """Returns whether an entry is of the stressed one's animal or plant, or has its name."""
    assert entry.match is not None
    own = entry.match.known
    same_species = bool(known.species) and known.species == own.species
    return same_species or supports(known, own, entry.name)


def _has_percent(context: LabelContext, entry: Ingredient) -> bool:
    """Returns whether the entry or a member of it, or of notes in it, prints a percentage, or what
    it is all of does: "lactose-free yoghurt (milk) 78 %"."""
    if entry.percent is not None or any("%" in note for note in entry.notes):
        return True
    above = (one for one in context.entries if one.path == entry.path[:-1])
    alone = any(one.percent is not None and len(one.members) == 1 for one in above)
    return alone or any(member.percent is not None for member in entry.members)


@cache
def _categories() -> dict[str, int]:
    """Returns the ids of the categories, and the folded names of those without one, to numbers."""
    return {
        category.get("id", fold_name(name)): category["number"]
        for category in data("words/categories")["categories"]
        for names in category["names"].values()
        for name in names
    }


def _declared_categories(context: LabelContext) -> list[tuple[Ingredient, int]]:
    """Returns the declared entries that name a category, each with its number."""
    numbers = _categories()
    categories = (
        (entry, numbers.get(entry.known_as or "") or numbers.get(fold_name(entry.name)))
        for entry in context.entries
    )
    return [(entry, number) for entry, number in categories if number is not None]


def mixing(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds category names beside names of single materials in one list.

    Only names that can be nothing but a category count as such (“cereals” do, “fruit” does not).
    """
    declared = context.once(_declared_categories)
    listed = data("words/categories")["categories"]
    only = {category["number"] for category in listed if category["only_category"]}
    categories = [
        ingredient
        for ingredient, number in declared
        if number in only and len(ingredient.path) == 1
    ]
    if not categories:
        return
    places = {ingredient.path for ingredient, _ in declared}
    kinds = rule.parameters.texts("kinds")
    stressed = {
        entry.path
        for promise in context.promises
        for named in promise.named
        for entry in context.entries
        if entry.match and _same(named.match.known, entry)
    }
    single = [
        entry
        for entry in context.declaration.ingredients
        if entry.path not in places
        and entry.match is not None
        and entry.match.known.kind in kinds
        # What the name stresses is named with its percentage, among categories too.
        and not (entry.percent is not None and entry.path in stressed)
    ]
    if single:
        yield Observation(
            categories[0].name_span,
            Certainty.PRACTICE,
            {
                "category": categories[0].name,
                "names": [entry.name for entry in single[:4]],
                "count": len(single),
            },
            related=declared_here(single[:6]),
        )


def permitted(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds collective names that are none of the categories."""
    collective = rule.parameters.words("words")
    places = {ingredient.path for ingredient, _ in context.once(_declared_categories)}
    # In a list by categories a name that nobody knows is none of them.
    mostly = 2 * len(places) > len(context.entries)
    for entry in context.entries:
        if entry.path in places:
            continue
        named = entry.match is not None and entry.match.known.kind == "category"
        unread = entry.match is None and not entry.members and bool(entry.name)
        if named or collective.fullmatch(fold_name(entry.name)) or (unread and mostly):
            yield Observation(entry.name_span, Certainty.PRACTICE, {"name": entry.name})
