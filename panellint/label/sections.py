"""The text of a label to its sections.

A section begins at a heading (`rules/words/headings.yaml`), at a statement that needs no
heading on a label (an adequacy statement, a line of guarantees, a calorie line), or at a line
that looks like a heading and is not known. It ends where the next one begins. Text without
any heading is a bare declaration.
"""

import re
from collections.abc import Callable
from functools import cache
from typing import NamedTuple

from panellint.core.source import Source, Span
from panellint.core.text import name_key
from panellint.label.additives import names_amount
from panellint.label.bound_words import bound_words
from panellint.label.columns import columned
from panellint.label.headings import Heading, heading_kinds, headings_in, near_heading
from panellint.label.kinds import kinds
from panellint.label.languages import languages_of_heading
from panellint.label.model import Section, TextFault
from panellint.label.statements import behind_name, is_guarantee, open_statement
from panellint.rulepacks.data import data, search

_UNKNOWN = re.compile(
    r"[ \t>#•*–—-]*"
    r"(?P<words>[A-Z][^\W\d_](?:[\w&/'’ -]|\.(?! [A-Z])){0,38}?)[ \t]*:(?!\d)"
)
_GOES_ON = re.compile(
    r"[,;:(\[{&/-]$|\b(?:and|or|of|with|und|et|y|e|en|oraz|och|og|ja"
    r"|contain(?:s|ing)|less(?:\s+than)?|each|(?:of|of\s+each\s+of|each\s+of)\s+the)$",
    re.IGNORECASE,
)
#: "Beetroot: 4 %" is an entry of a list.
_SHARE = re.compile(r"[ \t]*\d[\d.,]*[ \t]?%[ \t]*[,;.]?\s*")
_UNCLOSED = re.compile(r"[(\[{][^()\[\]{}]*\Z")
_SET_IN = re.compile(r"[ \t]+[a-zà-ÿ]")
_FOLLOWS_ON = re.compile(r"\s*(?:[*†‡§¶#,;)\]}]|contains?\b|less than\b|\d+\s*%|[a-zà-ÿ])")
#: Signs that draw a rule or an empty row of a table: such a line is as good as blank.
_RULE = " \t\u00a0|_=~–—-*#"
#: How a name begins, and not more of a quantity: "(340 g)".
_NAME = re.compile(r"[^\w(]*[^\W\d_a-z]")
#: What stands between two columns.
_GAP = re.compile(r"\s\s|[\t|]\s?$")
#: How far back over a line's start is looked for an open list.
_BACK = 60
_BACK_IN_STATEMENT = 400

#: Names the section of a line that is a statement without a heading, from the source, its
#: span and the kind of the section before it; None where it is no statement.
StatementKind = Callable[[Source, Span, str], str | None]


class Split(NamedTuple):
    """The sections in the order of the text; `bare` where there is a declaration and no more."""

    sections: tuple[Section, ...]
    bare: bool
    faults: tuple[TextFault, ...]


class _Builder:
    """Gathers sections while lines are read."""

    def __init__(self, source: Source) -> None:
        self.text = source.text
        self.sections: list[Section] = []
        #: The kinds of `sections`: a look at each one for each line would take its square.
        self.finished: set[str] = set()
        self.kind = ""
        self.heading = Span(0, 0)
        self.start = 0
        self.end = 0

    def begin(self, kind: str, heading: Span, start: int) -> None:
        """Close what is open and start a section whose words begin at `start`."""
        # Of two headings in a line the right one may be read first; the left one goes on below.
        below = heading.start < self.start
        self.finish(self.end if below else heading.start)
        start = max(start, self.sections[-1].body.end) if below and self.sections else start
        self.kind, self.heading, self.start, self.end = kind, heading, start, start

    def page(self, text: str) -> None:
        """Close what is open and go on in another text, that of a column."""
        self.finish(len(text))
        self.text, self.start, self.end = text, 0, 0

    def finish(self, at: int) -> None:
        """Close the open section at an offset; one without words and heading is dropped."""
        if not self.kind:
            return
        start = self.start
        printed = self.text[start : max(start, min(self.end, at))]
        # "Composition;duck, rice" is a row of a sheet.
        lead = len(printed) - len(printed.lstrip().removeprefix(";").lstrip())
        words = printed[lead:].strip()
        words = words.rstrip("| ") if self.kind in kinds("in-rows") else words
        start += lead
        if words or self.heading.end > self.heading.start:
            body = Span(start, start + len(words))
            self.sections.append(Section(self.kind, self.heading, body, words))
            self.finished.add(self.kind)
        self.kind = ""


