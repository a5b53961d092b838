"""Words of the ingredient list: names that a text is looked for in, capitals, purposes."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from panellint.core.findings import Certainty, Edit, Observation, Remedy
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.core.wording import Wording
from panellint.ingredients.model import Ingredient
from panellint.ingredients.selector import Choice, is_one_animal, listing
from panellint.ingredients.spelling import is_sure, near_name, unknown
from panellint.lint.checks.support.label_parts import declaration_text

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.core.wording import Pattern
    from panellint.rulepacks.model import Rule

_ENTRY_END = re.compile(r"[,;.\n]\s|[\])}]\s*[,;.]|\Z")
_JOINED = re.compile(r"(?:\band|&)\s+\Z", re.IGNORECASE)
_LETTERS = re.compile(r"[^\W\d_]+")


def listed(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds words in the ingredient list that do not belong there."""
    words, whole = rule.parameters.words("words"), rule.parameters["whole"]
    pattern = _among(context, words) if whole else words.pattern_for(declaration_text(context))
    if pattern is None or not (whole or pattern.search(declaration_text(context))):
        return
    certainty = Certainty(rule.parameters.text("certainty"))
    for entry in context.entries:
        if rule.parameters["bare"] and (entry.members or entry.notes):
            continue
        for span in _places(context, entry, pattern, whole):
            yield Observation(
                span,
                certainty,
                values={
                    "name": entry.name,
                    "words": one_line(context.source.slice(span)),
                    "animals": f"{context.species} food" if context.species else "pet food",
                },
            )


def _among(context: LabelContext, words: Wording) -> Pattern | None:
    """Returns a search for whole names; None where no declared one is among the words."""
    names = listing(context).text
    absent = words.is_phrases and words.search(names) is None
    return None if absent else words.compiled()


def _places(
    context: LabelContext, entry: Ingredient, words: Pattern, whole: bool
) -> Iterator[Span]:
    if whole:
        if words.fullmatch(entry.name):
            yield entry.name_span
        return
    own = entry.name_span if entry.members else entry.span
    for match in words.finditer(context.source.slice(own)):
        yield Span(own.start + match.start(), own.start + match.end())


def unnamed_animal(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds names that say no animal, unless the group that they stand in, their members or their
    notes do (“Duck (meat, liver)”)."""
    pattern = _among(context, rule.parameters.words("words"))
    ingredients = [entry for entry in context.entries if pattern and pattern.fullmatch(entry.name)]
    for entry in ingredients:
        path = entry.path
        around = [context.entry_at[path[:size]] for size in range(1, len(path))]
        if path[-1] and _JOINED.search(
            context.source.text[max(0, entry.name_span.start - 6) : entry.name_span.start]
        ):
            around.append(context.entry_at[(*path[:-1], path[-1] - 1)])  # "duck heart and liver"
        matches = [ingredient.match for ingredient in (*around, *entry.members)]
        matches += map(context.lookup, entry.notes)
        if not any(match and is_one_animal(match.known) for match in matches):
            yield Observation(entry.name_span, Certainty.PRACTICE, {"name": entry.name})


def misspelt(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds unknown names that a known one is very near to, with the remedy."""
    for entry in context.once(unknown):
        near = near_name(context, entry)
        if near is not None:
            meant = _dressed(near, entry.name)
            edits = (Edit(entry.name_span, meant),)
            yield Observation(
                entry.name_span,
                Certainty.PRACTICE,
                {"name": entry.name, "near": meant},
                remedies=(Remedy(f"Write `{meant}`", edits, is_sure(context, entry, near)),),
            )


def _dressed(near: str, printed: str) -> str:
    """Returns a known name with the capitals of the printed one."""
    if printed.isupper():
        return near.upper()
    own = {word.lower(): word for word in printed.split()}  # "vitamin E"
    near = " ".join(own.get(word, word) for word in near.split())
    return near[0].upper() + near[1:] if printed[:1].isupper() else near


def capitals(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds entries in capitals where most of the list is not."""
    shortest = int(rule.parameters.number("shortest"))
    kinds = rule.parameters.texts("passed-over")
    loud = [
        entry
        for entry in context.entries
        # Capitals over the list of a part of the pack ("BEEF: beef bone broth, ...") are a heading.
        if entry.name.isupper()
        and any(len(word) >= shortest for word in _LETTERS.findall(entry.name))
        and not (entry.members or (entry.match and entry.match.known.kind in kinds))
    ]
    if not loud:
        return
    entries = [entry for entry in context.entries if _LETTERS.search(entry.name)]
    plain = sum(any(letter.islower() for letter in entry.name) for entry in entries)
    if 100 * plain < rule.parameters.number("rest-at-least") * len(entries):
        return
    for entry in loud:
        quiet = entry.name.lower()
        edits = (Edit(entry.name_span, quiet),)
        yield Observation(
            entry.name_span,
            Certainty.PRACTICE,
            {"name": entry.name},
            remedies=(Remedy(f"Write `{quiet}`", edits),),
        )


def purpose(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds ingredients that stand without words of their purpose: in their own name or notes, in
    those of the entry that they stand in, or just before it."""
    which = rule.parameters.built("which", Choice)
    ingredients = which.of(listing(context))
    if not ingredients:
        return
    words = rule.parameters.words("said-by")
    for entry in ingredients:
        if _states_purpose(context, entry, words):
            continue
        place = which.place(context, entry)
        yield Observation(
            place, Certainty.PRACTICE, {"name": one_line(context.source.slice(place))}
        )


def _states_purpose(context: LabelContext, entry: Ingredient, words: Wording) -> bool:
    # "BHA and citric acid (preservatives)": the words may stand behind what is joined to it.
    end = _ENTRY_END.search(context.source.text, entry.span.end)
    if words.search(context.source.text[entry.span.start : end.start() if end else None]):
        return True
    parent = context.entry_at.get(entry.path[:-1])
    if parent is None:
        return False
    before = context.source.slice(Span(parent.span.start, entry.span.start))
    return bool(words.search(before) or any(words.search(note) for note in parent.notes))
