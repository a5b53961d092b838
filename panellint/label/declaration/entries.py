"""Lists, segments and entries: the parser's tree to the neutral tree's entries."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cache
from itertools import dropwhile

from panellint.core.numbers import first_decimal
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.label.bound_words import bound_of, bound_words, percent_of_token
from panellint.label.declaration.lexer import Group, Listing, Piece, Segment, flat
from panellint.label.model import Bound, Bracket, Entry, Mark, Percent, TextFault
from panellint.rulepacks.data import data

_INVISIBLE = re.compile("[\u00ad\u200b-\u200f\u202a-\u202e\u2060-\u2064\ufeff]")
_BROKEN_WORD = re.compile(r"-[ \t]*[\r\n]+[ \t]*")
#: The cap of a tail that prints none that can be read, in percent: it leaves all open.
_WHOLE = Decimal(100)
_WORDS = "words/declarations"
#: What parts a name from its figure.
_SIGNS = frozenset("-–—=")


@cache
def _conjunctions() -> dict[str, str]:
    """Returns each printed conjunction with what it says."""
    given = data(_WORDS)["conjunctions"]
    return {word: meaning for meaning, words in given.items() for word in words}


class _Open:
    """An entry while its parts are being gathered."""

    def __init__(self, start: int, joined: str) -> None:
        self.start = start
        self.joined = joined
        self.words: list[Span] = []
        self.percents: list[Percent] = []
        self.marks: list[Mark] = []
        self.brackets: list[Bracket] = []
        self.trailing: list[Span] = []
        self.linked = False
        self.end = 0
        self.closed = -1  # where what follows its last bracket begins


class ListState:
    """What holds from one entry of a list to the next: the tail's cap, "one or more of"."""

    def __init__(self) -> None:
        self.at_most: Decimal | None = None
        self.any_of = False
        self.partial = False