def split(source: Source, statement_kind: StatementKind) -> Split:
    """Part the text into sections. `statement_kind` names the section of a line that is a
    statement of its own without a heading, or gives None."""

    def begins(page: Source, words: Span) -> str:
        heading = headings_in(page.text, words)[0]
        if heading is not None and _is_heading_here(heading, builder, page.text):
            return (
                "heading" if page.text[heading.after : words.end].strip(_RULE + ":;|") else "title"
            )
        # Most cells are no guarantee; a few are more than that.
        figures = is_guarantee(page, words)
        return (
            "figures" if figures and statement_kind(page, words, "untitled") == "guarantees" else ""
        )

    builder = _Builder(source)
    faults: list[TextFault] = []
    blank_before = False
    for page, line, in_columns in columned(source, begins):
        if page.text is not builder.text:
            builder.page(page.text)
        text = page.text
        # The heading before may end in this line.
        goes_on = line.start < builder.start and not in_columns
        if goes_on:
            line = Span(min(builder.start, line.end), line.end)
        words = text[line.start : line.end]
        if not words.strip(_RULE):
            if goes_on:
                continue
            blank_before = True
            if builder.kind in kinds("one-line") or (
                builder.kind == "product-name" and _open_words(builder)
            ):
                builder.finish(line.start)
            continue
        at_start, inside = headings_in(text, line)
        if goes_on:
            builder.end = inside[0].words.start if inside else line.end
        elif at_start is not None and _is_heading_here(at_start, builder, text):
            inside = [at_start, *inside]
        elif in_columns:
            kind = statement_kind(page, line, "untitled") or "untitled"
            builder.begin(kind, Span(line.start, line.start), line.start)
            builder.end = line.end
        else:
            end = inside[0].words.start if inside and at_start is None else line.end
            middle = behind_name(text[line.start : end]) if end < line.end else 0
            starts = (line.start, line.start + middle) if middle else (line.start,)
            for start, stop in zip(starts, (*starts[1:], end), strict=True):
                _unheaded(builder, page, Span(start, stop), statement_kind, blank_before, faults)
                builder.end = stop
        for number, heading in enumerate(inside):
            if not _is_heading_here(heading, builder, text):
                continue
            kind = heading.kind
            if kind == builder.kind == "product-name" and _open_words(builder):
                kind = statement_kind(page, Span(heading.after, line.end), "untitled") or kind
            builder.begin(kind, heading.words, heading.after)
            after = inside[number + 1].words.start if number + 1 < len(inside) else line.end
            builder.end = after
        blank_before = False
    builder.finish(len(source.text))
    sections = tuple(
        sorted(builder.sections, key=lambda section: (section.body, section.heading.start))
    )
    known = {section.kind for section in sections}
    bare = known <= {"untitled", "waiver", "unknown"}
    if bare:
        sections = _as_bare(source, sections)
        faults = [fault for fault in faults if fault.kind != "unknown-heading"]
    return Split(sections, bare, tuple(faults))


def _open_words(builder: _Builder) -> bool:
    return builder.end > builder.start and bool(builder.text[builder.start : builder.end].strip())


def _is_above_name(builder: _Builder) -> bool:
    """Whether the open section has its words and may stand above the product's name."""
    above = kinds("headed-above-name")
    return (
        builder.kind in above and _open_words(builder) and builder.finished <= {*above, "untitled"}
    )


def _is_heading_here(heading: Heading, builder: _Builder, text: str) -> bool:
    """ "Ash: 7 %" among guarantees is a guarantee; "Energy" among them begins the calorie line, and
    goes on in it, as "Daily amount" does over a column of directions; in another language it begins
    the same part again."""
    kind = builder.kind
    if heading.kind == "ash" and kind in kinds("list-of-figures"):
        return False
    column = text[max(0, heading.words.start - 2) : heading.words.start]
    goes_on = heading.kind == "calories" or (
        heading.kind == "feeding"
        and _GAP.search(column)
        and not _is_in_another_language(builder, text[slice(*heading.words)])
    )
    return not (heading.kind == kind and goes_on)


