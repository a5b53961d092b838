"""The elements of XML as lines with headings, as the export of a shop or a system of specifications
has them; every offset stays."""

import re
from functools import cache

from panellint.core.text import fold
from panellint.label.guarantees import nutrient_names
from panellint.label.vocabulary import vocabulary
from panellint.rulepacks.data import data

_ELEMENT = re.compile(
    r"<(?P<close>/?)(?P<name>[^\W\d][\w.:-]{0,60})(?P<more>(?:\s[^<>]{0,600})?)>"
    r"|<[?!][^<>]{0,600}>|<!\[CDATA\[|\]\]>"
)
_ATTRIBUTE = re.compile(
    r"(?P<name>[\w.:-]{1,60})\s*=\s*(?P<sign>[\"'])(?P<value>[^\"'<>]*)(?P=sign)"
)
#: Elements of a page that may stand in one.
_OF_A_PAGE = frozenset(
    "a abbr article b body br caption dd details div dl dt em font footer form h1 h2 h3 h4 h5"
    " h6 head header hr html i img input label li link main meta nav ol option p s script section"
    " select small span strong style sub summary sup table tbody td th thead title tr u ul".split()
)
_PER_KILOGRAM = re.compile(r"(?:per |.{1,4}/)?kg")
_NESTED = re.compile(r"\s*<[^/]")
#: A small letter before a capital, "crudeAsh", or a sign between words.
_JOINT = re.compile(r"(?<=[a-zà-ÿ])(?=[A-Z])|[_.:-]+")


def in_headed_lines(text: str) -> str:
    """Returns a text of elements that are named as parts of a label with the names as headings and
    the values of attributes as words; any other text as it is."""
    if "</" not in text:
        return text
    found = _ELEMENT.finditer(text)
    known = {e["name"] for e in found if e["name"] and _is_part(e["name"])}
    if len(known) < data("words/blocks")["lengths"]["signed-lines"]:
        return text
    return _ELEMENT.sub(_line, text)


def _line(element: re.Match[str]) -> str:
    name, more, length = element["name"] or "", element["more"] or "", len(element[0])
    if name.lower() in _OF_A_PAGE:
        return element[0]
    if _NESTED.match(element.string, element.end()) and "product" in name.lower():
        return "\n".ljust(length)
    attributes = [*_ATTRIBUTE.finditer(more)]
    if not name or element["close"] or not (attributes or is_part_name(name)):
        return "\n".ljust(length)
    values = [a["value"] for a in attributes]
    per = " per kg" if any(_PER_KILOGRAM.fullmatch(value) for value in values) else ""
    unit = " (%)" if "%" in values else per
    if more.rstrip().endswith("/"):
        return "\n" + " " * len(name) + _values(more) + " "
    heading = next((a for a in attributes if is_part_name(a["value"])), None)
    if heading and not is_part_name(name):
        start = element.start("more") - element.start() + heading.start("value")
        words = f"\n{' ' * (start - 1)}{heading['value']}{unit}:"
    elif is_part_name(name):
        words = f"{part_name(name)}{unit}:"
    else:
        words = ""
    words = f" {words}" if words and len(words) < length else words  # in its place
    return words.ljust(length) if 0 < len(words) <= length else "\n".ljust(length)


def _values(attributes: str) -> str:
    """Returns blanks for all but the values of attributes that may be words of a label."""
    signs = [" "] * len(attributes)
    for one in _ATTRIBUTE.finditer(attributes):
        if one["name"].rpartition(":")[2].lower() not in data("words/pasted")["no-words"]:
            signs[one.start("value") : one.end("value")] = one["value"]
    return "".join(signs)


def part_name(key: str) -> str:
    """Returns the words of a key that programs write as one: "crudeAsh", "feeding_guide"."""
    return _JOINT.sub(" ", key)


@cache
def is_part_name(key: str) -> bool:
    """Returns whether a key is a heading of labels or the name of a nutrient."""
    words = fold(part_name(key))
    return words in vocabulary()["kinds"] or words in nutrient_names()


def _is_part(name: str) -> bool:
    return name.lower() not in _OF_A_PAGE and is_part_name(name)
