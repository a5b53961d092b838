"""The text of a declaration to a neutral tree of entries.

The grammar is `declaration.lark`. What is decided from there on needs no knowledge
of ingredients: how its sentences go on (here), what stands between two commas (entries.py),
what each figure is a percentage of (percentages.py).
"""

import re
from collections.abc import Iterable, Sequence
from functools import cache
from typing import NamedTuple

from panellint.core.source import Span
from panellint.core.text import fold
from panellint.label.declaration.brackets import MatchedBrackets, by_place
from panellint.label.declaration.entries import EntryReader, ListState, ends, split_at_colon
from panellint.label.declaration.lexer import Listing, Piece, Segment, flat, listings, pieces
from panellint.label.declaration.percentages import settle
from panellint.label.model import Entry, Footnote, TextFault
from panellint.rulepacks.data import data

_COMMAS = frozenset(",，;；、")
#: Markdown's signs of emphasis around words: "*(preserved with ...)*", "**chicken**".
_EMPHASIS = re.compile(r"(?<![\w)\]*])(\*{1,3})(?=[\w(])([^*\n]{2,200}?)(?<=[\w).,:])\1(?![\w*])")


#: A net weight behind a list that ends without a full stop.
_NET = re.compile(
    r"\s℮\s*\d[\d.,]*\s*(?:kg|g|ml|cl|l)\b.*\Z|\s\d[\d.,]*\s*(?:kg|g|ml)\s*℮\s*\Z", re.S
)
#: Numbers before names, "1 chicken, 2 rice" or "1. chicken 2. rice", where they count up from one.
_NUMBERED = re.compile(r"(?:\A\s*|,\s*|(?<=\w)\s+(?=\d+[.)]\s))(\d{1,2})[.)]?\s+(?=[^\W\d_])")
#: What an entry begins behind; a single letter there is an abbreviated word ("B. Subtilis").
_BEFORE_ENTRY = frozenset({"SEPARATOR", "OPEN", "COLON", "PERCENT"})
#: What an abbreviation stands before, in the same entry.
_GOES_ON = frozenset({"WORD", "PERCENT", "OPEN"})


class Declared(NamedTuple):
    """What a declaration's text holds: entries in printed order, footnotes and text faults."""

    entries: tuple[Entry, ...]
    footnotes: tuple[Footnote, ...]
    faults: tuple[TextFault, ...]


def parse(text: str, base: int = 0) -> Declared:
    """Read the text of a declaration; `base` is its offset in the file. Never raises."""
    text = _EMPHASIS.sub(lambda bold: bold[2].center(len(bold[0])), text)
    text = _NET.sub(lambda net: " " * len(net[0]), text)
    numbers, least = list(_NUMBERED.finditer(text)), data("words/blocks")["lengths"]["signed-lines"]
    counted = [match[1] for match in numbers] == [str(n) for n in range(1, len(numbers) + 1)]
    if counted and len(numbers) >= least:
        text = _NUMBERED.sub(lambda n: f"{',' if n.start() else ' '}{' ' * (len(n[0]) - 1)}", text)
    matched = MatchedBrackets(_with_abbreviations(pieces(text)))
    reader = _Sentences(text, base, matched.faults)
    entries, footnotes = reader.sentences(listings(matched.pieces))
    return Declared(settle(entries), footnotes, by_place(reader.faults))


def _with_abbreviations(pieces: Iterable[Piece]) -> list[Piece]:
    """Returns the terminals of a declaration with each abbreviation and its full stop as one
    word."""
    joined: list[Piece] = []
    for piece in pieces:
        if piece.type in _GOES_ON and len(joined) > 1 and joined[-1].type == "_STOP":
            word, stop = joined[-2:]
            before = joined[-3].type if len(joined) > 2 else "SEPARATOR"
            if word.end == stop.start and _is_short(word.value, before, piece.value):
                joined[-2:] = [Piece("WORD", f"{word.value}.", word.start, stop.end)]
        joined.append(piece)
    return joined


def _is_short(word: str, before: str, follows: str) -> bool:
    """Returns whether a word is an abbreviation, by the kind of what stands before it and by what
    follows."""
    if len(word) == 1:
        return word.isalpha() and before in _BEFORE_ENTRY
    at_end = word.isupper() or not follows[:1].isupper()
    return fold(word) in _words("inside") or (at_end and fold(word) in _words("behind"))