def _is_in_another_language(builder: _Builder, printed: str) -> bool:
    """Returns whether a heading is of other languages than that of the open section."""
    own = languages_of_heading(builder.kind, builder.text[slice(*builder.heading)])
    other = languages_of_heading(builder.kind, printed)
    return bool(own and other) and own.isdisjoint(other)


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
    # No name goes on with a line of selling points.
    named_already = builder.kind == "product-name" and not named
    open_list = builder.kind == "declaration" and _is_open(builder, words, blank_before)
    before = max(builder.start, builder.end - _BACK_IN_STATEMENT)
    begun = None if blank_before else open_statement(source.text, before, builder.end)
    if begun is not None and builder.kind not in kinds("without-statement"):
        if begun and builder.kind not in kinds("closed"):  # "380 kcal/cup. Duck Stew is formulated"
            here = Span(before + begun, before + begun)
            builder.begin("adequacy", here, here.start)
        return
    statement = None if named else statement_kind(source, line, builder.kind)
    if statement and not (open_list and statement == "guarantees"):
        if statement != builder.kind or statement == "waiver":
            builder.begin(statement, here, line.start)
        return
    nearly = None if open_list else near_heading(words)
    if nearly is not None:
        kind, place, after = nearly
        span = Span(line.start + place.start, line.start + place.end)
        if name_key(words[slice(*place)]) != name_key(kind):  # one is no misprint of several
            faults.append(TextFault("near-heading", span, kind))
        builder.begin(heading_kinds()[kind], span, line.start + after)
        return
    of_mail = search("words/statements", "mail-head").match(words)
    unknown = None if open_list or of_mail else _UNKNOWN.match(words)
    if unknown and _may_be_heading(builder, words, unknown, blank_before):
        span = Span(line.start + unknown.start("words"), line.start + unknown.end("words"))
        quantity = search("words/blocks", "net-quantity")
        if quantity.fullmatch(words[unknown.end() :].strip()):  # "Size: Net Wt 9 lb (4 kg)"
            builder.begin("net-contents", here, line.start)
            return
        faults.append(TextFault("unknown-heading", span, unknown["words"]))
        builder.begin("unknown", span, line.start + unknown.end())
        return
    if (
        builder.kind in kinds("one-line")
        or (_is_above_name(builder) and _NAME.match(words))
        or (named_already and blank_before)
        or (named_already and search("words/statements", "beside-the-name").search(words))
        or not builder.kind
        or (
            builder.kind == "declaration"
            and blank_before
            and not open_list
            and not _FOLLOWS_ON.match(words)
            and not search("words/sections", "component-line").match(words)
        )
    ):
        builder.begin("untitled", here, line.start)


def _is_open(builder: _Builder, words: str, blank_before: bool) -> bool:
    """True where the list before a line is not at its end: the line goes on with it."""
    before = builder.text[max(builder.start, builder.end - _BACK) : builder.end].rstrip()
    return (
        not before
        or bool(_GOES_ON.search(before))
        # "(u." and below it "a. lamb 4 %)"
        or (not blank_before and _UNCLOSED.search(before) is not None)
        # "potato" and below it, set in, "starch 4 %" is a name over two lines.
        or (not blank_before and before[-1] != "." and bool(_SET_IN.match(words)))
    )


@cache
def _described() -> re.Pattern[str]:
    """Returns a search for a word at the end that makes a name of those before it."""
    words = "|".join(data("words/names")["markets"]["us"]["descriptor"])
    return re.compile(rf"\b(?:{words})\W*\Z", re.IGNORECASE)


def _may_be_heading(
    builder: _Builder, words: str, unknown: re.Match[str], blank_before: bool
) -> bool:
    kind = builder.kind
    several, most = len(unknown["words"].split()), data("words/blocks")["lengths"]
    component = search("words/sections", "component-line")
    if several > most["heading-words"] or component.match(words):
        return False
    first = not kind and not builder.sections and not builder.text[: builder.end]
    if first and several >= most["name-above"]:
        return False  # "Freeze-Dried Raw Toppers: Rabbit" above all is a name
    above = {builder.kind, *builder.finished} <= {"", "untitled"}
    if several > 1 and above and _described().search(unknown["words"]):
        return False  # so is "Turducken Recipe: turkey, duck & chicken" below the brand
    if kind == "declaration" and _SHARE.fullmatch(words, unknown.end()):
        return False
    if kind in kinds("list-of-figures"):
        figure = re.match(r"\s*(?:[<>~≈(]|[OIlSB]?[\d.,/]|$)", words[unknown.end() :])
        # "Amino acids: taurine 400 mg" is a group of additives.
        amount = kind in kinds("amounts") and names_amount(words[unknown.end() :])
        return not (figure or amount or bound_words().match(words, unknown.end()))
    if kind in kinds("runs-on"):
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
