"""The signs of HTML and Markdown in a text copied from a page, blanked; every offset stays."""

import re
from functools import cache
from itertools import chain

from panellint.core.source import Source
from panellint.core.text import fold
from panellint.label.columns import keyed, separated
from panellint.label.elements import in_headed_lines, is_part_name, part_name
from panellint.label.guarantees import nutrient_names
from panellint.label.one_line import in_lines
from panellint.label.pasted import without_signs
from panellint.label.vocabulary import vocabulary
from panellint.label.wrapping import unwrapped
from panellint.rulepacks.data import data

#: Elements of HTML that begin a line of their own.
_LINE = "h[1-6]|p|li|ul|ol|div|br|tr|table|tbody|section|dl|dt|dd"
_TAG = re.compile(r"</?[a-z][^<>\n]{0,200}>", re.IGNORECASE)
#: A line's break with the end of the line behind it is one.
_BREAK = re.compile(r"<br ?/?>(?=[ \t]*\r?\n)", re.IGNORECASE)
_ENTITY = re.compile(r"&(?:amp;)?#?\w{2,8};")
#: Words in bold: "**Ingredients:** duck". The mark of a footnote stands behind a word or before a
#: note, and has no mate.
_BOLD = re.compile(r"(?<![^\s|(])\*\*(?=[^\s*])([^*\n]*)(?<=[^\s*])\*\*(?![^\s|.,;:)])")

#: Blanks of other widths, and those at which no line ends.
_BLANKS = dict.fromkeys((0xA0, 0x202F, *range(0x2000, 0x200B)), " ")

#: A row of an export with quotes, `"ingredients": "duck, rice",`, with and without its key.
_QUOTED = re.compile(
    r'^([ \t{]*+(?:(?:"[^":\n]{1,60}+"|[\w ]++)[ \t]*+[:=][ \t]*+)?+)"(.+)"([ \t},\r]*)$',
    re.MULTILINE,
)
_QUOTE, _KEY_SIGNS = '"', str.maketrans('{"=', "  :")
#: What parts the parts of a label in one line.
_SLASHES = " // "
_BRACKETS = re.compile(r"^[ \t]*[\[\]{}]+,?(?=[ \t\r]*$)", re.MULTILINE)
#: What parts such rows that stand in one line; a list in brackets is of one of them.
_JOINT = re.compile(r'\[[^\[\]\n]*\]|(?:(?<=["}\]])([ \t]*,)|(?<=":)[ \t]*(\{))[ \t]*(?=")')
#: Its list of plain names behind a key.
_NAMES = re.compile(r'(?<=":)([ \t]*)\[((?:\s*"[^"\n]*",?)++)\s*\](,?)')
#: Line ends, tabs and quotes as an export writes them, and its key before several lines.
_ESCAPED = {r"\n": " \n", r"\t": " \t", r"\"": ' "', r"\r": "  "}
_WHOLE = re.compile(
    r'(?:\{[ \t]*+)?"\w+"[ \t]*+:[ \t]*+"(?=[^"\n]*\\n)|(?<=[^\\])"(?=\s*+(?:[,}]\s*+)?\Z)'
)
#: A row of one with commas or semicolons: `ingredients,"duck, rice"`.
_CELL = re.compile(
    r'^(\w[\w ]*(?<!\d)(?=,)|[^\W\d_][\w %]*(?=;))[,;](?:"(.*)"|(?=[^\s",;][^",;\n]*$))',
    re.MULTILINE,
)
#: A word that a hyphen parts over a line's end, with the signs behind it.
_BROKEN = re.compile(r"\b([^\W\d_]{2,20})-([ \t]*\r?\n[ \t]*)([a-zà-ÿ]{2,20}(?!\w)[^\w\s]*)")

#: A bullet before a line, amid a sentence too where a program put it there; a line.
_BULLET = re.compile(r"^[ \t]*[•·*–-][ \t]+(?=\S)", re.MULTILINE)
_AMID = re.compile(r"[,(&-][^\S\n]*\n[ \t]*[•·*–-][ \t]+\S|^[ \t]*[•·*–-][ \t]+[a-zà-ÿ]", re.M)
_WORDS = re.compile(r"^[ \t]*\S", re.MULTILINE)

