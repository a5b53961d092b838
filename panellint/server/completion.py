"""What can be typed at a place: headings, ingredient names, nutrients, facts, rules to waive."""

import re
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from lsprotocol.types import CompletionItemKind as Kind

from panellint.analysis.context import LabelContext
from panellint.core.phrases import capital
from panellint.core.source import Span
from panellint.core.text import fold_name
from panellint.label.model import Section
from panellint.rulepacks import settings
from panellint.rulepacks.data import data

#: A client asks again as typing goes on, so that a long list helps nobody.
MOST = 50

_SEPARATOR = re.compile(r"[,;:(\[{\n\r]|\band\s", re.IGNORECASE)
_WAIVE = re.compile(r"\s*waive\s+(?P<rule>[\w.-]*)", re.IGNORECASE)
_HEADED = re.compile(r"[^\W\d_][^:\n]*:\s*")
_WORDS = re.compile(r"[^:]*")


class Completion(NamedTuple):
    """A text to put in place of `span`; `detail` is what it is."""

    text: str
    span: Span
    kind: Kind
    detail: str


def completions(context: LabelContext, offset: int) -> tuple[list[Completion], bool]:
    """Returns what fits at an offset, best first, and whether that is all there is."""
    ranked = list(_found(context, offset))
    return ranked[:MOST], len(ranked) <= MOST


def _found(context: LabelContext, offset: int) -> Iterator[Completion]:
    source = context.source
    number = source.position(offset).line
    start = source.line_start(number)
    before = source.text[start:offset]
    section = _section(context, offset)
    if waive := _WAIVE.fullmatch(before):
        yield from _rules(context, Span(start + waive.start("rule"), offset), waive["rule"])
        return
    if section is not None and section.kind == "declaration" and offset >= section.body.start:
        begin = _word_start(source.text, section.body.start, offset)
        yield from _ingredients(context, Span(begin, offset))
    elif section is not None and section.kind == "guarantees" and offset >= section.body.start:
        begin = _word_start(source.text, max(section.body.start, start), offset)
        yield from _nutrients(context, Span(begin, offset))
    elif section is not None and (headed := _HEADED.match(before)):
        yield from _facts(section.kind, Span(start + headed.end(), offset), before[headed.end() :])
    if _WORDS.fullmatch(before):
        yield from _headings(context, Span(start + len(before) - len(before.lstrip()), offset))


def _section(context: LabelContext, offset: int) -> Section | None:
    """Returns the section that an offset stands in or behind."""
    return next((s for s in reversed(context.label.sections) if s.heading.start <= offset), None)


def _word_start(text: str, least: int, offset: int) -> int:
    """Returns where the entry begins that is being typed."""
    begin = least
    for match in _SEPARATOR.finditer(text, least, offset):
        begin = match.end()
    while begin < offset and (text[begin].isspace() or text[begin] in "*•."):
        begin += 1
    return begin


def _ranked(names: Iterable[str], typed: str) -> list[str]:
    """Names that begin as typed, then those of which a later word does; short ones first."""
    within = f" {typed}"
    ranks = [
        (not name.startswith(typed), len(name), name)
        for name in names
        if name.startswith(typed) or within in name
    ]
    return [name for _, _, name in sorted(ranks)]


def _ingredients(context: LabelContext, span: Span) -> Iterator[Completion]:
    typed = fold_name(context.source.slice(span))
    if not typed:
        return
    catalogue, language = context.catalogue, context.language
    region = "us" if context.market in ("us", "ca") else "gb"
    ids = {**catalogue.table(language), **catalogue.table(f"{language}-{region}")}
    for key in _ranked(ids, typed)[: MOST + 1]:
        known = catalogue.known(ids[key])
        printed = next((name for name in known.names if fold_name(name) == key), key)
        what = filter(None, (known.kind.replace("-", " "), known.species))
        yield Completion(printed, span, Kind.Value, ", ".join(what))


def _nutrients(context: LabelContext, span: Span) -> Iterator[Completion]:
    typed = context.source.slice(span).casefold()
    rows = {
        name: row["unit"]
        for row in data("nutrients/nutrients")["nutrients"]
        for name in row["names"].get(context.language, row["names"]["en"])[:2]
    }
    if typed:
        for name in _ranked(rows, typed):
            yield Completion(capital(name), span, Kind.Field, rows[name])


def _headings(context: LabelContext, span: Span) -> Iterator[Completion]:
    typed = context.source.slice(span).casefold()
    kinds: dict[str, str] = {}
    for entry in data("words/headings")["headings"]:
        own = entry["words"].get(context.language, ())
        for words in (*own, *(entry["words"].get("en", ()) if not own or typed else ())):
            kinds.setdefault(words, entry["kind"])
    given = {section.kind for section in context.label.sections}
    offered: set[str] = set()
    for words in _ranked(kinds, typed) if typed else kinds:
        kind = kinds[words]
        if typed or (kind not in given and kind not in offered):
            offered.add(kind)
            detail = kind.replace("-", " ")
            yield Completion(f"{capital(words)}: ", span, Kind.Keyword, detail)


def _facts(kind: str, span: Span, typed: str) -> Iterator[Completion]:
    values: tuple[str, ...] = ()
    if kind == "market":
        values = settings.markets()
    elif kind == "species":
        values = ("dog", "cat")
    elif kind == "form":
        values = tuple(form["id"] for form in data("data/forms")["forms"])
    for value in values:
        if value.startswith(typed.casefold().strip()):
            text = value.upper() if kind == "market" else value
            yield Completion(text, span, Kind.EnumMember, kind)


def _rules(context: LabelContext, span: Span, typed: str) -> Iterator[Completion]:
    for rule in context.settings.rules.values():
        if rule.id.startswith(typed.casefold()):
            yield Completion(rule.id, span, Kind.Reference, rule.title)
