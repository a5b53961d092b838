"""Claims that something is absent ("grain free", "no corn, wheat or soy"), against the list.

What speaks against a claim is data (`rules/words/claims.yaml`), and so are its words in each
language (`rules/words/claims/`); a name that is no topic there
is looked up in the catalogue and means its whole species, or only itself.
"""

import re
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, NamedTuple

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation, Related
from panellint.core.source import Span
from panellint.core.text import fold, one_line
from panellint.ingredients.model import Ingredient
from panellint.ingredients.selector import Choice
from panellint.label.claims import (
    absence_closes,
    absence_opens,
    any_of,
    languages,
    phrases,
    words_of,
)
from panellint.lint.checks.support.free_text import (
    FreeText,
    free_text,
    free_text_matches,
    lines_without_figures,
)
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule

_DATA = "words/claims"
_WHERE = "rules/words/claims.yaml"
#: A list of things ends at a sentence's end, a bullet, a pictograph or a bracket.
_END = r"[.;!?()\[\]:|•·●*]|[^\x00-\x7f\u00c0-\u024f\u2010-\u2019]|\n\s*(?:\n|[-–—+]\s)"
#: A line's end, or a dash, that no list goes on over.
_NEXT_LINE = r"(?<!\bAND)(?<!\band)(?<!\bOR)(?<!\bor)(?<![,&/-])\n(?=\s*[A-ZÀ-Þ])"
_LINE_END = re.compile(rf"{_NEXT_LINE}|\s[–—-]\s")
_WORD = re.compile(r"[A-Za-zÀ-ɏ][\w’'-]*")
_LONGEST = 3
#: How far a list of absent things is followed, in code points: time grows with the text alone.
_FAR = 200


class Absent(NamedTuple):
    """One thing that is said to be absent: its words, where, and the choices against it."""

    name: str
    span: Span
    against: Choice | None
    perhaps: Choice | None


class _Words(NamedTuple):
    before: re.Pattern[str]
    after: re.Pattern[str]
    end: re.Pattern[str]
    joint: re.Pattern[str]
    modifiers: frozenset[str]
    fillers: frozenset[str]
    trailing: frozenset[str]
    weak: tuple[str, ...]
    apart: tuple[str, ...]
    kinds: frozenset[str]
    states: frozenset[str]
    topics: Mapping[str, tuple[Choice | None, Choice | None]]
    no_topic: frozenset[str]


@cache
def _words() -> _Words:
    claims: dict[str, Any] = data(_DATA)
    absence = claims["absence"]
    topics: dict[str, tuple[Choice | None, Choice | None]] = {}
    for topic in claims["topics"]:
        choices = (_choice(topic.get("against")), _choice(topic.get("perhaps")))
        topics.update(dict.fromkeys(words_of("topics", topic["topic"]), choices))
    joints = any_of("absence", "joints")
    return _Words(
        absence_opens(),
        absence_closes(),
        re.compile(
            # "sans grains / Grain-Free Chicken" says the same in two languages.
            rf"{_END}|{_LINE_END.pattern}|\b(?:{any_of('absence', 'ends')})\b"
            r"|\s/\s(?=[A-ZÀ-Þ][a-zà-ÿ])"
        ),
        re.compile(rf"\s*(?:,\s*(?:{joints})\b|,|&|/|\+|\b(?:{joints})\b)\s*", re.IGNORECASE),
        frozenset(words_of("absence", "modifiers")),
        frozenset(words_of("absence", "fillers")),
        frozenset(words_of("absence", "trailing")),
        tuple(absence["weak"]),
        tuple(absence["apart"]),
        frozenset(absence["general"]["kinds"]),
        frozenset(absence["general"]["states"]),
        topics,
        frozenset(word for words in languages().values() for word in words["no-topic"]),
    )


@cache
def _alone() -> tuple[tuple[str, str, Choice | None, Choice | None], ...]:
    """Returns the words that say by themselves that something is absent, with what is."""
    return tuple(
        (row["phrase"], row["means"], _choice(row["against"]), _choice(row["perhaps"]))
        for row in data(_DATA)["alone"]
    )


