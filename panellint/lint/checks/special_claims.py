"""Claims that ask something of the list or of the guarantees: natural, organic, "with omega-3"."""

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from typing import Any

from panellint.analysis.additive_register import element_of
from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation, Related, State
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.core.wording import Wording
from panellint.ingredients.model import Ingredient
from panellint.ingredients.selector import Choice, listing
from panellint.label.model import Bound
from panellint.lint.checks.support.free_text import FreeText, free_text_matches
from panellint.lint.checks.support.label_parts import certainty_of, declared_here, is_whole, name_of
from panellint.rulepacks.data import EXPRESSIONS, data
from panellint.rulepacks.model import Rule
from panellint.shares.model import Base, Condition, Number, Path, Verdict


def natural(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a claim of being natural beside what is made by chemical synthesis."""
    with_ = rule.parameters
    for stretch, match in free_text_matches(context, with_.words("words")):
        claim = one_line(match.group())
        wholly, excused = with_.words("wholly"), with_.words("excused")
        all_of_it = wholly.match(stretch.text, match.start()) is not None
        held, kind = _leaves(context, with_.built("synthetic", Choice)), ""
        if not held and (all_of_it or not any(free_text_matches(context, excused))):
            held = _leaves(context, with_.built("nutrients", Choice))
            kind = "wholly" if all_of_it else "nutrients"
        if held:
            names = list(dict.fromkeys(entry.name for entry in held))
            yield Observation(
                stretch.span(match),
                Certainty.PROVEN if kind == "" else Certainty.PRACTICE,
                {"claim": claim, "names": names[:3], "count": len(names)},
                variant=kind,
                related=declared_here(held[:6]),
            )
            return
        yield Observation.met(stretch.span(match))


def _leaves(context: LabelContext, which: Choice) -> list[Ingredient]:
    """Returns those chosen that have no members."""
    return [entry for entry in which.of(listing(context)) if not entry.members]


def organic(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a food called organic whose organic ingredients cannot be enough of it.

    A list without any organic ingredient fails at once. An ingredient is organic that is called so,
    or whose footnote says so. What is not counted is left out of the base by counting it in.
    """
    with_ = rule.parameters
    if not context.leaves:
        return
    needs = with_.number("at-least")
    for stretch, match in free_text_matches(context, with_.words("words")):
        if stretch.in_name != with_.get("in-name", stretch.in_name):
            continue
        own = context.once(_organic)
        values = {"claim": one_line(match.group()), "needs": needs, "count": len(own)}
        if not own:
            yield Observation(stretch.span(match), Certainty.PROVEN, values, variant="none")
            return
        ids = with_.texts("not-counted")
        kept = {
            ingredient.path
            for ingredient in (*own, *(e for e in context.leaves if e.known_as in ids))
        }
        weights: dict[Path, Number] = dict.fromkeys(kept, 1)
        condition = Condition(weights, Fraction(str(needs)), Base.MIX_WITHOUT_WATER, "organic")
        judgement = context.bounds.judge([condition])
        if judgement.verdict is Verdict.REFUTED:
            yield Observation(
                stretch.span(match),
                certainty_of(judgement.proof.rests_on),
                {**values, "most": judgement.conditions[0].bounds.high},
                rests_on=tuple(judgement.proof.rests_on),
                proof=judgement.proof.sentences,
                related=declared_here(own[:6], "is declared organic"),
            )
        else:
            implied = judgement.verdict is Verdict.IMPLIED
            yield Observation.of_state(State.MET if implied else State.OPEN, stretch.span(match))
        return


@cache
def _organic_words() -> Wording:
    words = data(EXPRESSIONS)["expressions"]["organic"].values()
    return Wording([{"exact": own["exact"]} for own in words])


def _organic(context: LabelContext) -> list[Ingredient]:
    """Returns the declared ingredients that are called organic, or whose footnote calls them so."""
    says = _organic_words().search
    marks = {note.mark for note in context.label.footnotes if says(note.text)}
    return [
        leaf
        for leaf in context.leaves
        if any(map(says, (leaf.name, *leaf.notes)))
        or any(mark.text in marks for mark in leaf.marks)
    ]


def without_guarantee(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds claims about a substance of which no minimum is guaranteed, nor an amount added where
    `additives` count."""
    amounts = (*context.label.additives, *context.label.actives)
    added = [amount for amount in amounts if amount.value is not None]
    as_additives = rule.parameters["additives"]
    guarantees = context.label.guarantees
    if not is_whole(context) or not (guarantees or as_additives):
        return
    given = {each.nutrient for each in guarantees if each.bound is not Bound.MAX}
    given |= {element_of(amount)[0] for amount in added} if as_additives else set()
    for claim in rule.parameters.built("claims", _claims):
        words = claim["words"]
        claimed = next(
            ((s, m) for s, m in free_text_matches(context, words) if not _denied(s, m)), None
        )
        if claimed is None:
            continue
        stretch, match = claimed
        answered = not given.isdisjoint(claim["nutrients"])
        if answered or words.search(context.once(_guaranteed)):
            yield Observation.met(stretch.span(match))
        else:
            substances = list(map(name_of, claim["nutrients"]))
            values = {"claim": one_line(match.group()), "substances": substances}
            yield Observation(stretch.span(match), Certainty.PRACTICE, values)


def _claims(given: list[dict[str, Any]], where: str) -> list[dict[str, Any]]:
    return [{**claim, "words": Wording(claim["words"])} for claim in given]


def _guaranteed(context: LabelContext) -> str:
    """Returns the names of all that is guaranteed."""
    return " ".join(guarantee.printed.lower() for guarantee in context.label.guarantees)


def _denied(stretch: FreeText, match: re.Match[str]) -> bool:
    """Returns whether the claim says that the thing is absent."""
    before, after = stretch.text[: match.start()], stretch.text[match.end() :]
    return bool(
        re.search(r"\b(?:no|without|free (?:of|from))(?:\s+added)?\s+$", before, re.IGNORECASE)
        or re.match(r"[- ]free\b", after, re.IGNORECASE)
    )


def both_forms(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds words of two editions of the rules on one label, outside the ingredient list and
    claims."""
    with_ = rule.parameters
    new = _shown(context, with_.words("new"))
    old = _shown(context, with_.words("old")) if new else None
    if old is None and new and _shown(context, with_.words("box")) is None:
        old = _shown(context, with_.words("old-outside-box"))
    if old is None or new is None:
        return
    words = (one_line(context.source.slice(span)) for span in (old, new))
    values = dict(zip(("old", "new"), words, strict=True))
    related = (Related(new, "this is of the modernised form"),)
    yield Observation(old, Certainty.PRACTICE, values, related=related)


def _shown(context: LabelContext, words: Wording) -> Span | None:
    """Returns the first place of the words in headings or parts of the label that bind."""
    pattern = words.pattern_for(context.source.text)
    if pattern is None:
        return None
    for section in context.label.sections:
        if section.kind in {"declaration", "claims", "product-name"}:
            continue
        parts = [(part, context.source.slice(part)) for part in (section.heading, section.body)]
        for part, text in parts:
            match = pattern.search(text)
            if match and match.group().lower() not in context.label.product_name.lower():
                return Span(part.start + match.start(), part.start + match.end())
    return None
