"""The text of a label to its sections.

A section begins at a heading (`rules/words/headings.yaml`), at a statement that needs no
heading on a label (an adequacy statement, a line of guarantees, a calorie line), or at a line
that looks like a heading and is not known. It ends where the next one begins. Text without
any heading is a bare declaration.
"""

import re
from collections.abc import Callable, Iterator
from functools import cache
from typing import NamedTuple

from panellint.core.source import Source, Span
from panellint.core.text import fold
from panellint.label.model import Section, TextFault
from panellint.label.near_words import KnownWords
from panellint.rulepacks.data import data

#: Words at the start of a line that may be a heading: up to a colon, or the whole line.
_HEADED = re.compile(r"[^\w(\[\n]*(?P<words>\w[\w|!'’ -]{5,38}?)[ \t]*(?P<end>:(?!\d)|$)")
#: Two columns of a page, pasted side by side.
_GAP = re.compile(r"(?<=\S)(?:[ \u00a0]{3,}|\t+)(?=[^\W\d_])")
_UNKNOWN = re.compile(
    r"[ \t>#•*–—-]*"
    r"(?P<words>(?!From\b)[A-Z][^\W\d_](?:[\w&/'’ -]|\.(?! [A-Z])){0,38}?)[ \t]*:(?!\d)"
)
_GOES_ON = re.compile(
    r"[,;:(\[{&/-]$|\b(?:and|or|of|with|und|et|y|e|en"
    r"|contain(?:s|ing)|less(?:\s+than)?|each|(?:of|of\s+each\s+of|each\s+of)\s+the)$",
    re.IGNORECASE,
)
_SET_IN = re.compile(r"[ \t]+[a-zà-ÿ]")
_FOLLOWS_ON = re.compile(r"\s*(?:[*†‡§¶#,;)\]}]|contains?\b|less than\b|\d+\s*%|[a-zà-ÿ])")
_COMPONENT_LINE = re.compile(
    r"\s*(?:\w+\s+){0,2}(?:gravy|sauce|jelly|kibbles?|chunks?|pieces?|filling|coating|topping|base|broth"
    r"|stew|crunch|bites?|centre|center|croquettes?|vitamins?|minerals?)\s*:",
    re.IGNORECASE,
)
#: Sections whose words stand on the heading's own line.
_ONE_LINE = frozenset(
    "species form market life-stage language price source ash batch-sheet brand waiver".split()
)
#: Sections in which "name: figure" is a line of the section and no heading.
_LISTS_OF_FIGURES = frozenset("guarantees additives calories feeding net-contents".split())
#: Bare headings that words may follow ("Made by Quillbrook Larder"), not only figures.
_BEFORE_WORDS = frozenset("declaration guarantees maker".split())
#: Headings that are known by nearly their words where they stand alone on a line.
_ALONE = frozenset("declaration guarantees additives calories feeding".split())
#: Sections whose text runs on over lines that look like headings.
_PROSE = frozenset("contact feeding warnings".split())


#: Signs that draw a rule or an empty row of a table: such a line is as good as blank.
_RULE = " \t\u00a0|_=~–—-*#"
#: How far back over a line's start is looked for an open list.
_BACK = 60

#: Names the section of a line that is a statement without a heading, from the source, its
#: span and the kind of the section before it; None where it is no statement.
StatementKind = Callable[[Source, Span, str], str | None]


class Heading(NamedTuple):
    """A heading found in the text: its section kind and where its words stand."""

    kind: str
    words: Span
    after: int


class Split(NamedTuple):
    """The sections in the order of the text; `bare` where there is a declaration and no more."""

    sections: tuple[Section, ...]
    bare: bool
    faults: tuple[TextFault, ...]