class EntryReader:
    """Turns the parser's tree into entries; `faults` gathers what was wrong with the text."""

    def __init__(self, text: str, base: int, faults: list[TextFault]) -> None:
        self.text = text
        self.base = base
        self.faults = [
            f._replace(span=Span(f.span.start + base, f.span.end + base)) for f in faults
        ]

    # Lists ---------------------------------------------------------------------------------

    def entries_of(self, listing: Listing, state: ListState) -> list[Entry]:
        """The entries of one list. "Heading: a, b" inside it becomes an entry of its own."""
        separators = {separator.value.strip() for _, separator in listing if separator}
        mixed = bool(separators & {";", "；"}) and len(separators) > 1
        entries: list[Entry] = []
        heading: Entry | None = None
        inner: list[Entry] = []
        own = ListState()
        for segment, separator in listing:
            before, after = split_at_colon(segment)
            if before is not None:
                lead, before = self._own_line(before)
                if lead:
                    earlier = (entries, state) if heading is None else (inner, own)
                    earlier[0].extend(self._segment(lead, earlier[1]))
                if heading is not None:
                    entries.append(_component(heading, inner))
                headed = self._segment(before, ListState())
                heading = headed[0] if headed else Entry("", Span(0, 0), Span(0, 0))
                inner, own = [], ListState()
            target, current = (entries, state) if heading is None else (inner, own)
            target.extend(self._segment(after, current))
            if heading is not None and mixed and _parts(separator, ";；"):
                entries.append(_component(heading, inner))
                heading = None
        if heading is not None:
            entries.append(_component(heading, inner))
        if len(listing) > 1:
            self._empty_segments(listing)
        return _alternatives(entries)

    def _empty_segments(self, listing: Listing) -> None:
        after: Segment = []
        faults: list[TextFault] = []
        for segment, separator in reversed(listing):
            if segment:
                after = segment
            elif after and separator is not None and _parts(separator, ",，;；"):
                place = ends(after[0])[0]
                start = self.text.rfind(separator.value.strip(), 0, place) + self.base
                span = Span(start, start + 1)
                faults.append(TextFault("empty-entry", span, "nothing stands before this comma"))
        self.faults.extend(reversed(faults))

    def _own_line(self, parts: Segment) -> tuple[Segment, Segment]:
        """What stands before a component's heading on earlier lines, and the heading."""
        for number in range(len(parts) - 1, 0, -1):
            between = self.text[ends(parts[number - 1])[1] : ends(parts[number])[0]]
            if "\n" in between or "\r" in between:
                return parts[:number], parts[number:]
        return [], parts

    def _segment(self, parts: Segment, state: ListState) -> list[Entry]:
        """What stands between two separators: one entry as a rule, several where words say so."""
        entries: list[Entry] = []
        current: _Open | None = None
        joined = ""
        for number, part in enumerate(parts):
            start, end = ends(part)
            if isinstance(part, Group):
                bracket = self._bracket(part)
                if (
                    current is None
                    and not joined
                    and (state.at_most or state.any_of or state.partial)
                ):
                    # A bracket may frame the list alone: "contains 2 % or less of (a, b)".
                    entries += (
                        entry._replace(
                            at_most=state.at_most if entry.at_most is None else entry.at_most,
                            any_of=entry.any_of or state.any_of,
                        )
                        for entry in bracket.entries
                    )
                    continue
                if current is None:
                    current = _Open(start, joined=joined)
                self._add_bracket(current, bracket)
                current.end = end
                following = parts[number + 1 : number + 2]
                current.closed = ends(following[0])[0] if following else -1
                continue
            kind = part.type
            if kind in {"LIST_NUMBER", "COLON", "FRAME"}:
                continue
            if kind in {"TAIL", "ANY_OF", "PARTIAL"}:
                if current is not None:
                    entries.append(self._close(current, state))
                    current = None
                if kind == "TAIL":
                    cap = first_decimal(part.value)
                    state.at_most, state.any_of = _WHOLE if cap is None else cap, False
                elif kind == "ANY_OF":
                    state.any_of = True
                    # "(may contain bone)" names only what may be in it.
                    state.partial = state.partial or " of" not in part.value.lower()
                else:
                    state.partial = True
                joined = ""
                continue
            if kind == "WORD" and not (current and current.linked):
                # A capital alone is no conjunction: "E 330".
                word = part.value.lower() if len(part.value) > 1 else part.value
                conjunction = _conjunctions().get(word, "")
                if conjunction and current is None and not joined:
                    joined = conjunction
                    continue
                # "Chicken base (chicken, rice) and fish base (tuna)" are two.
                behind = [p.type for p in parts[number + 1 : number + 3] if isinstance(p, Piece)]
                # So are "26 % chicken and 14 % turkey".
                two = current is not None and (
                    (bool(current.brackets) and current.closed == start)
                    or behind == ["PERCENT", "WORD"]
                )
                if current is not None and (conjunction == "and/or" or (conjunction and two)):
                    entries.append(self._close(current, state))
                    current, joined = None, conjunction
                    continue
            if current is None:
                current = _Open(self.base + start, joined=joined)
                joined = ""
            self._add(current, part, Span(self.base + start, self.base + end))
            current.end = end
        if current is not None:
            entries.append(self._close(current, state))
        if any(entry.joined == "and/or" for entry in entries):
            entries = [entry._replace(any_of=True) for entry in entries]
        return entries

    # Entries -------------------------------------------------------------------------------

    def _add(self, current: _Open, token: Piece, span: Span) -> None:
        if token.type == "PERCENT" and not current.linked:
            percent = percent_of_token(token.value, span)
            if percent is not None:
                current.percents.append(percent)
        elif token.type == "MARK":
            current.marks.append(Mark(token.value, span))
        elif token.type == "AMOUNT" and current.words:
            current.trailing.append(span)
        elif token.type == "AMOUNT":  # "3,000 IU vitamin A"
            words = re.finditer(r"\S+", token.value)
            current.words += (Span(span.start + w.start(), span.start + w.end()) for w in words)
        elif token.type == "LINK":
            current.linked = True
            current.trailing.append(span)
        elif current.linked:
            current.trailing.append(span)
        elif (
            current.percents
            and not current.words
            and token.value.lower() in data(_WORDS)["prepositions"]
        ):
            return  # "4 % of chicken" names chicken
        else:
            of = _elided().match(token.value) if current.percents and not current.words else None
            current.words.append(Span(span.start + of.end(), span.end) if of else span)

    def _add_bracket(self, current: _Open, bracket: Bracket) -> None:
        """A bracket that holds only figures and marks belongs to the name before it."""
        if bracket.entries and all(
            not entry.words and not entry.brackets and not entry.trailing
            for entry in bracket.entries
        ):
            for entry in bracket.entries:
                current.percents.extend(entry.percents)
                current.marks.extend(entry.marks)
        elif bracket.entries:
            first = bracket.entries[0]
            if first.percents and not (first.words or first.brackets or first.trailing):
                # "(40 %, of which chicken 4 %)": the first figure is the entry's own.
                current.percents.extend(first.percents)
                bracket = bracket._replace(entries=bracket.entries[1:])
            elif not bracket.partial and len(bracket.entries) > 1 and not current.percents:
                # "(fresh, 26 %)": so is the last one's.
                last = bracket.entries[-1]
                if last.percents and not (last.words or last.brackets or last.trailing):
                    current.percents.extend(last.percents)
                    bracket = bracket._replace(entries=bracket.entries[:-1])
            current.brackets.append(bracket)

    def _bracket(self, node: Group) -> Bracket:
        opener, inner, closer = node
        state = ListState()
        entries = tuple(self.entries_of(inner, state))
        return Bracket(
            opener.value,
            Span(self.base + opener.start, self.base + closer.end),
            Span(self.base + opener.end, self.base + closer.start),
            entries,
            partial=state.partial,
            any_of=state.any_of,
        )

    def _close(self, current: _Open, state: ListState) -> Entry:
        words = current.words
        while words and self.words(words[-1]) in _SIGNS:  # "lamb - 26 %"
            words.pop()
        percents = tuple(current.percents)
        bound = bound_words().match(" ".join(map(self.words, words)))
        if bound and (whole := len(bound.group().split())) < len(words):  # "mind. Huhn 4 %"
            words = words[whole:]
            how = bound_of(bound.group()) or Bound.EXACT
            percents = tuple(
                percent._replace(bound=how) if percent.bound is Bound.EXACT else percent
                for percent in percents
            )
        name_span = (
            Span(words[0].start, words[-1].end) if words else Span(current.start, current.start)
        )
        trailing = (
            (self.words(Span(current.trailing[0].start, current.trailing[-1].end)),)
            if current.trailing
            else ()
        )
        return Entry(
            name=" ".join(self.words(span) for span in words).strip(),
            name_span=name_span,
            span=Span(min(current.start, name_span.start), self.base + current.end),
            words=tuple(words),
            percents=percents,
            marks=tuple(current.marks),
            brackets=tuple(current.brackets),
            trailing=trailing,
            at_most=state.at_most,
            any_of=state.any_of or current.joined == "and/or",
            joined=current.joined,
        )

    # Text ----------------------------------------------------------------------------------

    def words(self, span: Span) -> str:
        return self.fold(self.text[span.start - self.base : span.end - self.base])

    @staticmethod
    def fold(text: str) -> str:
        return one_line(_INVISIBLE.sub("", _BROKEN_WORD.sub("-", text)))

    def span_of(self, listing: Listing) -> Span:
        parts = list(flat(listing))
        start = min((part.start for part in parts), default=0)
        return Span(self.base + start, self.base + max((part.end for part in parts), default=0))