def _choice(given: object) -> Choice | None:
    if not given:
        return None
    flat: list[object] = []
    for item in given if isinstance(given, list) else [given]:
        flat.extend(item if isinstance(item, list) else [item])
    return Choice(flat, _WHERE)


def absences(context: LabelContext) -> tuple[Absent, ...]:
    """Returns what the label says is absent, in the order of the text; each thing once."""
    words = _words()
    absents: dict[str, Absent] = {}
    for stretch in (*free_text(context), *lines_without_figures(context)):
        for name, span in sorted(_named(stretch, words), key=lambda pair: pair[1]):
            choices = _choices(context, name, words)
            if choices is not None and name not in absents:
                absents[name] = Absent(name, span, *choices)
    for phrase, means, against, perhaps in _alone():
        for stretch, match in free_text_matches(context, phrases(phrase)):
            absents.setdefault(means, Absent(means, stretch.span(match), against, perhaps))
    return tuple(sorted(absents.values(), key=lambda absent: absent.span))


def _named(stretch: FreeText, words: _Words) -> Iterator[tuple[str, Span]]:
    """Yields the names of absent things, with the place of the claim that holds each."""
    text = stretch.text
    for opening in words.before.finditer(text):
        farthest = min(len(text), opening.end() + _FAR)
        stop = _list_end(text, opening.end(), farthest, words)
        again = words.before.search(text, opening.end(), stop)
        stop = again.start() if again else stop
        modifier = ""
        start = opening.end()
        for part in [*words.joint.finditer(text, start, stop), None]:
            close = part.start() if part else stop
            if stretch.in_name and "," in text[opening.end() : start]:
                break  # what is absent from a food is said at one place of its name
            name, modifier = _item(text[start:close], modifier, words)
            if name:
                shown = len(text[:close].rstrip())
                yield name, Span(stretch.start + opening.start(), stretch.start + shown)
            start = part.end() if part else stop
    for closing in words.after.finditer(text):
        yield from _before_free(stretch, closing, words)


def _list_end(text: str, start: int, farthest: int, words: _Words) -> int:
    """Returns where a list of absent things ends. A word that ends one in some language may be a
    thing in another ("senza mais", "ohne Soja, Mais und Weizen"): it stands between joints then."""
    for end in words.end.finditer(text, start, farthest):
        alone = not text[start : end.start()].strip() or words.joint.match(text, end.end())
        if not (end.group().isalpha() and (alone or _closes(text, end.end()))):
            return end.start()
    return farthest


def _closes(text: str, start: int) -> bool:
    return not text[start : start + 2].strip(" .;!?\n")


def _item(text: str, modifier: str, words: _Words) -> tuple[str, str]:
    """Returns one thing of a list, and the modifier that the next one inherits."""
    name = " ".join(word for word in fold(text).strip(" -–—").split() if word not in words.fillers)
    while name.rpartition(" ")[2] in words.trailing and " " in name:
        name = name.rpartition(" ")[0]
    first, _, rest = name.partition(" ")
    if first in words.modifiers and rest:
        return name, first
    if modifier and f"{modifier} {name}" in words.topics:
        return f"{modifier} {name}", modifier
    return name, modifier


def _before_free(
    stretch: FreeText, closing: re.Match[str], words: _Words
) -> Iterator[tuple[str, Span]]:
    """Yields the names before “free”: “grain and gluten free”, “soy-, corn- and wheat-free”. What
    is joined to a compound (“getreidefrei”) ends in a hyphen (“soja- und getreidefrei”)."""
    text = stretch.text
    compound = text[: closing.start()][-1:].isalpha() and closing.group()[0].isalpha()
    near = max(0, closing.start() - _FAR)
    breaks = (
        m for each in (words.end, words.before) for m in each.finditer(text, near, closing.start())
    )
    lead = max((m.end() for m in breaks), default=near)
    parts = [lead, *(m.end() for m in words.joint.finditer(text, lead, closing.start()))]
    ends = [
        *(m.start() for m in words.joint.finditer(text, lead, closing.start())),
        closing.start(),
    ]
    for number, (start, end) in reversed(list(enumerate(zip(parts, ends, strict=True)))):
        tokens = list(_WORD.finditer(text, start, end))[-_LONGEST:]
        last = number + 1 == len(parts)
        if compound and not last and not text[start:end].rstrip().endswith("-"):
            return
        by_comma = not last and text[end : parts[number + 1]].strip() == ","
        if not tokens or (not last and len(tokens) > 1 and (number or by_comma)):
            return  # "Bully sticks, odor free": a comma alone does not join several words
        for token in tokens:  # the longest name first
            name = fold(text[token.start() : end].strip(" -"))
            span = Span(stretch.start + token.start(), stretch.start + closing.end())
            yield name, span
        if not last and len(tokens) > 1:
            return