#: Where a heading may begin: at the start of a line, or after the end of a sentence. There
#: it has a capital.
_AT_START = re.compile(r"[^\w(\[\n]*(?P<word>[^\W\d_]+)")
_INSIDE = re.compile(r"[.;!?%)\]|·•][ \t](?:/[ \t])?(?P<word>[^\W\d_a-z][^\W\d_]*)")
_WORD = re.compile(r"[^\W\d_]+")
#: Two headings on one line: "best before / batch number".
_JOINED = re.compile(r"[ \t]*(?:/|&|and|und|et|y|e|en)[ \t]*(?=(?P<word>[^\W\d_]+))", re.IGNORECASE)
_AFTER = re.compile(
    r"(?P<note>[ \t]*\([^()\n]{0,80}\))?[ \t]*(?P<mark>[:：]|[–—-](?=[ \t])|\.{2,}|…)?"
)
_COLONS = (":", "：")
#: "Feeding directions for puppies:", "Fütterungsempfehlung pro Tag:", "Questions? Call:".
_MORE = re.compile(r"(?:[ \t]+[^\W\d_][\w.'’-]*){1,3}[ \t]*(?=[:：])")
#: Sections whose heading may say more than the known words.
_HEADED_AT_LENGTH = frozenset("feeding lot best-before storage contact".split())
_COUNTS = re.compile(r"\d|[<>~≈]")
#: The amount of feed behind a heading: "additives per kg", "(je kg)", "/kg".
PER_KILOGRAM = re.compile(
    r"[ \t\u00a0]*(?:\(?(?:per|par|je|pro|por)[ \t\u00a0]+|/[ \t]*)kg\b\)?", re.IGNORECASE
)


class _Vocabulary(NamedTuple):
    """The headings: kind by folded words, the bare kinds, the phrases by first word, and
    the words for a search of near ones."""

    kinds: dict[str, str]
    bare: frozenset[str]
    by_word: dict[str, list[str]]
    near: KnownWords


@cache
def _vocabulary() -> _Vocabulary:
    kinds: dict[str, str] = {}
    bare = set()
    by_word: dict[str, list[str]] = {}
    for entry in data("words/headings")["headings"]:
        for words in entry["words"].values():
            for phrase in words:
                folded = fold(phrase)
                if kinds.setdefault(folded, entry["kind"]) == entry["kind"]:
                    first = _WORD.match(folded)
                    by_word.setdefault(first.group() if first else "", []).append(folded)
        if entry.get("bare"):
            bare.add(entry["kind"])
    return _Vocabulary(kinds, frozenset(bare), by_word, KnownWords(kinds))


def heading_kinds() -> dict[str, str]:
    """The headings, folded, in every language, to their kinds of section."""
    return _vocabulary().kinds


@cache
def _beginning_with(word: str) -> re.Pattern[str]:
    """The headings that begin with a word, the longest first."""
    phrases = sorted(_vocabulary().by_word[word], key=lambda phrase: (-len(phrase), phrase))
    any_of = "|".join(
        re.escape(p).replace(r"\ ", r"[ \t\u00a0]+").replace("'", "['’]") for p in phrases
    )
    return re.compile(rf"(?:{any_of})(?!\w)", re.IGNORECASE)


def _phrase_at(text: str, word: str, start: int) -> re.Match[str] | None:
    """The longest heading that begins with a word, at its place in the text."""
    folded = word.lower()
    return _beginning_with(folded).match(text, start) if folded in _vocabulary().by_word else None


def _headings(text: str, line: Span) -> tuple[Heading | None, list[Heading]]:
    """The heading at the start of a line, and those behind the sentences in it."""
    first = _AT_START.match(text, line.start, line.end)
    at_start = _heading_at(text, first["word"], first.start("word"), True) if first else None
    inside = []
    for place in _INSIDE.finditer(text, line.start, line.end):
        heading = _heading_at(text, place["word"], place.start("word"), False)
        if heading is not None and (at_start is None or heading.after > at_start.after):
            inside.append(heading)
    return at_start, inside


def _heading_at(text: str, word: str, start: int, at_line_start: bool) -> Heading | None:
    """The heading that begins with a word, where its words are one."""
    phrase = _phrase_at(text, word, start)
    if phrase is None:
        return None
    vocabulary = _vocabulary()
    kind = vocabulary.kinds[fold(phrase.group())]
    end = phrase.end()
    if per := PER_KILOGRAM.match(text, end):
        end = per.end()
    if text.startswith(_COLONS, end):  # as most do; inside a line it begins with a capital
        return (
            Heading(kind, Span(start, end), end + 1) if at_line_start or word[0].isupper() else None
        )
    more = _MORE.match(text, end) if kind in _HEADED_AT_LENGTH and word[0].isupper() else None
    if more is not None:
        return Heading(kind, Span(start, more.end()), more.end() + 1)
    joined = _JOINED.match(text, end)
    second = _phrase_at(text, joined["word"], joined.end()) if joined else None
    if second is not None:
        end = second.end()
    after = _AFTER.match(text, end)
    assert after is not None  # it matches nothing too
    heading = Heading(kind, Span(start, after.end("note") if after["note"] else end), after.end())
    return (
        heading
        if _is_heading(text, heading, after, at_line_start, kind in vocabulary.bare)
        else None
    )


