"""What each printed percentage is a percentage of, as far as the text tells.

A figure at the top of the list counts in the food. Inside a bracket the words decide
("in the chunk", "rehydrated"), then the sums; where neither does, it stays unclear and
nothing may be concluded from it. Percentages of EU declarations are by weight of the feed
(Regulation (EC) 767/2009, Art. 17(1)(e) and 17(2)(a)).
"""

import re
from decimal import Decimal
from functools import cache

from panellint.label.model import Bound, Bracket, Entry, Percent, PercentOf
from panellint.rulepacks.data import data

_WHOLE = Decimal(100)


@cache
def _words() -> tuple[re.Pattern[str], re.Pattern[str], re.Pattern[str], re.Pattern[str]]:
    """Words that say a figure counts in a component; the same at a name's end; words that say that
    it counts in the food once water is added; and such as say nothing of it ("fresh")."""
    words = data("words/declarations")["bases"]
    within, parts = "|".join(words["within"]), "|".join(words["components"])
    place = (
        rf"(?:{within})\s+(?:(?:{'|'.join(words['articles'])})\s+)?(?:\w+\s+){{0,4}}?(?:{parts})\b"
    )
    return (
        re.compile(rf"\b{place}", re.IGNORECASE),
        re.compile(rf"\s+{place}$", re.IGNORECASE),
        re.compile("|".join(words["rehydrated"]), re.IGNORECASE),
        re.compile("|".join(words["fresh"]), re.IGNORECASE),
    )


def settle(entries: tuple[Entry, ...]) -> tuple[Entry, ...]:
    """The same tree with every percentage's `of` decided."""
    alone = len(entries) == 1
    return tuple(_entry(entry, PercentOf.FOOD, alone=alone) for entry in entries)


def _entry(entry: Entry, of: PercentOf, *, alone: bool = False) -> Entry:
    percents = entry.percents
    if not percents and not entry.brackets:
        return entry
    stated = base_stated(" ".join([entry.name, *entry.trailing]))
    if stated is PercentOf.COMPONENT and percents:
        entry = _without_place(entry)
    own, brackets = _own_note(entry)
    percents = tuple(
        p._replace(of=PercentOf.UNCLEAR if not alone and _is_quality(p, entry) else stated or of)
        for p in percents
    )
    if own:
        percents = (*percents, *own)
    parent = next((p for p in percents if p.of is PercentOf.FOOD), None)
    if percents and parent is None:
        of = PercentOf.UNCLEAR  # of what its own figure counts in, its members' may too
    return entry._replace(
        percents=percents, brackets=tuple(_bracket(bracket, parent, of) for bracket in brackets)
    )


def _without_place(entry: Entry) -> Entry:
    """The entry without the words that say where its figure counts: "4 % lamb in the chunk"."""
    place = _words()[1].search(entry.name)
    if place is None or not place.start():
        return entry
    name = entry.name[: place.start()]
    words = entry.words[: len(name.split())]
    span = entry.name_span._replace(end=words[-1].end)
    kept = (*entry.trailing, place.group().strip())
    return entry._replace(name=name, name_span=span, words=words, trailing=kept)


def _is_quality(percent: Percent, entry: Entry) -> bool:
    """True where the figure tells a quality and no share: "90 % lean beef", "100 % pure"."""
    if percent.span.end > entry.name_span.start or not entry.name:
        return False
    words = data("words/declarations")
    qualities = list(words["qualities"])
    if percent.value == _WHOLE:
        qualities += words["wholly"]
    return re.match("|".join(qualities), entry.name, re.IGNORECASE) is not None


def _own_note(entry: Entry) -> tuple[tuple[Percent, ...], tuple[Bracket, ...]]:
    """Figures that a bracket gives for the entry itself: "(4 % in the chunk)", "(8 % fresh)"."""
    own: list[Percent] = []
    kept: list[Bracket] = []
    for bracket in entry.brackets:
        only = bracket.entries[0] if len(bracket.entries) == 1 else None
        stated = base_stated(only.name) if only else None
        if stated and only and not _is_only_place(only.name):
            stated = None
        if only and not entry.percents and _words()[3].fullmatch(only.name.strip()):
            stated = PercentOf.FOOD
        if only and stated and only.percents and not only.brackets:
            own.extend(p._replace(of=stated) for p in only.percents)
        else:
            kept.append(bracket)
    return tuple(own), tuple(kept)


def _is_only_place(words: str) -> bool:
    component, _, rehydrated, _ = _words()
    rest = rehydrated.sub("", component.sub("", words)).lower()
    return not re.search(r"[^\W\d_]{3,}", re.sub(r"\b(?:when|once|ed|to|as|d)\b", "", rest))


def base_stated(words: str) -> PercentOf | None:
    """Returns what words say that a figure is a part of; None where they do not say."""
    component, _, rehydrated, _ = _words()
    if rehydrated.search(words):
        return PercentOf.REHYDRATED
    return PercentOf.COMPONENT if component.search(words) else None


def _bracket(bracket: Bracket, parent: Percent | None, of: PercentOf) -> Bracket:
    whole = of is PercentOf.FOOD and bracket.opener != ":"
    inner = _inside(bracket, parent) if whole else PercentOf.UNCLEAR
    return bracket._replace(entries=tuple(_entry(entry, inner) for entry in bracket.entries))


def _inside(bracket: Bracket, parent: Percent | None) -> PercentOf:
    """What the members' figures count in, from the parent's figure and their sum."""
    figures = [p for entry in bracket.entries for p in entry.percents[:1]]
    if not figures:
        return PercentOf.UNCLEAR
    if parent is None:
        # A bracket that adds up to a whole splits its entry; otherwise the figure is the
        # emphasised material's own, by weight of the food.
        total = sum((p.value for p in figures), Decimal(0))
        return PercentOf.PARENT if _near(total, _WHOLE, figures) else PercentOf.FOOD
    total = sum((p.value for p in figures), Decimal(0))
    if any(p.value - p.half_unit > parent.value + parent.half_unit for p in figures):
        return PercentOf.PARENT
    full = len(figures) == len(bracket.entries)
    if bracket.partial:
        # "of which chicken 4 %" is by weight of the feed, as the Regulation has it.
        return PercentOf.FOOD
    if full and parent.bound is Bound.EXACT:
        if _near(total, parent.value, [*figures, parent]):
            return PercentOf.FOOD
        if _near(total, _WHOLE, figures):
            return PercentOf.PARENT
    return PercentOf.UNCLEAR


def _near(total: Decimal, goal: Decimal, figures: list[Percent]) -> bool:
    return abs(total - goal) <= sum((p.half_unit for p in figures), Decimal(0))
