"""Sentences that bind the maker: nutritional adequacy, claims, waiver lines.

The US wordings are those of the AAFCO model regulations (PF2, PF7); "complete" and
"complementary" are those of Regulation (EC) 767/2009, Art. 3(2)(i)-(j) and 15(a).
"""

import re
from collections.abc import Collection, Iterable, Iterator
from datetime import date
from functools import cache, lru_cache
from operator import attrgetter

from panellint.core.source import Source, Span
from panellint.core.text import one_line, unbroken, without_accents
from panellint.core.wording import regex
from panellint.label.calories import STATEMENT as ENERGY
from panellint.label.guarantees import names_figures_below, names_nutrient
from panellint.label.kinds import kinds
from panellint.label.model import Adequacy, Section, WaiverLine
from panellint.rulepacks.data import data, search


@cache
def _words(part: str, key: str) -> tuple[tuple[str, re.Pattern[str]], ...]:
    """A part of `rules/words/statements.yaml` as (name, words), in the file's order."""
    return tuple((entry[key], regex(*entry["words"])) for entry in data("words/statements")[part])


def _may_name_route(words: str) -> bool:
    lowered = without_accents(words.lower())
    for sign in data("words/statements")["signs"]:  # noqa: SIM110 - 2 % of a quick lint
        if sign in lowered:
            return True
    return False


@lru_cache(maxsize=8)
def _may_state(text: str) -> bool:
    """Returns False where surely no statement stands in a text, nor in any part of it."""
    return _may_name_route(_SLIP.sub("l", one_line(text)))


def _route_of(
    words: str, before: int | None = None, besides: Collection[str] = ()
) -> tuple[str, int] | None:
    """The first route, but for some, whose words stand in the text, beginning before an offset, and
    where."""
    words = _SLIP.sub("l", words)
    if not _may_name_route(words) or _search("never").search(words):
        return None
    for name, pattern in _words("routes", "route"):
        for match in pattern.finditer(words) if name not in besides else ():
            if before is not None and match.start() >= before:
                break
            start = match.start()
            if _denied().match(words, match.end()):
                continue
            if (
                name not in _TYPES_OF_FEED
                or _BEHIND_NAME.search(words, 0, start + 1)
                or not _beside().search(words, max(0, start - _BESIDE), start)
            ):
                return name, start
    return None


def behind_name(words: str) -> int:
    """Returns where in words a type of feed stands with a capital behind the capital of a name
    ("Chunks with Salmon Complete pet food for cats"); 0 where none does."""
    route = _route_of(words)
    named = route and route[0] in _TYPES_OF_FEED and _BEHIND_NAME.search(words, 0, route[1] + 1)
    return route[1] if route and named else 0


@cache
def _search(part: str) -> re.Pattern[str]:
    """The words of a part of the file as one search: `never` of sentences that only look like a
    statement, `feeding` of how a line begins that says how to feed, `profile` of the profile's
    name, `after` of a statement behind which its own species and stages stand."""
    return search("words/statements", part)


@cache
def _beside() -> re.Pattern[str]:
    """Words, up to the place where a type of feed stands, by which it is another food's."""
    any_of = "|".join(data("words/statements")["beside"])
    article = r"\s+(?:an?|un[aeo]?|eine[mnr]?|een)\s+|\s+(?:l|un)['’]|['’]"
    between = rf"(?:[^\S\n]+[\w'’]+){{0,3}}?[^\S\n]+|{article}"
    return re.compile(rf"(?:{any_of})(?:{between})$", re.IGNORECASE)


@cache
def _denied() -> re.Pattern[str]:
    """The end of a question that is answered with no: "Is it a complete food? No, ..."."""
    words = "|".join(data("words/claims")["denied"])
    return re.compile(rf"[^.!?\n]{{0,60}}\?\W{{0,6}}(?:{words})\b", re.IGNORECASE)