def _is_heading(
    text: str, heading: Heading, after: re.Match[str], at_line_start: bool, bare: bool
) -> bool:
    """True where the words at this place are a heading and not a part of a sentence."""
    colon = after["mark"] in _COLONS
    capital = text[heading.words.start].isupper()
    if not at_line_start:
        return colon and capital
    follows = text[after.end() : after.end() + 40].split("\n", 1)[0].strip()
    if colon or (not follows and (after["note"] or not after["mark"])):
        return True
    if bare and after["mark"]:
        return True
    starts = bare and (heading.kind in _BEFORE_WORDS or bool(_COUNTS.match(follows)))
    if heading.kind == "calories" and after["note"]:
        starts = True
    return starts and follows != "" and (capital or heading.kind != "declaration")


class _Builder:
    """Gathers sections while lines are read."""

    def __init__(self, source: Source) -> None:
        self.text = source.text
        self.sections: list[Section] = []
        self.kind = ""
        self.heading = Span(0, 0)
        self.start = 0
        self.end = 0

    def begin(self, kind: str, heading: Span, start: int) -> None:
        """Close what is open and start a section whose words begin at `start`."""
        self.finish(heading.start)
        self.kind, self.heading, self.start, self.end = kind, heading, start, start

    def finish(self, at: int) -> None:
        """Close the open section at an offset; one without words and heading is dropped."""
        if not self.kind:
            return
        start = self.start
        printed = self.text[start : max(start, min(self.end, at))]
        words = printed.strip()
        start += len(printed) - len(printed.lstrip())
        if words or self.heading.end > self.heading.start:
            body = Span(start, start + len(words))
            self.sections.append(Section(self.kind, self.heading, body, words))
        self.kind = ""


def split(source: Source, statement_kind: StatementKind) -> Split:
    """Part the text into sections. `statement_kind` names the section of a line that is a
    statement of its own without a heading, or gives None."""
    text = source.text
    builder = _Builder(source)
    faults: list[TextFault] = []
    blank_before = False
    for line, in_columns in _columns(source, statement_kind):
        words = text[line.start : line.end]
        if not words.strip(_RULE):
            blank_before = True
            if builder.kind in _ONE_LINE or (
                builder.kind == "product-name" and _open_words(builder)
            ):
                builder.finish(line.start)
            continue
        at_start, inside = _headings(text, line)
        if at_start is not None and _is_heading_here(at_start, builder.kind):
            inside = [at_start, *inside]
        elif in_columns:
            kind = statement_kind(source, line, "untitled") or "untitled"
            builder.begin(kind, Span(line.start, line.start), line.start)
            builder.end = line.end
        else:
            _unheaded(builder, source, line, statement_kind, blank_before, faults)
            builder.end = inside[0].words.start if inside and at_start is None else line.end
        for number, heading in enumerate(inside):
            if not _is_heading_here(heading, builder.kind):
                continue
            builder.begin(heading.kind, heading.words, heading.after)
            after = inside[number + 1].words.start if number + 1 < len(inside) else line.end
            builder.end = after
        blank_before = False
    builder.finish(len(text))
    sections = tuple(builder.sections)
    known = {section.kind for section in sections}
    bare = known <= {"untitled", "waiver", "unknown"}
    if bare:
        sections = _as_bare(source, sections)
        faults = [fault for fault in faults if fault.kind != "unknown-heading"]
    return Split(sections, bare, tuple(faults))


def _columns(source: Source, statement_kind: StatementKind) -> Iterator[tuple[Span, bool]]:
    """The lines of the text, and whether each is a piece of one: a line over two columns of a
    page comes in pieces, where the right one begins with a heading or is a guarantee."""
    for line in source.lines():
        start, in_columns = line.start, False
        for gap in _GAP.finditer(source.text, line.start, line.end):
            right = Span(gap.end(), line.end)
            if _begins(source, right, statement_kind):
                in_columns = True
                yield Span(start, gap.start()), True
                start = gap.end()
        yield Span(start, line.end), in_columns


def _begins(source: Source, right: Span, statement_kind: StatementKind) -> bool:
    heading, _ = _headings(source.text, right)
    return heading is not None or statement_kind(source, right, "untitled") == "guarantees"


