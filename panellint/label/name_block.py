"""The product's name on a label that has no heading over it: the first lines of the text.

A label begins with brand, name and use ("Quillbrook Larder", "Beef Liver", "Dog treats"), one
or more lines each. What stands among them and is no name (a path through a shop, a price, a net
quantity, a whole sentence) ends the name or is passed over.
"""

import re
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import chain, takewhile

from panellint.core.source import Source, Span
from panellint.core.wording import regex
from panellint.label.blocks import IsName
from panellint.label.evidence import before_sentence, is_sentence, names_ingredient
from panellint.label.kinds import kinds
from panellint.label.model import Section
from panellint.label.statements import species_in, statements_of
from panellint.rulepacks.data import data

#: So many words before a quantity may be of it ("Net Wt approx.").
_FEW = 3
#: Kinds of section that may hold the name.
_UNHEADED = ("untitled", "net-contents")
#: Such may stand between a brand, or the title of a sheet, and the name.
_BESIDE_NAME = ("adequacy", "unknown", "contact", "lot", "best-before", *_UNHEADED)
#: What may be the name below a brand.
_NAMING = ("untitled", "unknown")
_NAME = re.compile(r"[^\d%:]+")
#: Such words above the name are none ("New!", "Baked by hand in our own kitchen!").
_CRY = re.compile(r"(?:\S+ ){0,9}\S+ ?!")
_WORD = re.compile(r"\S*")
_LONG_WORD = re.compile(r"\S\S+")
_LINE = re.compile(r"[^\n\r]+")
_PARAGRAPH = re.compile(r"\n[ \t]*\n")
#: A full stop behind these ends no sentence: "Larder Co. Beef Dinner", "No. 5".
_SHORT = r"(?:(?<=\bCo)|(?<=\bSt)|(?<=\bN[or])|(?<=\bInc)|(?<=\bLtd)|(?<=\bBros))"
_SENTENCE = re.compile(rf"(?<!\.[A-Z])(?!{_SHORT})[.!?][\"”')*_]*$", re.IGNORECASE)
_FIRST_SENTENCE = re.compile(
    rf"(?i:(?:[^.!?]|{_SHORT}\.){{3,80}}?)(?=(?i:(?!{_SHORT}))\.\s[A-Z\d]|:\s[^.!?]*[.!?]\Z)"
)
_PART = re.compile(r"\s[|/·•–—]\s|\t+")
_DASH = re.compile(r"\s[|/·•–—-]\s|\t+|,\s")
_DECORATION = " \t#*_>•·|–—-✓"
_BULLET = re.compile(r"[ \t]*[✓✔☑•·●▪►*-][ \t]*\w")


def with_name(
    source: Source, sections: tuple[Section, ...], is_name: IsName | None = None
) -> tuple[Section, ...]:
    """The sections of a text with the name parted from the words before the first heading;
    `is_name` tells the names of ingredients, so that a brand alone is not taken for the name."""
    if any(section.kind == "product-name" for section in sections):
        return sections
    top = tuple(takewhile(_is_above_name, sections))
    parts = (*chain.from_iterable(map(_around_statement, top)), *sections[len(top) :])
    above = tuple(takewhile(_is_above_name, parts))
    first = next(iter(parts[len(above) :]), None)
    bare = first is not None and first.heading.start == first.heading.end
    named = first and bare and first.kind in _UNHEADED
    lines = list(_name_lines(first, _goes_on(source, first))) if first and named else []
    if first is None or not lines:
        return sections
    start, end = lines[0].start, lines[-1].end
    below = parts[len(above) + 1 :]
    number = _below_brand(source.text[start:end], below, is_name) if is_name else None
    if number is not None:
        brand = first._replace(kind="brand")
        behind = below[number + 1 :]
        return (*above, brand, *below[:number], *_named(below[number]), *behind)
    return (*above, *_named(first, lines), *below)


