"""What became of the text of a label that was read: the stretches of its ledger."""

import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence

from panellint.core.source import Span
from panellint.core.text import fold
from panellint.label.bound_words import bound_words
from panellint.label.evidence import earns, headed, is_sentence, maybe, misprinted
from panellint.label.headings import heading_kinds
from panellint.label.kinds import kinds
from panellint.label.languages import language_marks
from panellint.label.ledger import Fate, Stretch
from panellint.label.model import Entry, Label, Section

#: What pages leave behind: tags, characters by name, links.
_REMNANT = re.compile(r"<[^<>\n]{1,80}>|&(?:\w{2,8}|#\d{1,5});|\]\([^()\n]*\)")
_WORD = re.compile(r"[^\W_]")
_AROUND = " :–—-"
#: What stands together in a column, and what follows it: the other column, or the next line.
_OF_A_COLUMN = re.compile(r"\S+(?:[ \u00a0]{1,2}\S+)*")
_GAP = re.compile(r"(?<=\S)(?:[ \u00a0]{3}|\s*\n)")
#: Where there is no section.
_NONE = Section("", Span(0, 0), Span(0, 0), "")
#: The trait of parts that a sentence without figures and colons may name without being one.
_NAMED = "named-in-sentences"
#: So many sections before a place may run over it in columns.
_NEAR = 8
#: So much of a piece says what it is.
_FAR = 400
#: A line, or a sentence in it, which may go on below set in or in small letters; in a table, a
#: footnote or a cell.
#: What begins with a name and a colon or a bar is a row of its own.
_ON = r"(?![^\s:|][^\n:|]{0,13}[:|])(?:[ \t]*[a-zà-ÿ(&]|[ \t]+\S)"
_SENTENCE = re.compile(
    rf"\S(?:(?:[^\n\r]|\r?\n(?={_ON}))*?\S)?"
    rf"(?:(?<=[.!?])(?=\s)|(?=\s*\r?\n(?!{_ON}))|(?=\s*\r(?!\n))|(?=\s*\Z))"
)
_CELL = re.compile(r"[*†‡§¶][^.;%]{1,200}\.|[^\s,;|•](?:(?:,(?=\d)|[^\n\r,;|•])*[^\s,;|•])?")
#: In the small print, what stands between commas, bars, bullets or full stops that end no
#: abbreviation ("Ch.-B. K-118").
_ITEM = re.compile(
    r"[^\s,;|•·](?:(?:\.(?!\s)|,(?=\d)|(?:(?<=\b[^\W\d_])|(?<=\b[^\W\d_]{2}))\.|[^\n\r,;|•·.])*[^\s,;|•·])?"
)


def fates(label: Label) -> Iterator[Stretch]:
    """Yields the stretches of a label's text, in order: what was read where it stands, and what
    became of the words between."""
    end = 0
    for mark in sorted(_marks(label), key=lambda stretch: (stretch.span.start, -stretch.span.end)):
        start = max(mark.span.start, end)
        if mark.span.end > start:
            yield from _between(label, end, start)
            yield mark._replace(span=Span(start, mark.span.end))
            end = mark.span.end
    yield from _between(label, end, len(label.source.text))


def _marks(label: Label) -> Iterator[Stretch]:
    """Yields what has a place of its own in the label: headings, entries, figures, statements."""
    for section in label.sections:
        if section.heading.end > section.heading.start and section.kind != "unknown":
            yield Stretch(Fate.READ, section.heading, "heading", section.kind)
    notes = [note.span for note in label.footnotes]
    lists = list(_list(label.declaration, notes, label.declaration_span.start))
    for entries in (translation.declaration for translation in label.translations[1:]):
        lists += _list(entries, (), entries[0].span.start if entries else 0)
    yield from (part for stretch in lists for part in _in_its_column(label, stretch))
    for span in language_marks(label.source):
        yield Stretch(Fate.READ, span, "language")
    labels = label.translations or [label]
    for kind, spans in (
        ("footnote", [note.span for note in label.footnotes if note.mark]),
        ("adequacy", [adequacy.span for of in labels for adequacy in of.adequacy]),
        ("calories", [figure.span for figure in label.energy.figures] if label.energy else []),
        ("additives", [amount.span for of in labels for amount in of.additives]),
        ("actives", [amount.span for amount in label.actives]),
        ("claims", [span for _, span in label.claims]),
        ("waiver", [waiver.span for waiver in label.waivers]),
    ):
        for span in spans:
            yield Stretch(Fate.READ, span, kind, _section_at(label, span.start)[0].kind)
    for guarantee in (part for of in labels for part in of.guarantees):
        fate = Fate.READ if guarantee.nutrient else Fate.UNREAD
        near = () if guarantee.nutrient else maybe(label.source.slice(guarantee.span), "guarantees")
        kind = "guarantees" if guarantee.nutrient else ""
        yield Stretch(fate, guarantee.span, kind, "guarantees", near)
        if guarantee.nutrient:  # it may stand in a row above its figure
            yield Stretch(fate, guarantee.name_span, kind, "guarantees")