def _open_words(builder: _Builder) -> bool:
    return builder.end > builder.start and bool(builder.text[builder.start : builder.end].strip())


def _is_heading_here(heading: Heading, kind: str) -> bool:
    """ "Ash: 7 %" among guarantees is a guarantee; "Energy" among them begins the calorie line."""
    return not (heading.kind == "ash" and kind in _LISTS_OF_FIGURES)


def _unheaded(
    builder: _Builder,
    source: Source,
    line: Span,
    statement_kind: StatementKind,
    blank_before: bool,
    faults: list[TextFault],
) -> None:
    """A line without a known heading: it goes on, is a statement, or has an unknown heading."""
    words = source.text[line.start : line.end]
    here = Span(line.start, line.start)
    named = builder.kind == "product-name" and not _open_words(builder)
    open_list = builder.kind == "declaration" and _is_open(builder, words, blank_before)
    statement = None if named else statement_kind(source, line, builder.kind)
    if statement and not (open_list and statement == "guarantees"):
        if statement != builder.kind or statement == "waiver":
            builder.begin(statement, here, line.start)
        return
    nearly = None if open_list else _near_heading(words)
    if nearly is not None:
        kind, place, after = nearly
        span = Span(line.start + place.start, line.start + place.end)
        faults.append(TextFault("near-heading", span, kind))
        builder.begin(_vocabulary().kinds[kind], span, line.start + after)
        return
    unknown = None if open_list else _UNKNOWN.match(words)
    if unknown and _may_be_heading(builder, words, unknown, blank_before):
        span = Span(line.start + unknown.start("words"), line.start + unknown.end("words"))
        faults.append(TextFault("unknown-heading", span, unknown["words"]))
        builder.begin("unknown", span, line.start + unknown.end())
        return
    if (
        builder.kind in _ONE_LINE
        or (builder.kind == "product-name" and _open_words(builder) and blank_before)
        or not builder.kind
        or (
            builder.kind == "declaration"
            and blank_before
            and not open_list
            and not _FOLLOWS_ON.match(words)
            and not _COMPONENT_LINE.match(words)
        )
    ):
        builder.begin("untitled", here, line.start)


def _near_heading(words: str) -> tuple[str, Span, int] | None:
    """The heading that a line nearly begins with, its place and where its words begin; one
    without a colon is such where it stands alone and may go without one."""
    match = _HEADED.match(words)
    if match is None:
        return None
    vocabulary = _vocabulary()
    heading = vocabulary.near.near(PER_KILOGRAM.sub("", match["words"]))
    if heading is None or (not match["end"].strip() and vocabulary.kinds[heading] not in _ALONE):
        return None
    return heading, Span(*match.span("words")), match.end()


def _is_open(builder: _Builder, words: str, blank_before: bool) -> bool:
    """True where the list before a line is not at its end: the line goes on with it."""
    before = builder.text[max(builder.start, builder.end - _BACK) : builder.end].rstrip()
    return (
        not before
        or bool(_GOES_ON.search(before))
        # "potato" and below it, set in, "starch 4 %" is a name over two lines.
        or (not blank_before and before[-1] != "." and bool(_SET_IN.match(words)))
    )


def _may_be_heading(
    builder: _Builder, words: str, unknown: re.Match[str], blank_before: bool
) -> bool:
    kind = builder.kind
    if len(unknown["words"].split()) > 5 or _COMPONENT_LINE.match(words):
        return False
    if kind in _LISTS_OF_FIGURES:
        return not re.match(
            r"\s*(?:[<>~≈(]|min|max|not|[OIlSB]?[\d.,]|$)", words[unknown.end() :], re.IGNORECASE
        )
    if kind in _PROSE:
        return blank_before
    return kind != "" or blank_before or builder.sections != [] or builder.start == 0


def _as_bare(source: Source, sections: tuple[Section, ...]) -> tuple[Section, ...]:
    """A text without headings is one declaration; waiver lines after it keep their place."""
    waivers = tuple(section for section in sections if section.kind == "waiver")
    end = min((section.body.start for section in waivers), default=len(source.text))
    words = source.text[:end]
    lead = len(words) - len(words.lstrip("\ufeff \t\r\n"))
    body = Span(min(lead, end), max(min(lead, end), len(words.rstrip())))
    declaration = Section("declaration", Span(body.start, body.start), body, source.slice(body))
    return (declaration, *waivers) if declaration.text else waivers