def _choices(
    context: LabelContext, name: str, words: _Words
) -> tuple[Choice | None, Choice | None] | None:
    """Returns what speaks against the absence of a thing; None where its name says nothing to
    us."""
    if name in words.topics:
        return words.topics[name]
    if not name or name in words.no_topic or len(name.split()) > _LONGEST:
        return None
    match = context.lookup(name)
    if match is None or match.how == "composed":
        lineage = context.catalogue.lineage(name)
        return _all_of(lineage[0], "", words) if lineage else None
    known = match.known
    if known.species and known.kind in words.kinds and known.state in words.states:
        return _all_of(known.species, known.kind, words)
    return Choice({"id": known.id}, _WHERE), None


def _all_of(source: str, kind: str, words: _Words) -> tuple[Choice, Choice]:
    """Returns what speaks against the absence of an animal or plant, named by an ingredient."""
    weak = list(words.weak)
    if kind in words.apart:
        return Choice({"is": source, "kind": kind}, _WHERE), Choice(
            {"is": source, "kind": weak}, _WHERE
        )
    return (
        Choice({"is": source, "not": {"kind": [*weak, *words.apart]}}, _WHERE),
        Choice({"is": source, "kind": weak}, _WHERE),
    )


def check(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds what is said to be absent and stands in the list, or may be in it."""
    entries = context.entries
    for absent in absences(context):
        added = _among_additives(context, absent)
        if added is not None:
            claim = one_line(context.source.slice(absent.span))
            values = {"claim": claim, "absent": absent.name, "names": [context.source.slice(added)]}
            related = (Related(absent.span, "the claim"),)
            yield Observation(added, Certainty.PROVEN, values, "certain", related=related)
            continue
        for certainty, choice in (
            (Certainty.PROVEN, absent.against),
            (Certainty.POSSIBLE, absent.perhaps),
        ):
            held = list(choice.among(entries)) if choice else []
            if choice and held:
                yield _observation(context, absent, choice, held, certainty)
                break


def _among_additives(context: LabelContext, absent: Absent) -> Span | None:
    """Returns the place among the additives where the group that is said to be absent stands."""
    sections = context.sections_of("additives")
    topics = (words["topics"] for words in languages().values()) if sections else ()
    same = [topic for of in topics for topic in of.values() if absent.name in topic]
    for section in sections if same else ():
        words = "|".join(re.escape(name) for names in same for name in names)
        for match in re.finditer(rf"(?<!\w)(?:{words})(?!\w)", section.text, re.IGNORECASE):
            place = Span(section.body.start + match.start(), section.body.start + match.end())
            if not absent.span.start <= place.start < absent.span.end:  # the claim itself
                return place
    return None


def _observation(
    context: LabelContext,
    absent: Absent,
    choice: Choice,
    held: list[Ingredient],
    certainty: Certainty,
) -> Observation:
    claim = one_line(context.source.slice(absent.span))
    first, *others = places = [choice.place(context, entry) for entry in held]
    names = [one_line(context.source.slice(place)) for place in places]
    return Observation(
        first,
        certainty,
        {"claim": claim, "absent": absent.name, "names": names},
        variant="certain" if certainty is Certainty.PROVEN else "doubtful",
        related=(
            Related(absent.span, "the claim"),
            *(Related(place, f"also against `{claim}`") for place in others),
        ),
    )