def _list(entries: Sequence[Entry], notes: Iterable[Span], start: int) -> Iterator[Stretch]:
    """Yields a declaration with all its words, but for the notes among them."""
    ends = sorted(entry.span.end for entry in entries)
    for note in (*sorted(notes), None):
        before = len(ends) if note is None else bisect_right(ends, note.start)
        end = ends[before - 1] if before else start
        if end > start:
            yield Stretch(Fate.READ, Span(start, end), "declaration", "declaration")
        start = max(start, note.end) if note else start


def _in_its_column(label: Label, list_: Stretch) -> Iterator[Stretch]:
    """Yields a list; of two columns of a page only what stands in its own."""
    for section in label.sections:
        body = section.body
        if section.kind != "declaration" or not body.start <= list_.span.start < body.end:
            continue
        if section.text != label.page.slice(body):
            own = list_.span.start - body.start, list_.span.end - body.start
            for cell in _OF_A_COLUMN.finditer(section.text, *own):
                span = Span(body.start + cell.start(), body.start + cell.end())
                yield list_._replace(span=span)
            return
    yield list_


def _section_at(label: Label, place: int) -> tuple[Section, int]:
    """Returns the section that holds a place, or one of no kind, and where it ends: of two columns
    side by side at the line's end."""
    number = bisect_right(label.sections, place, key=lambda section: section.words.start)
    holding = [
        section
        for section in label.sections[max(0, number - _NEAR) : number]
        if place < section.body.end
    ]
    text = label.source.text
    if not holding:
        after = label.sections[number : number + 1]
        return _NONE, after[0].words.start if after else len(text)
    if len(holding) == 1:
        return holding[0], holding[0].body.end
    own = [
        section for section in holding if section.text[max(0, place - section.body.start)].strip()
    ]
    gap = _GAP.search(text, place)
    return (own or holding)[-1], gap.start() + 1 if gap else len(text)


def _between(label: Label, start: int, end: int) -> Iterator[Stretch]:
    """Yields the stretches of words that have no place of their own, section by section."""
    while start < end:
        section, stop = _section_at(label, start)
        yield from _pieces(label, section, start, min(stop, end))
        start = stop


def _pieces(label: Label, section: Section, start: int, end: int) -> Iterator[Stretch]:
    at, kind, text = start, section.kind, label.source.text
    piece_of = _ITEM if kind in kinds("small-print") else _SENTENCE
    for piece in (_CELL if kind in kinds("table") else piece_of).finditer(text, start, end):
        stretch = _piece(Span(*piece.span()), piece.group(), kind)
        if kind not in kinds("whole") and not _WORD.search(label.page.text, *piece.span()):
            stretch = None  # of the chat or the proof that the label stands in
        if stretch is not None and section.maybe:
            stretch = Stretch(Fate.UNREAD, stretch.span, "", kind, section.maybe)
        if stretch is not None:
            if stretch.span.start > at:
                yield Stretch(Fate.SET_ASIDE, Span(at, stretch.span.start), section=kind)
            yield stretch
            at = stretch.span.end
    if end > at:
        yield Stretch(Fate.SET_ASIDE, Span(at, end), section=kind)


def _piece(span: Span, printed: str, section: str) -> Stretch | None:
    """Returns the fate of words without a place of their own; None for decoration."""
    words = _REMNANT.sub(" ", printed[:_FAR])
    if not _WORD.search(words):
        return None
    if section in kinds("whole") and kinds("apart").isdisjoint(maybe(words, section, slips=False)):
        return Stretch(Fate.READ, span, section, section)
    if section == "guarantees" and not _WORD.search(bound_words().sub(" ", words)):
        return Stretch(Fate.READ, span, section, section)  # "Min Max" above the columns
    if section == "additives" and heading_kinds().get(fold(words.strip(_AROUND))) == section:
        return Stretch(Fate.READ, span, "heading", section)  # a group of additives
    if section == "maker" and earns("contact", words):
        return Stretch(Fate.READ, span, "contact", section)
    near = maybe(words, section)
    spoilt = misprinted(words) - {section}
    if section in kinds("small-print") and near and section not in near:
        spoilt |= set(near) - {headed(words)}
    # "Lot B20" behind the net quantity is the lot, "Refrigerate leftovers." in directions storage.
    aside = ("storage",) if section == "feeding" and not near else ()
    for kind in (headed(words), section, *aside):
        own = kind in kinds("by-piece") and earns(kind, words)
        if own and spoilt.isdisjoint(kinds("binding")) and (kind == "feeding" or not spoilt):
            return Stretch(Fate.READ, span, kind, section)
    plain = not any(sign.isdigit() or sign == ":" for sign in words)
    if not is_sentence(words) or set(near) - (kinds(_NAMED) if plain else frozenset()):
        return Stretch(Fate.UNREAD, span, "", section, near)
    return Stretch(Fate.PROSE, span, "", section)
