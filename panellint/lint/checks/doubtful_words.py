"""Words of the ingredient list: names that a text is looked for in, capitals, purposes."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from panellint.core.findings import Certainty, Edit, Observation, Remedy
from panellint.core.patterns import Words
from panellint.core.source import Span
from panellint.ingredients.model import Ingredient
from panellint.ingredients.selector import Choice, is_one_animal, listing
from panellint.ingredients.spelling import near_name, unknown
from panellint.lint.checks.support.free_text import said
from panellint.lint.checks.support.label_parts import declaration_text

if TYPE_CHECKING:
    from panellint.analysis.context import Case
    from panellint.rulepacks.packs import Rule

_ENTRY_END = re.compile(r"[,;.\n]\s|[\])}]\s*[,;.]|\Z")
_JOINED = re.compile(r"(?:\band|&)\s+\Z", re.IGNORECASE)
_LETTERS = re.compile(r"[^\W\d_]+")


def listed(case: Case, rule: Rule) -> Iterator[Observation]:
    """Each place in the list where the rule's `words` stand; with `whole` they must be the
    entire name of an entry. `certainty` is the finding's."""
    words, text = rule.parameters.pattern("words"), declaration_text(case)
    whole = rule.parameters["whole"]
    if not words.may_be_in(text) or not (whole or words.search(text)):
        return
    certainty = Certainty(rule.parameters.text("certainty"))
    for entry in case.entries:
        for span in _places(case, entry, words, whole):
            yield Observation(
                span,
                certainty,
                values={
                    "name": entry.name,
                    "words": " ".join(case.source.slice(span).split()),
                    "animals": f"{case.species} food" if case.species else "pet food",
                },
            )


def _places(case: Case, entry: Ingredient, words: Words, whole: bool) -> Iterator[Span]:
    if whole:
        if words.compiled().fullmatch(entry.name):
            yield entry.name_span
        return
    own = entry.name_span if entry.members else entry.span
    for match in words.compiled().finditer(case.source.slice(own)):
        yield Span(own.start + match.start(), own.start + match.end())


def unnamed_animal(case: Case, rule: Rule) -> Iterator[Observation]:
    """Each entry whose entire name is one of the rule's `words`, unless the group that it
    stands in, its members or its notes name the animal ("Duck (meat, liver)")."""
    words = rule.parameters.pattern("words")
    if not words.may_be_in(declaration_text(case)):
        return
    is_all = words.compiled().fullmatch
    found = [entry for entry in case.entries if is_all(entry.name)]
    holders = {entry.path: entry for entry in case.entries} if found else {}
    for entry in found:
        path = entry.path
        around = [holders[path[:size]] for size in range(1, len(path))]
        if path[-1] and _JOINED.search(
            case.source.text[max(0, entry.name_span.start - 6) : entry.name_span.start]
        ):
            around.append(holders[(*path[:-1], path[-1] - 1)])  # "duck heart and liver"
        if not any(_animal(one) for one in (*around, *entry.members)) and not any(
            _is_animal(case, note) for note in entry.notes
        ):
            yield Observation(entry.name_span, Certainty.PRACTICE, {"name": entry.name})


def _animal(entry: Ingredient) -> bool:
    return entry.match is not None and is_one_animal(entry.match.known)


def _is_animal(case: Case, note: str) -> bool:
    match = case.catalogue.lookup(note, market=case.market, language=case.language)
    return match is not None and is_one_animal(match.known)


def spoken(case: Case, rule: Rule) -> Iterator[Observation]:
    """Each place where the product's name or a claim says the rule's `words`."""
    words = rule.parameters.pattern("words")
    for stretch, match in said(case, words):
        yield Observation(
            stretch.span(match), Certainty.PRACTICE, {"words": " ".join(match.group().split())}
        )


def misspelt(case: Case, rule: Rule) -> Iterator[Observation]:
    """Each unknown name that a known one is very near to, with the remedy on offer."""
    for entry in case.once(unknown):
        near = near_name(case, entry)
        if near is not None:
            meant = _dressed(near, entry.name)
            yield Observation(
                entry.name_span,
                Certainty.PRACTICE,
                {"name": entry.name, "near": meant},
                remedies=(Remedy(f"Write `{meant}`", (Edit(entry.name_span, meant),)),),
            )


def _dressed(near: str, printed: str) -> str:
    """A known name with the capitals of the printed one."""
    if printed.isupper():
        return near.upper()
    return near[0].upper() + near[1:] if printed[:1].isupper() else near


def capitals(case: Case, rule: Rule) -> Iterator[Observation]:
    """Each entry in capitals, where most of the list is not: `rest-at-least` is the share of
    the other names, in percent, that must have small letters; `shortest` the letters of a
    word that counts (shorter ones are mostly abbreviations)."""
    shortest = int(rule.parameters.number("shortest"))
    loud = [entry for entry in case.entries if _is_loud(entry.name, shortest)]
    if not loud:
        return
    entries = [entry for entry in case.entries if _LETTERS.search(entry.name)]
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


def _is_loud(name: str, shortest: int) -> bool:
    return name.isupper() and any(len(word) >= shortest for word in _LETTERS.findall(name))


def purpose(case: Case, rule: Rule) -> Iterator[Observation]:
    """Each ingredient of `which` that stands without words of its purpose: in its own name or
    notes, those of the entry that it stands in, or just before it."""
    which = rule.parameters.made("which", Choice)
    found = which.of(listing(case))
    if not found:
        return
    words = rule.parameters.pattern("said-by")
    holders = {entry.path: entry for entry in case.entries}
    for entry in found:
        if _is_said(case, entry, holders, words):
            continue
        place = which.place(case, entry)
        yield Observation(
            place,
            Certainty.PRACTICE,
            {"name": " ".join(case.source.slice(place).split())},
        )


def _is_said(
    case: Case,
    entry: Ingredient,
    holders: dict[tuple[int, ...], Ingredient],
    words: Words,
) -> bool:
    # "BHA and citric acid (preservatives)": the words may stand behind what is joined to it.
    end = _ENTRY_END.search(case.source.text, entry.span.end)
    if words.search(case.source.text[entry.span.start : end.start() if end else None]):
        return True
    parent = holders.get(entry.path[:-1])
    if parent is None:
        return False
    before = case.source.slice(Span(parent.span.start, entry.span.start))
    return bool(words.search(before) or any(words.search(note) for note in parent.notes))