#: Routes that are types of feed of the EU.
_TYPES_OF_FEED = frozenset({"complete", "complementary", "material", "mineral"})
_BEHIND_NAME = re.compile(r"(?<!\w)[A-Z][a-zà-ÿ]+ [A-Z]\Z")
#: So far before a type of feed stands what makes it another food's.
_BESIDE = 120
#: So far over a line's end is looked for the rest of a statement.
_AHEAD = 200
#: The l of a word that a scanner takes for a capital.
_SLIP = re.compile(r"(?<=[a-z])I(?=[a-z])")
#: Cells beside one another, a name in each.
_CELLS = re.compile(r"^[^\d%]*[^\W\d_]\)?(?:[ ]?\t|[ ]*\||[ ]{2})[ \t|]*[^\W\d_]")
#: Percentages, or grams three times, as of 100 g.
_PERCENT = re.compile(r"%|\bper ?cent\b|(?:\d ?g\b[^\n]*?){3}", re.IGNORECASE)
#: A line that holds a percentage alone, below the name that it is of.
_FIGURE_BELOW = re.compile(r"[ \t]*\r?\n[ \t]*(?P<figure>\d[\d.,]* ?%)(?![^\n%]{0,200}%)")
#: Figures of energy are looked for in so many characters of a line; digits without end would
#: take time without end.
_FAR = 4000
_AS_ADULT = re.compile(r"\bas\s+an?\s+adults?\b|\bà\s+l.âge\s+adulte\b", re.IGNORECASE)
_WAIVE = re.compile(
    r"^[ \t]*waive[ \t]+(?P<rules>[\w.*?-]+(?:[ \t]*,[ \t]*[\w.*?-]+)*)"
    r"(?:[ \t]+until[ \t]+(?P<until>[^\s:]+))?"
    r"[ \t]*(?::[ \t]*(?P<reason>.*))?",
    re.IGNORECASE | re.MULTILINE,
)
_RULE = re.compile(r"[\w.*?-]+")
_SPLIT = re.compile(r"[\n\r;•·✓✔|]+|(?<![\d]),|,(?!\d)|(?<=[.!])\s+")


def statement_kind(source: Source, line: Span, before: str) -> str | None:
    """The section that a line without a heading begins by itself, or None.

    `before` is the kind of the section that is open. A statement may run over the line's end.
    """
    words = source.text[line.start : line.end]
    if _WAIVE.fullmatch(words.rstrip()):
        return "waiver"
    if before in kinds("closed"):
        return None
    commas = data("words/blocks")["lengths"]["statement-commas"]
    if _may_state(source.text) and words.count(",") <= commas:
        ahead = source.text[line.end : line.end + _AHEAD].lstrip("\r\n").split("\n", 1)[0]
        if _route_of(f"{words} {ahead.strip()}", len(words)):
            behind = source.text[max(0, line.start - _AHEAD) : line.start].rstrip().split("\n")[-1]
            denied = not behind.endswith(".") and _search("never").search(f"{behind} {words}")
            return None if denied else "adequacy"
    if before in kinds("before-figures"):
        if is_guarantee(source, line):
            return "guarantees"
        if before != "declaration" and ENERGY.search(words, 0, _FAR):
            return "calories"
    printed_before = source.text[max(0, line.start - _AHEAD) : line.start].rstrip()
    if before == "declaration" and not printed_before.endswith("."):
        return None  # an open list may go on with any words
    return "feeding" if _search("feeding").match(words) else None


def is_guarantee(source: Source, line: Span) -> bool:
    """Returns whether a line is a nutrient with its percentage, or nutrients over a row of some."""
    words = source.slice(line)
    below = _FIGURE_BELOW.match(source.text, line.end)
    rows = (words, f"{words} {below['figure']}") if below else (words,)
    if _CELLS.search(words) and below is None and names_figures_below(source.text, line):
        return True
    return any(_PERCENT.search(row) and names_nutrient(row) for row in rows)


def open_statement(text: str, start: int, end: int) -> int | None:
    """Returns where, in a part of a text, the last sentence begins if it has no end and is on
    adequacy; a type of feed is no such sentence."""
    words = text[start:end]
    if words.endswith((".", "!", "?")) or not _may_state(text):
        return None
    if not _may_name_route(_SLIP.sub("l", one_line(words))):
        return None
    begun = max((end.end() for end in _SENTENCE_END.finditer(words)), default=0)
    return begun if _route_of(one_line(words[begun:]), besides=_TYPES_OF_FEED) else None