@cache
def _elided() -> re.Pattern[str]:
    """Returns how a word begins that names what a percentage is of: "26 % d'agneau"."""
    return re.compile(rf"(?:{'|'.join(data(_WORDS)['elided'])})['’](?=\w)", re.IGNORECASE)


def ends(part: Piece | Group) -> tuple[int, int]:
    """Offsets of a part in the parsed text."""
    if isinstance(part, Piece):
        return part.start, part.end
    return part.opener.start, part.closer.end


def _parts(separator: Piece | None, signs: str) -> bool:
    return separator is not None and separator.value.strip() in signs


def _is(part: Piece | Group, kind: str) -> bool:
    return isinstance(part, Piece) and part.type == kind


def split_at_colon(parts: Segment) -> tuple[Segment | None, Segment]:
    """The parts before and after a colon that follows words; (None, all) without one."""
    for number, part in enumerate(parts):
        if isinstance(part, Piece) and part.type == "COLON" and number:
            behind = [each for each in parts[number + 1 :] if not _is(each, "MARK")]
            words = list(dropwhile(lambda each: _is(each, "PERCENT"), behind))
            first = words[0] if words else None
            joined = isinstance(first, Piece) and first.value in _conjunctions()
            if len(words) < len(behind) and (joined or not words):
                break  # "Chicken: 40 %", "Chicken: 40 % and turkey: 14 %"
            return parts[:number], parts[number + 1 :]
    return None, parts


def _component(heading: Entry, inner: list[Entry]) -> Entry:
    """An entry whose members stand behind its own colon."""
    end = max([heading.span.end, *(entry.span.end for entry in inner)])
    start = min([end, *(entry.span.start for entry in inner)])
    span = Span(start, end)
    bracket = Bracket(":", span, span, tuple(inner))
    return heading._replace(
        span=Span(heading.span.start, end), brackets=(*heading.brackets, bracket)
    )


def _alternatives(entries: list[Entry]) -> list[Entry]:
    """In "beef, pork, or lamb" each may be absent; where the choice begins, no word says."""
    last = max((i for i, e in enumerate(entries) if e.joined == "or" and i), default=0)
    if not last:
        return entries
    return [e._replace(any_of=True) if i <= last else e for i, e in enumerate(entries)]
