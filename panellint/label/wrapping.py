"""Lines that a program broke at a width, made whole; every offset stays."""

import re
from collections.abc import Iterable

from panellint.core.source import Source, Span
from panellint.core.wording import regex
from panellint.label.evidence import is_sentence
from panellint.label.headings import headings_in
from panellint.label.statements import statement_kind
from panellint.rulepacks.data import data

#: A line's end with the words on either side.
_LINE_END = re.compile(r"^(?P<words>.*\S)[^\S\n]*\n(?=(?P<below>[^\S\n]*(?P<first>\S+).*))", re.M)
#: A line that stops amid its sentence or at a sentence's end (a word with a hyphen is read over the
#: line's end), and how one begins that goes on, or is of its own.
_STOPS, _ENDS = re.compile(r"[,;(&]$"), re.compile(r"[-.!?:]$")
_GOES_ON, _OWN = re.compile(r"\s*[a-zà-ÿ\d(%]"), re.compile(r"\s*[-–—•·*|><#✓]")
#: Words before a colon, and signs before a heading.
_TITLE, _BEFORE = re.compile(r"\s*[^\W\d_a-z][\w'’ -]{4,38}:"), " \t*#(["
#: The blanks between two columns.
_COLUMN = re.compile(r"(?<=\S)(?: {2,}|\t)(?=\S)")
_STATEMENTS = ("adequacy", "guarantees")


def unwrapped(text: str) -> str:
    """Returns a text with blanks for the line ends that a width set: each line there is so long
    that the next one's first word would have passed the longest line."""
    given = data("words/blocks")["width"]
    width = max(len(line.rstrip()) for line in text.split("\n"))
    if not given["least"] <= width <= given["most"]:
        return text
    ends: list[re.Match[str]] = []
    amid = short = 0
    for end in _LINE_END.finditer(text):
        goes_on = bool(_STOPS.search(end["words"]) or _GOES_ON.match(end["below"]))
        if len(end["words"]) + 1 + len(end["first"]) <= width:
            short += goes_on
        elif not _is_apart(end["words"], end["below"]):
            amid += goes_on
            ends.append(end)
    if amid < given["joints"] or short > amid:
        return text
    whole = Source(_joined(text, ends))
    return _joined(text, (end for end in ends if not _begins(whole, end)))


def _joined(text: str, ends: Iterable[re.Match[str]]) -> str:
    parts: list[str] = []
    start = 0
    for end in ends:
        parts += (text[start : end.end("words")], " " * (end.end() - end.end("words")))
        start = end.end()
    return "".join((*parts, text[start:]))


def _is_apart(words: str, below: str) -> bool:
    """Returns whether the line below a full one begins a part of its own, or goes on set in."""
    columns, others = ({gap.end() for gap in _COLUMN.finditer(line)} for line in (words, below))
    ends = words.endswith("-") or (_ENDS.search(words) and not _GOES_ON.match(below))
    return bool(ends or below[0].isspace() or _OWN.match(below) or columns & others)


def _begins(source: Source, end: re.Match[str]) -> bool:
    """Returns whether the line below is the net quantity or begins with a heading, a statement or
    words with a colon; small letters, and what a small word leads to, are amid a sentence."""
    text, words, line = source.text, end["below"], Span(*end.span("below"))
    last = end["words"].split()[-1]
    capital = words.lstrip()[:1].isupper()
    heading = headings_in(text, line)[0]
    if heading is not None and not text[line.start : heading.words.start].strip(_BEFORE):
        return capital or ":" in text[heading.words.end : heading.after]
    if _TITLE.match(words) and not _STOPS.search(last):
        return True
    starts = capital or words.lstrip()[:1].isdigit()  # "24 % crude protein"
    if starts and statement_kind(source, line, "untitled") in _STATEMENTS:
        return not is_sentence(last)
    return regex(rf"\W*{data('words/blocks')['quantity']} ?[e℮]?\s*").fullmatch(words) is not None
