"""What the product's name says of its ingredients: declared, in order, alone, high enough."""

import re
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from panellint.analysis.context import LabelContext
from panellint.analysis.promised_shares import (
    all_declared,
    shares_a_word,
    support_of,
    unknown_names,
)
from panellint.catalogue.model import CatalogueEntry
from panellint.core.findings import Certainty, Observation, State
from panellint.core.phrases import capital, listed
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.ingredients.model import Ingredient
from panellint.ingredients.product_name import Named
from panellint.lint.checks.support.label_parts import (
    are,
    certainty_of,
    declared_here,
    heavier_by_figures,
    marker_before,
)
from panellint.rulepacks.model import Rule
from panellint.shares.model import Number, Path
from panellint.shares.premises import Premise


def declared(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds named ingredients that are not declared under their own name."""
    with_ = rule.parameters
    entries = context.entries
    if not entries:
        return
    givers = with_.texts("given-by")
    if any(entry.match and entry.match.known.kind in givers for entry in entries):
        return
    if "or-words" in with_ and any(
        with_.words("or-words").search(section.text) for section in context.sections_of("additives")
    ):
        return
    exempt, vague = with_.texts("exempt"), with_.texts("vague")
    missed: set[str] = set()  # a name in two languages names the same food twice
    for promise in context.promises:
        if promise.tier not in with_.texts("tier"):
            continue
        unknown = context.once(unknown_names)
        for place, named in enumerate(promise.named):
            known = named.match.known
            if named.name.split()[-1] in with_.texts("vague-words"):
                continue
            if context.supported[named.span]:
                yield Observation.met(named.span)
            if known.kind in exempt or context.supported[named.span] or known.id in missed:
                continue
            # Beef broth is not what a list with chicken broth alone has.
            if known.kind in vague and not _is_another(known.species, entries, known.kind):
                continue
            if known.kind in with_.texts("of-water") and _of_water(known, entries):
                continue
            if any(shares_a_word(named.name, ingredient.name) for ingredient in unknown):
                continue
            related = relatives(named, entries)
            # A potato is no sign of sweet potato: another of the kind gives the name nothing.
            others = (e for e in entries if e.match is None or e.match.known.kind != known.kind)
            words = [text for entry in others for text in (entry.name, *entry.notes)]
            stated = related or any(shares_a_word(named.name, text) for text in words)
            if with_["or-source-stated"] and stated:
                continue
            of_another = "another" in rule.says and _is_another(known.species, entries, "palatant")
            # "Goose Creek Chicken Dinner": a word that other words part from the rest may belong
            # to a brand. An entry that the catalogue does not know could be the ingredient.
            brand = _stands_apart(context, promise.named[place : place + 2])
            kind = "relatives" if related else "brand" if brand else "unknown" if unknown else ""
            kind = "another" if of_another else kind
            missed.add(known.id)
            yield Observation(
                named.span,
                Certainty.PRACTICE
                if any(
                    _in_another_state(named, ingredient, with_.texts("other-foods"))
                    for ingredient in related
                )
                or of_another
                else Certainty.POSSIBLE
                if unknown or brand or (related and with_["related-may-do"])
                else Certainty.PROVEN,
                {
                    "named": one_line(context.source.slice(named.span)),
                    "relatives": [ingredient.name for ingredient in related],
                    "are": are(len(related)),
                    "unknown": [ingredient.name for ingredient in unknown],
                },
                variant=kind if kind in rule.says else "",
                related=declared_here(related),
            )


def _is_another(species: str, entries: Sequence[Ingredient], kind: str) -> bool:
    """Returns whether what is declared of a kind is each time of another animal or plant, and
    nothing of the given one is declared."""
    matched = [entry.match.known for entry in entries if entry.match]
    own = species in {"", *(other.species for other in matched)}
    alike = {other.species for other in matched if other.kind == kind}
    return len(matched) == len(entries) and not own and bool(alike) and "" not in alike


def _of_water(known: CatalogueEntry, entries: Sequence[Ingredient]) -> bool:
    """Returns whether water is declared, and a food of the known one's animal where it has one: a
    broth is both."""
    others = [entry.match.known for entry in entries if entry.match]
    return any(other.kind == "water" for other in others) and (
        known.species in {"", known.origin}
        or any(other.species == known.species for other in others)
    )


def _in_another_state(named: Named, entry: Ingredient, other_foods: Sequence[str]) -> bool:
    """Returns True where an entry may count as the named food in another state: rolled oats for
    oatmeal, dried yogurt powder for yogurt; not a meal or fat for a meat."""
    if entry.match is None or not other_foods:
        return False
    known, own = named.match.known, entry.match.known
    if own.kind in other_foods:
        return False
    same = bool(known.species) and (own.kind, own.species) == (known.kind, known.species)
    return same or f" {named.name} " in f" {entry.name.lower()} "


def _stands_apart(context: LabelContext, pair: Sequence[Named]) -> bool:
    """Returns True where words of no ingredient stand between a named one and the next."""
    if len(pair) < 2:
        return False
    between = context.source.slice(Span(pair[0].span.end, pair[1].span.start))
    return any(len(word) > 3 for word in re.findall(r"[^\W\d_]+", between))


def order(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds two ingredients named in the other order than that of their weights.

    Where one that some count with the first one (chicken meal with chicken) takes part, the finding
    is no proof.
    """
    kinds = rule.parameters.texts("also")
    if not context.declaration.ingredients:
        return
    for promise in context.promises:
        if len(promise.named) < 2 or promise.tier not in rule.parameters.texts("tier"):
            continue
        support = support_of(promise.named, context)
        for (first, lighter), (second, heavier) in pairwise(support):
            weights: dict[Path, Number] = {entry.path: 1 for entry in lighter}
            if not lighter or not heavier or any(entry.path in weights for entry in heavier):
                continue
            in_order = min(entry.path for entry in lighter) < min(entry.path for entry in heavier)
            if in_order and not any(ingredient.percent for ingredient in (*lighter, *heavier)):
                yield Observation.met(Span(first.span.start, second.span.end))
                continue
            weights |= {entry.path: -1 for entry in heavier}
            bounds = context.order.bounds(weights)
            rests_on = tuple(bounds.high_proof.rests_on)
            if not bounds.sure:
                # The list contradicts itself; the printed figures still speak.
                if not heavier_by_figures(heavier, lighter):
                    continue
                rests_on = (Premise.PERCENTAGES,)
            elif bounds.high > 0 or bounds.low >= 0:
                state = State.MET if bounds.low >= 0 else State.OPEN
                yield Observation.of_state(state, Span(first.span.start, second.span.end))
                continue
            others = [
                ingredient
                for ingredient in relatives(first, context.entries)
                if ingredient.match
                and ingredient.match.known.kind in kinds
                and ingredient not in lighter
            ]
            doubtful = rule.parameters.texts("doubtful")
            doubt = any(
                ingredient.match and ingredient.match.known.kind in doubtful
                for ingredient in others
            )
            sure = Certainty.POSSIBLE if others else certainty_of(rests_on)
            yield Observation(
                Span(first.span.start, second.span.end),
                Certainty.PRACTICE if doubt else sure,
                {
                    "first": first.name,
                    "second": second.name,
                    "relatives": [other.name for other in others],
                    "are": are(len(others)),
                },
                variant="relatives" if others else "",
                rests_on=rests_on,
                proof=(_no_less(heavier, lighter, rests_on),),
                related=declared_here((*heavier, *lighter)),
            )


def _no_less(
    heavier: Iterable[Ingredient], lighter: Iterable[Ingredient], rests_on: Iterable[Premise]
) -> str:
    how = "the list and its figures" if Premise.PERCENTAGES in rests_on else "the order of the list"
    more, less = (listed(ingredient.name for ingredient in some) for some in (heavier, lighter))
    return capital(f"by {how}, {more} weighs at least as much as {less}.")


def alone(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a food that is all of one thing and declares another."""
    with_ = rule.parameters
    kinds, ids = with_.texts("allowed"), with_.texts("allowed-as")
    for promise in context.promises:
        if promise.tier not in with_.texts("tier"):
            continue
        support = support_of(promise.named, context)
        if not all_declared(support):
            continue
        own = [entry.path for _, entries in support for entry in entries]
        others = [
            leaf
            for leaf in context.leaves
            if leaf.name
            and not any(leaf.path[: len(path)] == path for path in own)
            and not (leaf.match and (leaf.match.known.kind in kinds or leaf.known_as in ids))
        ]
        if not others:
            yield Observation.met(promise.span)
        else:
            yield Observation(
                Span(promise.named[0].span.start, promise.named[-1].span.end)
                if promise.percent is None
                else promise.span,
                Certainty.PROVEN if all(other.match for other in others) else Certainty.POSSIBLE,
                {
                    "named": listed(named.name for named in promise.named),
                    "others": [other.name for other in others[:4]],
                    "are": are(min(4, len(others))),
                },
                related=declared_here(others[:4]),
            )


def behind(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds named ingredients that stand after one of which there is never much."""
    with_ = rule.parameters
    for promise in context.promises:
        if promise.tier not in with_.texts("tier"):
            continue
        for named in promise.named:
            ingredients = context.supported[named.span]
            first = marker_before(context, ingredients, with_.texts("after"))
            known = named.match.known
            if first and {known.kind, known.id}.isdisjoint(with_.texts("exempt")):
                yield Observation(
                    named.span,
                    Certainty.PRACTICE,
                    {
                        "Named": capital(named.name),
                        "after": first.name,
                        "usual": with_.number("usual-below"),
                        "needs": with_.number("needs"),
                    },
                    related=declared_here((first, *ingredients)),
                )


def relatives(named: Named, entries: Iterable[Ingredient]) -> list[Ingredient]:
    """Returns entries of the same animal or plant that do not carry its own name: chicken meal."""
    known = named.match.known
    return [
        entry
        for entry in entries
        if entry.match
        and (
            (known.species and entry.match.known.species == known.species)
            or (known.family and entry.match.known.family == known.family)
            or known.id in entry.match.known.classes  # menhaden meal is of fish
        )
    ]