def _named(section: Section, lines: Sequence[Span] = ()) -> tuple[Section, ...]:
    """A section parted into the name, its `lines`, and what stands before and behind it."""
    lines = lines or list(_name_lines(section))
    start, end, base = lines[0].start, lines[-1].end, section.body.start
    heading = section.heading if section.kind == "unknown" else Span(start, start)
    words = section.text[start - base : end - base]
    name = Section("product-name", heading, Span(start, end), words)
    before, after = _rest(section, base, start), _rest(section, end, section.body.end)
    return (*before, name, *after)


def _below_brand(brand: str, below: tuple[Section, ...], is_name: IsName) -> int | None:
    """The number of the section below a type of feed, a quantity or the rows of a sheet that is the
    name: its first line names an ingredient, where the words above name none; behind a heading that
    is not known it says of what kind of food it is too."""
    if names_ingredient(brand, is_name):
        return None
    for number, section in enumerate(below):
        headed = section.heading.start < section.heading.end
        if section.kind not in _BESIDE_NAME:
            return None
        if section.kind in _NAMING:
            words = section.text.partition("\n")[0].strip(_DECORATION)
            fits = _NAME.fullmatch(words) and any(_name_lines(section))
            named = fits and names_ingredient(before_sentence(words), is_name)
            of_animal = bool(species_in(words))
            if named and (of_animal or not (headed or is_sentence(words))):
                return number if headed or number else None
            if not headed:
                return None
    return None


def _is_above_name(section: Section) -> bool:
    """Whether it may stand above the name: a note of the user ("Market: eu"), a quantity or a type
    of feed without a heading, or the first lines of a mail."""
    bare = section.heading.start == section.heading.end
    if section.kind == "untitled":
        words = section.text.strip()
        above = _is_beside(words) or is_sentence(words)
        return above and not any(_name_lines(section))
    if bare and section.kind == "net-contents":  # "Salmon & Rice for Puppies, 500 g" is a name
        words = section.text.partition("\n")[0]
        end = _own_part(words)
        return end == len(words) or not words[:end].split()[1:] or _is_beside(words)
    above = section.kind in kinds("above-name" if bare else "headed-above-name")
    return above or section.kind in kinds("one-line")


def _around_statement(section: Section) -> tuple[Section, ...]:
    """A type of feed, and as sections of their own the words above it, those before it behind a
    sign ("Creme (75 g) – Ergänzungsfuttermittel"), and those below it; words below that are a
    sentence, or a type of feed once more, are left where they stand."""
    statements = list(statements_of([section])) if section.kind == "adequacy" else []
    if not statements:
        return (section,)
    start, end = statements[0].span.start, max(statement.span.end for statement in statements)
    for sign in _DASH.finditer(section.text, start - section.body.start):
        after = section.body.start + sign.end()
        # "Dear friends, this is a complete food" names none.
        word = _WORD.match(section.text, sign.end()) if sign.group()[0] == "," else None
        in_sentence = word is not None and is_sentence(word.group())
        if after < end and not in_sentence and any(statements_of(_rest(section, after, end))):
            start = after
    above, below = _rest(section, section.body.start, start), _rest(section, end, section.body.end)
    if above and "\n" not in section.text[: start - section.body.start]:
        # "Cod in jelly for cats. Complete pet food."
        last = above[0].body.end - above[0].text.endswith((".", ","))
        above = _rest(section, section.body.start, last)
    if any(_FIRST_SENTENCE.match(part.text) for part in below) or any(statements_of(below)):
        below, end = (), section.body.end
    own = Span(start, end)
    text = section.text[start - section.body.start : end - section.body.start]
    return (*above, section._replace(body=own, text=text), *below)


def _goes_on(source: Source, section: Section) -> bool:
    """Whether another part stands behind a section on its line."""
    behind = _LINE.match(source.text, section.body.end)
    return behind is not None and bool(behind.group().strip(_DECORATION))


