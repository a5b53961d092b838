"""What a program puts before the lines of a label that it shows, blanked: the signs of a mail, a
chat or a proof, those of a change, counts of lines and of parts. Every offset stays."""

import re
from collections import Counter
from collections.abc import Iterator
from functools import cache
from itertools import groupby, pairwise

from panellint.core.text import fold
from panellint.label.guarantees import nutrient_names
from panellint.label.vocabulary import vocabulary
from panellint.rulepacks.data import data

#: The sign before the lines of a mail that is answered; before a figure it may be a bound.
_MAILED = re.compile(r"^[ \t]*(?:>[ \t]?)+", re.MULTILINE)
_MAILED_WORDS = re.compile(_MAILED.pattern + r"(?![ \t>]*\d)", re.MULTILINE)
#: A line without it.
_ANSWER = re.compile(r"^[ \t]*[^\s>]", re.MULTILINE)

#: The place of a change, "@@ -1,10 +1,12 @@"; the lines that it takes out and what is no line of
#: the file; the sign before one that it puts in.
_CHANGE = re.compile(r"^@@ -\d+(?:,\d+)? \+\d+(?:,\d+)? @@", re.MULTILINE)
_NOT_LEFT = re.compile(r"^(?:-|@@|\+\+\+ |diff |index |\\ No newline)[^\n]*", re.MULTILINE)
_PUT_IN = re.compile(r"^\+", re.MULTILINE)

_LINE = re.compile(r"^[^\n]*\S", re.MULTILINE)
#: The number of a line, "12  Crude fat", "12: ", "L12 | ".
_COUNTED = re.compile(r"[ \t]*L?(\d{1,4})(?:[.:)|]+(?=\s|\Z)|(?=\s|\Z))[ \t]*[|│]?")
#: What counts the parts of a sheet, "2. Composition", "3.1 Crude fat", "(b) Salt", "iv) Salt".
_PART = re.compile(
    r"^[ \t]*(?:(\(?)(\d{1,2}|[A-Za-z]|[ivx]{2,4})([.)/])[ \t]+(?=\w)"
    r"|()(\d{1,2}|(?:\d{1,2}\.){1,3}\d{1,2})()[.:)]?[ \t]+(?=[A-Z]))",
    re.MULTILINE,
)
_ROMAN = dict(zip("i ii iii iv v vi vii viii ix x xi xii".split(), range(1, 13), strict=True))

#: Who writes in a chat, "Ann: ".
_SENDER = re.compile(r"[ \t]*([^\W\d_][^\n:\t,;.–—]{0,24}?)(?::[ \t]+| [–—] )(?=\S)")


def without_signs(text: str) -> str:
    """Returns a text with blanks for what stands before its lines and is no part of a label."""
    few = data("words/blocks")["lengths"]["signed-lines"]
    if text.startswith(">") + text.count("\n>") >= few:
        text = (_MAILED_WORDS if _ANSWER.search(text) else _MAILED).sub(_gap, text)
    for least, around in _around():
        if len(around.findall(text)) >= least:
            text = around.sub(_gap, text)
    text = _without_senders(_without_line_numbers(_changed(text, few), few), few)
    for values, places in _parts(text):
        if len(places) >= few and _counts_up(values):
            text = _blanked(text, places)
    return text


def _changed(text: str, few: int) -> str:
    """Returns what a change leaves, without its signs; a text that is none as it is."""
    signs = Counter(text[line.start()] for line in _LINE.finditer(text))
    of_lines = signs["+"] >= few and signs.keys() <= set("+- ")
    if of_lines or _CHANGE.search(text):
        return _PUT_IN.sub(" ", _NOT_LEFT.sub(_gap, text))
    return text


def _without_line_numbers(text: str, few: int) -> str:
    """Returns a text without the numbers of its lines, which rise from each to the next (of several
    foods the lines of one are left)."""
    numbers = [_COUNTED.match(text, *line.span()) for line in _LINE.finditer(text)]
    counted = [number for number in numbers if number]
    values = [int(number[1]) for number in counted]
    if len(counted) < max(few, len(numbers)) or any(a >= b for a, b in pairwise(values)):
        return text
    return _blanked(text, [number.span() for number in counted])


def _without_senders(text: str, few: int) -> str:
    """Returns a text without the name before the messages of who sends so many one after the
    other."""
    if text.count(": ") < few:
        return text
    senders = [
        (sender[1] if (sender := _SENDER.match(text, *line.span())) else "", line.start(), sender)
        for line in _LINE.finditer(text)
    ]
    runs = ((name, len(list(run))) for name, run in groupby(senders, key=lambda each: each[0]))
    known = {name for name, count in runs if name and count >= few and not _is_of_a_label(name)}
    return _blanked(text, [(start, s.end()) for name, start, s in senders if s and name in known])


def _is_of_a_label(words: str) -> bool:
    """Whether words are a heading or a nutrient's name."""
    return fold(words) in vocabulary()["kinds"] or fold(words) in nutrient_names()


def _parts(text: str) -> Iterator[tuple[list[int], list[tuple[int, int]]]]:
    """Yields the counts of parts in a text of each shape, and where they stand."""
    shapes: dict[tuple[str, ...], list[re.Match[str]]] = {}
    for part in _PART.finditer(text):
        before, count, behind = part[1] or "", part[2] or part[5], part[3] or ""
        case = "1" if count[-1].isdigit() else "A" if count.isupper() else "a"
        case += "." * count.count(".")
        shapes.setdefault((case, before, behind) if behind else (case,), []).append(part)
    for (case, *_), parts in shapes.items():
        counts = [part[2] or part[5] for part in parts]
        places = [part.span() for part in parts]
        if case[0] == "1":
            yield [int(count.rpartition(".")[2]) for count in counts], places
        elif counts[0] == "i" and all(count in _ROMAN for count in counts):
            yield [_ROMAN[count] for count in counts], places
        elif counts[0] in "aA" and all(len(count) == 1 for count in counts):
            yield [ord(count.lower()) - ord("a") + 1 for count in counts], places


def _counts_up(values: list[int]) -> bool:
    """Whether each value is the one before and one; a count may begin anew."""
    return max(values) > 1 and all(value in (last + 1, 1) for last, value in pairwise(values))


def _blanked(text: str, places: list[tuple[int, int]]) -> str:
    parts: list[str] = []
    end = 0
    for start, stop in places:
        parts += (text[end:start], " " * (stop - start))
        end = stop
    return "".join((*parts, text[end:]))


@cache
def _around() -> list[tuple[int, re.Pattern[str]]]:
    given = data("words/pasted")["set-aside"]
    return [(part["least"], re.compile("".join(part["words"]), re.I | re.M)) for part in given]


def _gap(sign: re.Match[str]) -> str:
    return " " * len(sign[0])