#: A full stop behind "lbs" ends no sentence where no capital follows: "(70 lbs. or more ...".
_NO_STOP = r"[.!](?:(?!\s|$)|(?:(?<=lb\.)|(?<=lbs\.))(?!\s+(?-i:[A-Z][a-z])))"
_SENTENCE = re.compile(
    rf"[^.!\n\r][^.!]*(?:{_NO_STOP}[^.!]*|(?!{_NO_STOP})[.!](?=\s|$))*", re.IGNORECASE
)
_SENTENCE_END = re.compile(r"(?<!\blb)(?<!\blbs)[.!?]\s|\n[ \t]*\n", re.IGNORECASE)
_SIGN = re.compile(r"\S")


def statements_of(sections: Iterable[Section]) -> Iterator[Adequacy]:
    """Yields every adequacy statement of a label in the order of the text, wherever it stands but
    in the list."""
    for section in sections:
        if section.kind not in kinds("without-statement") and _may_name_route(section.text):
            for sentence in _SENTENCE.finditer(section.text):
                base = section.body.start + sentence.start()
                yield from sorted(_statements_in(sentence.group(), base), key=attrgetter("span"))


def _statements_in(sentence: str, base: int) -> Iterator[Adequacy]:
    """Yields the statement of a sentence, in any order; types of feed in lines of their own are
    several."""
    parts, most = [(0, len(sentence))], data("words/blocks")["lengths"]["types-of-feed"]
    while parts and most:
        first, last = parts.pop()
        words = sentence[first:last]
        route_of_it = _route_of(words)
        if route_of_it is None:
            continue
        most -= 1
        route, at = route_of_it
        start, end = _own_lines(words, at) if route in _TYPES_OF_FEED else (0, len(words))
        parts += [
            (low, high) for low, high in ((first + end, last), (first, first + start)) if low < high
        ]
        own = words[start:end].rstrip()
        start += len(own) - len(own.lstrip())
        whole = unbroken(own)
        after = _search("after").search(whole)
        behind = whole[after.end() :] if after else whole
        size = search("words/statements", "large-dogs").search(own)
        large = size["how"].lower() if size else None
        profile = _search("profile").search(whole)  # large-size dogs may stand behind it
        yield Adequacy(
            route=route,
            species=species_in((profile or [""])[0]) or species_in(behind) or species_in(whole),
            stages=stages_in(behind) or stages_in(whole),
            large_size="included" if large == "including" else large and "excluded",
            span=Span(base + first + start, base + first + end),
        )


def _own_lines(words: str, at: int) -> tuple[int, int]:
    """The line of a type of feed, and the next one where it goes on in small letters."""
    start = words.rfind("\n", 0, at) + 1
    end = words.find("\n", at)
    while end >= 0 and (sign := _SIGN.search(words, end)) and sign.group().islower():
        end = words.find("\n", end + 1)
    return start, len(words) if end < 0 else end


def species_in(words: str) -> str | None:
    """ "dog", "cat", or None where neither or both are named."""
    named = species_named(words)
    return named[0] if len(named) == 1 else None


def species_named(words: str) -> tuple[str, ...]:
    """Every animal that the words name, in a fixed order."""
    return tuple(name for name, pattern in _words("species", "species") if pattern.search(words))


def stages_in(words: str) -> tuple[str, ...]:
    """The life stages that the words name, in a fixed order.

    The weight of large-size dogs "as an adult" names no stage.
    """
    words = _AS_ADULT.sub("", words)
    return tuple(name for name, pattern in _words("stages", "stage") if pattern.search(words))


def read_claims(text: str, base: int) -> Iterator[tuple[str, Span]]:
    """Each claim with its place: parted by commas, bullets, lines or sentences."""
    start = 0
    for end in [*_SPLIT.finditer(text), None]:
        words = text[start : end.start() if end else None]
        if stripped := words.strip(" \t\r\n.!-–—•✓✔*"):
            at = base + start + words.find(stripped)
            yield one_line(stripped), Span(at, at + len(stripped))
        start = end.end() if end else start


def read_waivers(text: str, base: int) -> Iterator[WaiverLine]:
    """The waivers of lines, one for each rule that they name; a date that cannot be read counts as
    none."""
    for match in _WAIVE.finditer(text):
        try:
            until = date.fromisoformat(match["until"] or "")
        except ValueError:
            until = None
        for rule in _RULE.finditer(text, match.start("rules"), match.end("rules")):
            yield WaiverLine(
                rule=rule[0],
                until=until,
                reason=(match["reason"] or "").strip(),
                span=Span(base + match.start(), base + match.start() + len(match[0].rstrip())),
                rule_span=Span(base + rule.start(), base + rule.end()),
            )
