"""Printed words made comparable: one function for each meaning of "the same words".

From the least change to the most: `one_line` keeps the words as they are printed; `fold` takes
no notice of case and of the shape of signs; `fold_name` leaves of a name its letters and
figures; `name_key` brings it to the singular too.
"""

import re
import unicodedata
from collections.abc import Mapping
from functools import cache, lru_cache

_DROPPED = "™®©*†‡§¶°'’‘`´\"“”„«»­​‌‍\ufeff⁠¹²³"
_SPACES = "-‐‑‒–—―−/_,.;:()[]{}+|·•!?\\~<>="
_TABLE: dict[int, str | None] = {ord(char): None for char in _DROPPED}
_TABLE |= {ord(char): " " for char in _SPACES}
_TABLE |= {
    ord("&"): " and ",
    ord("æ"): "ae",
    ord("œ"): "oe",
    ord("ø"): "o",
    ord("ł"): "l",
    ord("ı"): "i",
    ord("α"): "alpha",
    ord("β"): "beta",
    ord("γ"): "gamma",
    ord("δ"): "delta",
}
#: Signs that are printed in several shapes: apostrophes and dashes.
_SHAPES = str.maketrans({"’": "'", "‘": "'", "–": "-", "‐": "-", "‑": "-"})
#: Endings of words that sound like a plural and are none.
_SINGULAR = ("ss", "us", "is", "molasses")
#: Plurals in "ves" of words in "f"; others ("olives", "cloves") lose their s alone.
_OF_F = ("calves", "halves", "hooves", "leaves", "loaves")
#: What could command or confuse a terminal.
_UNSAFE = re.compile(
    "[\x00-\x08\x0a-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]"
)


#: A word over two lines: "main-" and "tenance", "FEED-" and "ING".
_BROKEN = re.compile(
    r"(?<=[^\W\d_])-[ \t]*\r?\n[ \t]*(?=[a-zà-ÿ])"
    r"|(?<=[A-ZÀ-Þ]{2})-[ \t]*\r?\n[ \t]*(?=[A-ZÀ-Þ]{2})"
)


def unbroken(text: str) -> str:
    """Returns the text with the words whole that a hyphen at a line's end parts."""
    return _BROKEN.sub("", text)


def one_line(text: str) -> str:
    """Returns the text on one line: a single blank for any white space, none at the ends."""
    return " ".join(text.split())


@lru_cache(maxsize=4096)
def fold(text: str) -> str:
    """Returns the text on one line in lower case, its apostrophes and dashes in one shape.

    The same headings and phrases come again from label to label.
    """
    return " ".join(text.lower().translate(_SHAPES).split())


@lru_cache(maxsize=4096)
def fold_name(name: str) -> str:
    """Returns a printed name without case, accents, hyphens, marks and odd white space.

    Plurals and words are left as they are: "dehydrated chicken" stays two words.
    """
    text = name.casefold().translate(_TABLE)
    if not text.isascii():
        text = unicodedata.normalize("NFKD", text)
        text = "".join(char for char in text if not unicodedata.combining(char))
        text = text.casefold().translate(_TABLE)
    return " ".join(text.split()).replace(" %", "%")


def without_accents(text: str) -> str:
    """Returns the text with plain Latin letters, one for each."""
    return text if text.isascii() else text.translate(_plain_letters())


@cache
def _plain_letters() -> dict[int, str]:
    letters = ((code, unicodedata.normalize("NFD", chr(code))) for code in range(0xC0, 0x250))
    parted = {code: parts[0] for code, parts in letters if len(parts) > 1}
    return parted | dict(zip(map(ord, "łŁøØ"), "lLoO", strict=True))


def singular(word: str) -> str:
    """Returns a plain singular of an English word in lower case.

    It need not be a word ("cheese" stays, "gravies" is "gravy", "molasses" is "molass"): both
    sides of a comparison pass through it.
    """
    if len(word) < 4 or not word.endswith("s") or word.endswith(("ss", "us", "is")):
        return word
    if word.endswith(_OF_F):
        return f"{word[:-3]}f"
    if word.endswith("ies"):
        return word[:-3] + ("y" if len(word) > 4 else "ie")
    if word.endswith(("oes", "ches", "shes", "xes", "sses")):
        return word[:-2]
    return word[:-1]


def spelled_alike(folded: str, spelling: Mapping[str, str]) -> str:
    """Returns the key under which a folded English name is compared.

    Each word stands in one spelling (`spelling` maps a word to one or more) and in the singular.
    """
    words = (spelling.get(word, word) for word in folded.split(" "))
    return " ".join(singular(part) for word in words for part in word.split(" "))


@lru_cache(maxsize=4096)
def name_key(name: str) -> str:
    """Returns a printed name folded and in the singular: "Chicken Livers" is "chicken liver"."""
    return spelled_alike(fold_name(name), {})


def is_plural(name: str) -> bool:
    """Returns True for what is spoken of as "they": peas, chicken and rice."""
    last = name.split(" (")[0].rsplit(" ", 1)[-1].lower()
    return (last.endswith("s") and not last.endswith(_SINGULAR)) or " and " in name


def harmless(text: str) -> str:
    """Returns the text with everything that could command or confuse a terminal made visible.

    Control characters become their pictures (U+2400 and on); direction marks, line
    separators and lone surrogates become U+FFFD, one for one, so that offsets hold.
    """
    return _UNSAFE.sub(_picture, text)


def _picture(match: re.Match[str]) -> str:
    code = ord(match[0])
    if code < 0x20:
        return chr(0x2400 + code)
    return "\u2421" if code == 0x7F else "\ufffd"
