"""The text of a declaration to a neutral tree of entries.

The grammar is `declaration.lark`. What is decided from there on needs no knowledge
of ingredients: how its sentences go on (here), what stands between two commas (entries.py),
what each figure is a percentage of (percentages.py).
"""

import re
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import lark
from lark import Lark, Token, Tree

from panellint.core.cache import cached
from panellint.core.source import Span
from panellint.label.declaration.brackets import MatchedBrackets, by_place
from panellint.label.declaration.entries import EntryReader, ListState, ends, split_at_colon
from panellint.label.declaration.lexer import OffsetLexer
from panellint.label.declaration.percentages import settle
from panellint.label.model import Entry, Footnote, TextFault
from panellint.rulepacks.data import data

#: The grammar of declarations.
GRAMMAR = Path(__file__).with_name("declaration.lark")
_COMMAS = frozenset(",，;；、")


#: Markdown's signs of emphasis around words: "*(preserved with ...)*", "**chicken**".
_EMPHASIS = re.compile(r"(?<![\w)\]*])(\*{1,3})(?=[\w(])([^*\n]{2,200}?)(?<=[\w).,:])\1(?![\w*])")


#: A net weight behind a list that ends without a full stop.
_NET = re.compile(
    r"\s℮\s*\d[\d.,]*\s*(?:kg|g|ml|cl|l)\b.*\Z|\s\d[\d.,]*\s*(?:kg|g|ml)\s*℮\s*\Z", re.S
)
#: Numbers before names, "1 chicken, 2 rice" or "1. chicken 2. rice", where they count up from one.
_NUMBERED = re.compile(r"(?:\A\s*|,\s*|(?<=\w)\s+(?=\d+[.)]\s))(\d{1,2})[.)]?\s+(?=[^\W\d_])")
_FEW = 2


class Declared(NamedTuple):
    """What a declaration's text holds: entries in printed order, footnotes and text faults."""

    entries: tuple[Entry, ...]
    footnotes: tuple[Footnote, ...]
    faults: tuple[TextFault, ...]


@cache
def _parser() -> tuple[Lark, MatchedBrackets]:
    """Returns the parser, whose tables come from the cache when the grammar has not changed."""
    tables = cached("declaration-grammar", [GRAMMAR], _tables, version=lark.__version__)
    data, memo = _numbered(tables["data"]), _numbered(tables["memo"])
    repair = MatchedBrackets()
    data["options"]["postlex"] = repair
    data["options"]["lexer"] = data["parser"]["lexer_conf"]["lexer_type"] = OffsetLexer
    return Lark.load({"data": data, "memo": memo}), repair


def _tables() -> dict[str, Any]:
    """Compiles the grammar to lark's own tables, as plain data."""
    from lark.grammar import Rule
    from lark.lexer import TerminalDef

    options = {"parser": "lalr", "lexer": "basic", "maybe_placeholders": False}
    text = GRAMMAR.read_text(encoding="utf-8")
    parser = Lark(text, postlex=MatchedBrackets(), **options)
    data, memo = parser.memo_serialize([TerminalDef, Rule])
    return {"data": {**data, "options": options}, "memo": memo}


def _numbered(data: Any) -> Any:
    """Returns lark's tables with the numbers as keys that JSON made texts of."""
    if isinstance(data, dict):
        return {
            int(key) if key.isdecimal() else key: _numbered(value) for key, value in data.items()
        }
    return [_numbered(one) for one in data] if isinstance(data, list) else data


def parse(text: str, base: int = 0) -> Declared:
    """Read the text of a declaration; `base` is its offset in the file. Never raises."""
    parser, repair = _parser()
    text = _NET.sub(lambda match: " " * len(match.group()), _EMPHASIS.sub(_blanked, text))
    numbers = list(_NUMBERED.finditer(text))
    if [match[1] for match in numbers] == [str(n) for n in range(1, len(numbers) + 1)]:
        text = _NUMBERED.sub(_unnumbered, text) if len(numbers) > _FEW else text
    tree = parser.parse(text)
    reader = _Sentences(text, base, list(repair.faults))
    entries, footnotes = reader.sentences(
        [node for node in tree.children if isinstance(node, Tree)]
    )
    return Declared(settle(entries), footnotes, by_place(reader.faults))


def _unnumbered(match: re.Match[str]) -> str:
    """Blanks with a comma in front, as many characters as there were."""
    return (" " if match.start() == 0 else ",") + " " * (len(match.group()) - 1)


def _blanked(match: re.Match[str]) -> str:
    blanks = " " * len(match[1])
    return f"{blanks}{match[2]}{blanks}"


class _Sentences(EntryReader):
    """Turns the parser's tree into entries and footnotes; `faults` gathers what was wrong."""

    # Sentences -----------------------------------------------------------------------------

    def sentences(self, lists: list[Tree[Token]]) -> tuple[tuple[Entry, ...], tuple[Footnote, ...]]:
        """The first sentence is the list; later ones go on with it, or are footnotes."""
        lists = self._split_by_lines(lists)
        if len(lists) > 2 and all(len(node.children) == 1 for node in lists):
            # Entries that are parted by full stops.
            lists = [Tree("list", [segment for node in lists for segment in node.children])]
        entries: list[Entry] = []
        footnotes: list[Footnote] = []
        state = ListState()
        for number, node in enumerate(lists):
            first = _first_token(node)
            if first is None:
                continue
            if number and first.type == "MARK":
                footnotes.extend(self._footnotes(node, str(first)))
            elif number and (not _goes_on(node) or self._remarks(node, first)):
                span = self.span_of(node)
                footnotes.append(Footnote("", self.words(span), span))
            else:
                entries.extend(self.entries_of(node, state if number else ListState()))
        return tuple(entries), tuple(footnotes)

    def _remarks(self, node: Tree[Token], first: Token) -> bool:
        """True for a sentence about the food: "Made in a plant that also handles wheat"."""
        if first.type in {"TAIL", "ANY_OF"} and not str(first).lower().startswith("may"):
            return False
        words = self.words(self.span_of(node))
        return re.match("|".join(data("words/declarations")["remarks"]), words, re.I) is not None

    def _split_by_lines(self, lists: list[Tree[Token]]) -> list[Tree[Token]]:
        """Where no comma parts the entries, line ends and bullets part them."""
        if len(lists) != 1 or any(
            isinstance(child, Token) and child.value.strip() in _COMMAS
            for child in lists[0].children
        ):
            return lists
        parts: list[list[Token | Tree[Token]]] = []
        for segment in lists[0].children:
            if isinstance(segment, Token):
                continue
            parts.append([])
            end: int | None = None
            for child in segment.children:
                start, stop = ends(child)
                if end is not None and re.search(r"[\r\n]", self.text[end:start]):
                    parts.append([])
                parts[-1].append(child)
                end = stop
        if len(parts) < 3:
            return lists
        return [Tree("list", [Tree("segment", part) for part in parts])]

    def _footnotes(self, node: Tree[Token], mark: str) -> list[Footnote]:
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


def _first_token(node: Tree[Token]) -> Token | None:
    return next(node.scan_values(lambda value: isinstance(value, Token)), None)


def _goes_on(node: Tree[Token]) -> bool:
    """True where a later sentence goes on with the list rather than remarking on it."""
    segments = [child for child in node.children if isinstance(child, Tree)]
    first = segments[0].children
    opens = bool(first) and isinstance(first[0], Token) and first[0].type in {"TAIL", "ANY_OF"}
    return opens or len(segments) > 2 or split_at_colon(segments[0])[0] is not None