#: A heading in brackets, "[Ingredients] duck".
_BRACKETED = re.compile(r"^([ \t]*)\[([^\W\d_][^\[\]\n:]{2,40})\](?=[ \t]|$)", re.MULTILINE)

#: The key of a row or over a column of an export: "crude_protein_min: 8%".
_KEY = re.compile(
    r"(?:^(?!\w+$)[ \t\"'{]*+|(?<=[\t,;|{])[ \"']*+)"
    r"[a-z]++(?:_[a-z0-9]++)++(?=[\"']?[ \t]*(?:[:=,;|\t]|$))",
    re.MULTILINE | re.IGNORECASE,
)

#: A sign of an export's words by its number, with the word around it; its slash, "<\/p>".
_CODED = re.compile(r"[^\s\"\\]{0,40}(?:\\u[0-9a-f]{4}[^\s\"\\]{0,40})+", re.IGNORECASE)
_SIGN = re.compile(r"\\u([0-9a-f]{4})", re.IGNORECASE)
_SLASH = re.compile(r"\\/(\w*)")

#: The key of an export in one word, `crudeAsh :`.
_ONE_WORD = re.compile(r"(?<![\w.])[ \"]?([a-z]+(?:[A-Z][a-z]+){1,3})[ \t\"]*:[ \t]?")

#: A figure that a scanner parts before its decimal point: "11 .0%".
_PARTED = re.compile(r"(?<!\S)(\d{1,3}) (\.\d{1,2})(?=[ ]?%)")

#: The sign of a text of several lines behind a key, "composition: >".
_FOLDED = re.compile(r"^([ \t]*[\w -]+:[ \t]*)[>|][+-]?(?=[ \t]*\r?\n[ \t]+\S)", re.MULTILINE)

#: A question that heads what stands behind it on its line: "What's in it? Duck, oats".
_QUESTIONS = re.compile(r"^(?:[^\n.,:;?]{5,40}\?)[ ](?=[^\W_a-z])", re.MULTILINE)

#: An arrow for a colon: "ingredients ➜ duck"; several in a line are a path.
_ARROW = re.compile(
    r"^([^\w\n]*\w[^\n:➜→➔➤⇒►▶]{1,40}?) ?(?:[➜→➔➤⇒►▶]|[-=]>)(?= ?\w)(?![^\n]*[➜→➔➤⇒►▶])",
    re.MULTILINE,
)


def without_markup(source: Source) -> Source:
    """Returns the source without HTML's tags and entities, Markdown's signs of bold words, the
    quotes of an export, the joints of keys, and line ends that a width set; one without any as
    it is."""
    text, few = source.text, data("words/blocks")["lengths"]["signed-lines"]
    text = _SLASH.sub(r"/\1 ", _CODED.sub(_decoded, text)) if "\\" in text else text
    text = text if text.isascii() else text.translate(_BLANKS)
    text = without_signs(text)
    text = in_headed_lines(text)
    text = blanked(text) if "</" in text or "&lt;/" in text else text
    text = _KEY.sub(lambda key: key.group().replace("_", " "), text) if "_" in text else text
    text = _FOLDED.sub(r"\1 ", text) if ":" in text else text
    text = _PARTED.sub(r"\1\2 ", text) if " ." in text else text
    text = _ONE_WORD.sub(_in_words, _of_an_export(keyed(separated(text)), few))
    bullets = len(_BULLET.findall(text))
    if len(_AMID.findall(text)) >= few and bullets * 2 > len(_WORDS.findall(text)):
        text = _BULLET.sub(_gap, text)
    text = _BROKEN.sub(_joined, unwrapped(text))
    text = _BOLD.sub(r"  \1  ", text) if "**" in text else text
    if len(_CELL.findall(text)) >= few:
        text = _CELL.sub(lambda row: row[1] + (f": {row[2]} " if row[2] else ":"), text)
    text = _BRACKETED.sub(r"\1 \2:", text) if "[" in text else text
    text = _ARROW.sub(lambda arrow: f"{arrow[1]}:".ljust(len(arrow[0])), text)
    if len(_QUESTIONS.findall(text)) >= few:
        text = _QUESTIONS.sub(lambda question: f"{question[0][:-1]}\n", text)
    text = in_lines(text)
    return source if text is source.text else Source(text, source.path)


