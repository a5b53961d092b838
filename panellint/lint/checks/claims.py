"""What the product's name and its claims say of the ingredients, against the list.

Absence ("grain free") has a file of its own, `absence`; percentages that a name promises are
judged in `names`.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from functools import cache

from panellint.analysis.context import LabelContext
from panellint.analysis.list_position import ordinal, standing
from panellint.catalogue.model import CatalogueEntry
from panellint.core.findings import Certainty, Observation, Related
from panellint.core.numbers import first_decimal
from panellint.core.once import once
from panellint.core.source import Span
from panellint.core.text import fold
from panellint.core.wording import Wording, regex
from panellint.ingredients.mentions import mentions
from panellint.ingredients.model import Ingredient
from panellint.ingredients.own_names import supports
from panellint.ingredients.selector import Choice, names_one
from panellint.label.claims import languages, phrases
from panellint.lint.checks.support.free_text import FreeText, free_text_matches, said
from panellint.lint.checks.support.label_parts import marker_before
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule

_DATA = "words/claims"
#: So near behind the words of a claim stands what it names.
_NEAR = 60


def single_protein(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a claim of one animal protein where the list names animals of two species."""
    for stretch, match in free_text_matches(context, phrases("single-protein")):
        protein = rule.parameters.built("protein", Choice)
        perhaps = rule.parameters.built("perhaps", Choice)
        entries = context.entries
        sources = [e for e in protein.among(entries) if _species(e)]
        own = _own_species(context, sources)
        foreign = [entry for entry in sources if own and _is_other(context, _species(entry), own)]
        certain = bool(foreign)
        if not certain:
            foreign = [entry for entry in sources if own and _may_be_other(_species(entry), own)]
            for entry in perhaps.among(entries):
                species = _species(entry)
                if _is_other(context, species, own) or _may_be_other(species, own):
                    foreign.append(entry)
        if not own or not foreign:
            return
        yield Observation(
            foreign[0].name_span,
            Certainty.PROVEN if certain else Certainty.POSSIBLE,
            variant="certain" if certain else "doubtful",
            values={
                "claim": fold(match.group()),
                "own": next(entry.name for entry in sources if _species(entry) == own),
                "name": foreign[0].name,
                "names": list(dict.fromkeys(entry.name for entry in foreign)),
            },
            related=(
                Related(stretch.span(match), "the claim"),
                *(Related(entry.name_span, "this too") for entry in foreign[1:]),
            ),
        )
        return


def _species(entry: Ingredient) -> str:
    return entry.match.known.species if entry.match else ""


def _is_other(context: LabelContext, species: str, own: str) -> bool:
    """Whether two animals are surely two: an egg is of its bird, and fish meal may be of salmon."""
    line, other = context.catalogue.lineage(species), context.catalogue.lineage(own)
    return bool(species) and own not in line and species not in other


def _may_be_other(species: str, own: str) -> bool:
    """Whether a word for many animals may stand for another than the food's own."""
    return species not in ("", own) and not (names_one(species) and names_one(own))


def _own_species(context: LabelContext, sources: Sequence[Ingredient]) -> str:
    """Returns the animal of a single-protein food: the name's, else the first one declared."""
    declared = [_species(entry) for entry in sources]
    named = (named.match.known.species for p in context.promises for named in p.named)
    return next((species for species in named if species in declared), next(iter(declared), ""))