@cache
def _words(place: str) -> frozenset[str]:
    given = data("words/declarations")["abbreviations"][place]
    return frozenset(fold(word) for words in given.values() for word in words)


class _Sentences(EntryReader):
    """Turns the parser's tree into entries and footnotes; `faults` gathers what was wrong."""

    # Sentences -----------------------------------------------------------------------------

    def sentences(self, lists: list[Listing]) -> tuple[tuple[Entry, ...], tuple[Footnote, ...]]:
        """The first sentence is the list; later ones go on with it, or are footnotes."""
        lists = self._split_by_lines(lists)
        if len(lists) > 2 and all(len(listing) == 1 for listing in lists):
            # Entries that are parted by full stops.
            remarks = [node for node in lists if self._remarks(node)]
            lists = [[pair for node in lists if node not in remarks for pair in node], *remarks]
        entries: list[Entry] = []
        footnotes: list[Footnote] = []
        state = ListState()
        for number, node in enumerate(lists):
            first = next(flat(node), None)
            if first is None:
                continue
            if number and first.type == "MARK":
                footnotes.extend(self._footnotes(node, first.value))
            elif number and (not _goes_on(node) or self._remarks(node)):
                span = self.span_of(node)
                footnotes.append(Footnote("", self.words(span), span))
            else:
                entries.extend(self.entries_of(node, state if number else ListState()))
        return tuple(entries), tuple(footnotes)

    def _remarks(self, node: Listing) -> bool:
        """True for a sentence about the food: "Made in a plant that also handles wheat"."""
        first = next(flat(node), None)
        if first is None or (
            first.type in {"TAIL", "ANY_OF"} and not first.value.lower().startswith("may")
        ):
            return False
        words = self.words(self.span_of(node))
        return re.match("|".join(data("words/declarations")["remarks"]), words, re.I) is not None

    def _split_by_lines(self, lists: list[Listing]) -> list[Listing]:
        """Where no comma parts the entries, or far fewer than line ends do, line ends and bullets
        part them."""
        if len(lists) != 1:
            return lists
        commas = [piece for _, piece in lists[0] if piece and piece.value.strip() in _COMMAS]
        if commas and (len(lists[0]) > len(commas) + 1 or not self._goes_by_lines(commas)):
            return lists
        parts: list[Segment] = []
        end: int | None = None
        for segment, separator in lists[0]:
            if end is None:
                parts.append([])
            for child in segment:
                start, stop = ends(child)
                if end is not None and re.search(r"[\r\n]", self.text[end:start]):
                    parts.append([])
                parts[-1].append(child)
                end = stop
            if separator not in commas:
                end = None
        return [[(part, None) for part in parts]] if len(parts) > 2 else lists

    def _goes_by_lines(self, commas: Sequence[Piece]) -> bool:
        """True where commas stand inside few of many lines: "Apple, dried (6 %)", and none at the
        end of a line."""
        least = data("words/blocks")["lengths"]["lines-to-a-comma"] * len(commas)
        at_end = any(re.match(r"[ \t]*(?:[\r\n]|$)", self.text[c.end :][:80]) for c in commas)
        return not at_end and self.text.strip().count("\n") >= least

    def _footnotes(self, node: Listing, mark: str) -> list[Footnote]:
        """One footnote, or several where later marks open their own words."""
        span = self.span_of(node)
        printed = self.text[span.start - self.base : span.end - self.base]
        pieces = re.split(r"(?<=\s)(?=[*†‡§¶]+\s*[^\W\d_])", printed)
        notes = []
        start = span.start
        for piece in pieces:
            own = re.match(r"[*†‡§¶#⁰¹²³⁴-⁹]+|\^\d?", piece)
            words = self.fold(piece[own.end() :] if own else piece).strip(" .")
            notes.append(
                Footnote(
                    own.group() if own else mark, words, Span(start, start + len(piece.rstrip()))
                )
            )
            start += len(piece)
        return notes


def _goes_on(node: Listing) -> bool:
    """True where a later sentence goes on with the list rather than remarking on it."""
    first = node[0][0]
    opens = bool(first) and isinstance(first[0], Piece) and first[0].type in {"TAIL", "ANY_OF"}
    return opens or len(node) > 2 or split_at_colon(first)[0] is not None