def _of_an_export(text: str, few: int) -> str:
    """Returns a text without the quotes of an export, each of its rows on a line."""
    if text.count(r"\n") >= few:
        text = _WHOLE.sub(_gap, text)
        for escaped, sign in _ESCAPED.items():
            text = text.replace(escaped, sign)
    if text.count(_SLASHES) >= few:
        text = text.replace(_SLASHES, "\n".center(len(_SLASHES)))
    if text.count('"') < 2:
        return text
    text = _NAMES.sub(_unlisted, text)
    if sum(bool(joint[1]) for joint in _JOINT.finditer(text)) >= few:
        text = _JOINT.sub(_parted, text)
    rows = list(_QUOTED.finditer(text))
    if len(rows) < few and not any(row[1].strip(" \t{") for row in rows):
        return text
    return _BRACKETS.sub(_gap, _QUOTED.sub(_unquoted, text))


def _unlisted(names: re.Match[str]) -> str:
    words = re.sub(r'[\s"]', " ", names[2]).ljust(names.end(3) - names.end(1) - 2 - len(names[3]))
    return f'{names[1]}"{words}"{names[3]}'


def _parted(joint: re.Match[str]) -> str:
    return "\n".rjust(len(joint[0])) if joint[1] or joint[2] else joint[0]


def _unquoted(row: re.Match[str]) -> str:
    key = row[1].translate(_KEY_SIGNS)
    return key + f" {row[2].replace(_QUOTE * 2, _QUOTE + ' ')} " + " " * len(row[3])


def _decoded(word: re.Match[str]) -> str:
    """Returns a word with the signs that numbers stand for, in its room; of those of no sign, and
    of halves of one, none changes."""
    printed = _SIGN.sub(lambda sign: chr(int(sign[1], 16)), word[0])
    return printed.ljust(len(word[0])) if printed.isprintable() else word[0]


def _in_words(key: re.Match[str]) -> str:
    """Returns a key that is a heading or a nutrient in words, in the room that it has."""
    words = f"{part_name(key[1])}:"
    fits = len(words) <= len(key[0]) and is_part_name(key[1])
    return words.ljust(len(key[0])) if fits else key[0]


def _joined(broken: re.Match[str]) -> str:
    """Returns a word of headings, nutrients or statutory words whole, the line's end behind it."""
    first, end, rest = broken.groups()
    known = fold(first + re.sub(r"\W+$", "", rest)) in _known_words()
    return f"{first}{rest} {end}" if known else broken[0]


@cache
def _known_words() -> frozenset[str]:
    phrases = chain(
        vocabulary()["kinds"],
        nutrient_names(),
        *(p["words"] for p in data("words/evidence")["parts"]),
    )
    return frozenset(word for phrase in phrases for word in fold(phrase).split())


def blanked(text: str) -> str:
    """Returns a text with blanks for HTML's tags and line breaks for those of blocks, entities as
    the signs that they stand for, and as long as it was."""
    from html import unescape  # a table that few labels need

    text = _ENTITY.sub(lambda sign: unescape(unescape(sign[0])).rjust(len(sign[0])), text)
    return _TAG.sub(_blank, _BREAK.sub(_gap, text))


def _gap(sign: re.Match[str]) -> str:
    return " " * len(sign[0])


def _blank(tag: re.Match[str]) -> str:
    name = re.match(rf"</?(?:{_LINE})\b", tag.group(), re.IGNORECASE)
    item = "\n•" if tag.group().lower().startswith(("<li>", "<li ")) else "\n"
    # The columns behind it stand where they stood.
    return (item if name else " ").rjust(len(tag.group()))