def limited(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a claim of few ingredients, or of so many, where more are declared."""
    with_, uncounted = rule.parameters, rule.parameters.built("uncounted", Choice)
    for stretch, match in free_text_matches(context, phrases(with_.text("claim"))):
        figure = first_decimal(match.group()) or Decimal(0)
        most = with_.number("at-most") if "at-most" in with_ else figure
        counted = sum(bool(e.name) and not uncounted.fits(e) for e in context.leaves)
        if counted > most:
            values = {"claim": fold(match.group()), "number": counted, "at_most": most}
            yield Observation(stretch.span(match), Certainty.PRACTICE, values)
        return


def made_with(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds “made with X” where X is nowhere in the list, or little."""
    exempt = rule.parameters.texts("exempt")
    for stretch, match in _said_with(context):
        text, at = stretch.text, match.end()
        mention = next(mentions(text, context.lookup, at, at + _NEAR), None)
        if stretch.in_name or mention is None or text[at : mention.span.start].strip():
            continue  # what the name says is judged as a promise
        name, known = mention.name, mention.match.known
        if known.kind in exempt:
            continue
        entries = [e for e in context.entries if e.match and supports(known, e.match.known, e.name)]
        values: dict[str, object] = {"named": name, "claim": f"{fold(match.group())} {name}"}
        claim = Span(stretch.start + match.start(), stretch.start + mention.span.end)
        if not entries:
            if context.leaves and all(entry.match for entry in context.leaves):
                yield Observation(claim, Certainty.PROVEN, values, variant="absent")
            continue
        stands = standing(context, entries[0])
        least = rule.parameters.number("share-at-least")
        before = marker_before(context, entries, rule.parameters.texts("after"))
        if len(entries) == 1 and (stands.high < least or before):
            little = stands.high < least
            values.update(
                stands.values,
                name=entries[0].name,
                needs=least,
                after=before.name if before else "",
            )
            yield Observation(
                entries[0].name_span,
                Certainty.PRACTICE,
                values,
                variant="little" if little else "behind",
                rests_on=stands.rests_on if little else (),
                related=(Related(claim, "the claim"),),
            )


@once
def _said_with(context: LabelContext) -> list[tuple[FreeText, re.Match[str]]]:
    """Returns each “made with” and “with real”, and each “with” that begins a claim."""
    matches = list(free_text_matches(context, phrases("made-with")))
    for stretch, match in free_text_matches(context, phrases("with")):
        lead = stretch.text[: match.start()].rstrip(" \t*_")
        if stretch.is_claim and (not lead or lead[-1] in ".!?;,:•·|–—\n"):
            matches.append((stretch, match))
    return matches


def raw(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a food called raw that holds what was rendered or cooked, or is made in a cooked
    form."""
    for stretch, match in free_text_matches(context, phrases("raw")):
        place, form = stretch.span(match), context.form
        if form.id in rule.parameters.texts("cooked-forms") and form.stated:
            yield Observation(place, Certainty.PRACTICE, {"form": form.id}, "form")
            return
        for other, word in free_text_matches(context, phrases("cooked")):
            if other.is_claim and stretch.is_claim:
                values = {"words": fold(word.group())}
                related = (Related(other.span(word), "the other word"),)
                yield Observation(place, Certainty.PRACTICE, values, "words", related=related)
                return
        cooked = rule.parameters.built("cooked", Choice)
        yield from _held(context, cooked, Related(place, "the word"), {})
        return


def human_grade(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds the words human grade: what they ask of the maker, or an ingredient made for feed
    alone."""
    feed = rule.parameters.built("feed", Choice)
    for stretch, match in free_text_matches(context, phrases("human-grade")):
        place, values = stretch.span(match), {"claim": fold(match.group())}
        yield from list(_held(context, feed, Related(place, "the claim"), values)) or (
            Observation(place, Certainty.PRACTICE, values, variant="asks"),
        )
        return


def _held(
    context: LabelContext, which: Choice, claim: Related, values: Mapping[str, object]
) -> Iterator[Observation]:
    """Yields what is declared and speaks against a claim, at the first of it."""
    held = list(which.among(context.entries))
    if held:
        values = {**values, "name": held[0].name, "names": [entry.name for entry in held]}
        yield Observation(held[0].name_span, Certainty.PRACTICE, values, "holds", related=(claim,))


def dish(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a wet food named for its liquid or its jelly whose list has nothing to make one of."""
    name = rule.parameters.text("dish")
    if context.form.moisture_class != "wet" or not context.declaration.ingredients:
        return
    for stretch, match in free_text_matches(context, phrases(name)):
        needs = rule.parameters.built("needs", Choice)
        entries = context.entries
        is_known = all(e.match for e in context.leaves) and not any(e.component for e in entries)
        if stretch.in_name and is_known and not any(needs.among(entries)):
            yield Observation(
                stretch.span(match), Certainty.PRACTICE, {"word": fold(match.group())}
            )
        return


def broth(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a food that is sold for its broth and is mostly water."""
    for stretch, match in free_text_matches(context, phrases("broth")):
        first = next(iter(context.declaration.ingredients), None)
        kind = first.match.known.kind if first and first.match else ""
        if first is None or first.match is None or kind not in {"broth", "water"}:
            return
        moisture, place = context.guarantee("moisture"), stretch.span(match)
        water = first.match.known.range_of("moisture") if kind == "broth" else None
        values: dict[str, object] = {"name": first.name, "word": fold(match.group())}
        if moisture and moisture.unit == "%":
            if moisture.value >= rule.parameters.number("moisture-at-least"):
                values = {**values, "moisture": moisture.value}
                yield Observation(place, Certainty.PRACTICE, values, variant="guaranteed")
        elif water:
            values = {**values, "low": water.low, "high": water.high}
            yield Observation(place, Certainty.PRACTICE, values, variant="broth")
        return


def first_ingredient(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a claim of the first ingredient that the order refutes, or, by dry matter, one that
    drops once its water is gone (only where water leaves: in a dry food)."""
    entries = context.declaration.ingredients
    by_order = rule.parameters.text("asks") == "order"
    if not entries:
        return
    for stretch, match in context.once(_first_claims):
        claimed = _claimed_first(context, match)
        if claimed is None:
            continue
        name, known = claimed
        claim = {"claimed": name, "first": entries[0].name}
        place = stretch.span(match, "named")
        first = entries[0]
        is_first = first.match is None or _is_named(known, first)
        if by_order and not is_first:
            related = (Related(first.name_span, "first in the list"),)
            yield Observation(place, Certainty.PROVEN, claim, related=related)
        elif is_first and not by_order and context.form.moisture_class == "dry":
            yield from _dropping(context, rule, claim)
        return


def _first_claims(context: LabelContext) -> tuple[tuple[FreeText, re.Match[str]], ...]:
    """Returns where the label says which ingredient is first, in every language."""
    words = _first_words() if said(context, _first_signs()) else ()
    return tuple(pair for word in words for pair in free_text_matches(context, word))


@cache
def _first_signs() -> Wording:
    """Returns a word of each claim of the first ingredient."""
    return Wording(data(_DATA)["first-signs"])


@cache
def _first_words() -> tuple[re.Pattern[str], ...]:
    return tuple(regex(expression) for own in languages().values() for expression in own["first"])


def _claimed_first(
    context: LabelContext, match: re.Match[str]
) -> tuple[str, CatalogueEntry | None] | None:
    """Returns what is said to be first; "meat" is any meat and no one ingredient."""
    trim = {word for own in languages().values() for word in own["trim"]}
    words = match["named"].lower().split()
    while words and words[0] in trim:
        words.pop(0)
    text = " ".join(words)
    first = next(mentions(text, context.lookup), None)
    meats = [word for own in languages().values() for word in own["meat"]]
    meat = re.search(rf"\b(?:{'|'.join(meats)})\b", text)
    if meat and (first is None or first.name in meats or meat.start() < first.span.start):
        return "meat", None
    return (first.name, first.match.known) if first else None


def _is_named(known: CatalogueEntry | None, entry: Ingredient) -> bool:
    assert entry.match is not None
    if known is None:
        return Choice(data(_DATA)["meat"], f"rules/{_DATA}.yaml").fits(entry)
    return supports(known, entry.match.known, entry.name)


def _dropping(context: LabelContext, rule: Rule, claim: dict[str, str]) -> Iterator[Observation]:
    """Yields the rank of the first entry by dry matter, as a range: an entry after it stands before
    it for sure, or perhaps, by the ranges of moisture and the bounds of their shares. What
    `uncounted` chooses (salt, vitamins) is left out of the ranking."""
    first, *others = context.declaration.ingredients
    moist = _moisture(first)
    if moist is None or moist[0] < rule.parameters.number("fresh-from") or context.quick:
        return
    best = worst = 1
    ahead: list[Ingredient] = []
    uncounted = rule.parameters.built("uncounted", Choice)
    counted = [other for other in others if not uncounted.fits(other)]
    looked_at = counted[: int(rule.parameters.number("looked-at"))]
    for other in looked_at:
        wet = _moisture(other) or (0.0, 100.0)
        surely = {other.path: 100 - wet[1], first.path: -(100 - moist[0])}
        maybe = {other.path: 100 - wet[0], first.path: -(100 - moist[1])}
        if context.bounds.bounds(surely).low > 0:
            best += 1
        if context.bounds.bounds(maybe).high > 0:
            worst += 1
            ahead.append(other)
    rank = f"{ordinal(best)} to {ordinal(worst)}" if best < worst else ordinal(best)
    if ahead and ahead[-1] is looked_at[-1] and len(looked_at) < len(counted):
        rank += " or later"
    if worst > 1:
        yield Observation(
            first.name_span,
            Certainty.PROVEN if best > 1 else Certainty.POSSIBLE,
            {
                **claim,
                "name": first.name,
                "least": moist[0],
                "most": moist[1],
                "rank": rank,
                "ahead": [entry.name for entry in ahead[:4]],
            },
            rests_on=("order", "composition"),
        )


def _moisture(entry: Ingredient) -> tuple[float, float] | None:
    moisture = entry.match.known.range_of("moisture") if entry.match else None
    return (moisture.low, moisture.high) if moisture else None