def _name_lines(section: Section, goes_on: bool = False) -> Iterator[Span]:
    """The lines of the name: the first ones that may be one, and those that follow on. A part that
    `goes_on` behind it on its line ends a sentence that names an animal."""
    count, beside = 0, False
    last = max((end.start() for end in _PARAGRAPH.finditer(section.text.rstrip())), default=-1)
    for line in _LINE.finditer(section.text):
        words = line.group().strip(_DECORATION)
        if not words:
            continue
        if count and _BULLET.match(line.group()):
            return  # a list of claims below the name
        if not count and words.endswith(":"):
            continue  # "here is the text for the bag:"
        if _is_beside(words[: _own_part(words)]):  # "Duck | 3 kg | €21.99" is a name
            if count:
                return
            beside = True
            continue
        # "Apple Oat Biscuits. Baked dog treats. Net Wt 12 oz." begins with its name.
        ends = goes_on and line.end() == len(section.text) and species_in(words)
        own = _FIRST_SENTENCE.match(f"{words} A" if ends else words)
        own = None if count or (beside and is_sentence(words)) else own
        words = own.group() if own else words
        before = line.end() <= last
        cry = _CRY.fullmatch(words) and not species_in(words)
        if not count and _SENTENCE.search(words) and (beside or before or cry):
            continue  # of the mail, the page or the story that the label stands in
        if count == data("words/blocks")["lengths"]["name-lines"] or not _may_be_name(
            words[: _own_part(words)]
        ):
            return
        count += 1
        start = section.body.start + line.start() + line.group().index(words)
        length = _own_part(words)
        yield Span(start, start + length)
        if own or length < len(words):
            return


def _is_beside(words: str) -> bool:
    return _words()[0].search(words.strip(_DECORATION).split("\n", 1)[0]) is not None


def _may_be_name(words: str) -> bool:
    most = data("words/blocks")["lengths"]
    return not (
        _SENTENCE.search(words)
        # Letters set apart ("L A R D E R") are no words.
        or max(len(_LONG_WORD.findall(part)) for part in _PART.split(words)) > most["name-words"]
        or words.count(",") > most["name-commas"]
    )


def _own_part(words: str) -> int:
    """How far a line is the name: "... | Net Wt 12 oz" and "..., 4 kg bag" behind it are the
    net quantity."""
    ends = [(part.start(), part.end()) for part in _PART.finditer(words)]
    for number, (start, after) in enumerate(ends):
        end = ends[number + 1][0] if number + 1 < len(ends) else len(words)
        amount = _words()[1].search(words, after, end)
        before = words[after : amount.start()].split() if amount else []
        # "Huhn / Pollo 400 g" is a name to the quantity, as is "Larder – Duck and Oats, 2 x 400 g".
        if amount and not (before and (words[start:after].strip() == "/" or len(before) > _FEW)):
            return start
    _, _, at_end, for_animals = _words()
    net = at_end.search(words)
    if net and net.start() and not for_animals.search(words, 0, net.start()):
        return len(words[: net.start()].rstrip(" ,"))
    return len(words)


@cache
def _words() -> tuple[re.Pattern[str], re.Pattern[str], re.Pattern[str], re.Pattern[str]]:
    """Lines beside the name; a quantity, one at the end of a name, and the words up to one that is
    an animal's weight."""
    given, beside = data("words/blocks"), data("words/statements")
    net, animals = given["net-quantity"], "|".join(given["for-animals"])
    return (
        regex(*beside["mail-head"], *beside["beside-the-name"]),
        regex(given["quantity"]),
        regex(net.replace("{quantity}", given["quantity"])),
        regex(rf"(?:{animals})[ (]*$"),
    )


def _rest(section: Section, start: int, end: int) -> tuple[Section, ...]:
    """The words of a section between two places as a section of its own, if there are any."""
    printed = section.text[start - section.body.start : end - section.body.start]
    words = printed.strip()
    if not words.strip(_DECORATION):
        return ()
    start += len(printed) - len(printed.lstrip())
    first, _, more = words.partition("\n")
    if more and _words()[2].fullmatch(first.strip()):
        line = Section("net-contents", Span(start, start), Span(start, start + len(first)), first)
        return (line, *_rest(section, line.body.end, end))
    kind = "net-contents" if _words()[2].fullmatch(words) else "untitled"
    return (Section(kind, Span(start, start), Span(start, start + len(words)), words),)
