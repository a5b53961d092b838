"""A label that a program laid in one line, in lines again where parts begin; every offset stays."""

import re
from collections.abc import Iterator

from panellint.core.source import Span
from panellint.label.additives import names_amount
from panellint.label.calories import STATEMENT as ENERGY
from panellint.label.guarantees import names_nutrient
from panellint.label.headings import heading_kind, phrase_at
from panellint.label.kinds import kinds
from panellint.label.statements import behind_name
from panellint.rulepacks.data import data, search

_LINE = re.compile(r"[^\n]+")
#: A word with a capital behind a blank.
_WORD = re.compile(r"(?<=[^\s,&(/])[ ](?P<word>[^\W\d_a-z][^\W\d_]*)")
#: What stands behind a net quantity, "(113 g) e", with a capital behind it.
_BEHIND = re.compile(r" ?[e℮]?(?:[ ]\([^()\n]{1,20}\))?[.]?([ ])(?=[^\W\d_a-z][^\W\d_]*[ ])")
_COLON = re.compile(r"[ \t]*(?:\([^()\n]{1,30}\))?[ \t]*[:：]")
#: The letters of a language at the head of a line.
_MARK = 3


def in_lines(text: str) -> str:
    """Returns a text with line ends for the blanks before the parts in its long lines."""
    least = data("words/blocks")["lengths"]["one-line"]
    if max(map(len, text.split("\n"))) < least:
        return text
    breaks = [
        place
        for line in _LINE.finditer(text)
        if line.end() - line.start() >= least
        for place in _breaks(text, Span(*line.span()))
    ]
    if not breaks:
        return text
    signs = list(text)
    for place in breaks:
        signs[place] = "\n"
    return "".join(signs)


def _breaks(text: str, line: Span) -> Iterator[int]:
    """Yields the blanks before parts of a line: a heading with a colon or with what it heads behind
    it, directions, what stands behind a net quantity, the type of feed behind a name."""
    after, feeding = line.start, search("words/statements", "feeding")
    ahead = data("words/blocks")["lengths"]["list-ahead"]
    first = min(line.end, line.start + ahead)
    for word in _WORD.finditer(text, line.start, line.end):
        if word.start() < after or word.start() - line.start <= _MARK:
            continue  # the second word of a heading; "FR Composition :"
        phrase = phrase_at(text, word["word"], word.start("word"))
        if phrase and _heads(text, phrase, line.end):
            after, first = phrase.end(), min(first, word.start())
            yield word.start()
        elif text[word.start() - 1] in ".)":
            start = word.start("word")
            if feeding.match(text[start : min(line.end, start + ahead)]):
                yield word.start()
    for net in search("words/blocks", "net-sentence").finditer(text, line.start, line.end):
        if behind := _BEHIND.match(text, net.end("amount"), line.end):
            yield behind.start(1)
    if middle := behind_name(text[line.start : first]):
        yield line.start + middle - 1


def _heads(text: str, phrase: re.Match[str], end: int) -> bool:
    """Whether a heading inside a line has a colon, or what it heads stands behind it."""
    kind = heading_kind(phrase.group())
    if _COLON.match(text, phrase.end()):
        return kind in kinds("joined")
    lengths = data("words/blocks")["lengths"]
    ahead = text[phrase.end() : min(end, phrase.end() + lengths["list-ahead"])].lstrip()
    if kind == "declaration":
        commas = ahead.partition(".")[0].count(",")
        return ahead[:1].isupper() and commas >= lengths["list-commas"]
    if kind == "calories":
        return ENERGY.search(ahead, 0, lengths["figure-ahead"]) is not None
    if kind == "feeding":  # "FEEDING GUIDE 10 lb"
        return " " in phrase.group() and not ahead[:1].islower()
    near = ahead[: lengths["figure-ahead"]]
    return (kind in kinds("before-nutrients") and names_nutrient(ahead)) or (
        kind in kinds("amounts") and names_amount(near)
    )
