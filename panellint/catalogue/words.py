"""Printed names made comparable: folding, plain singulars, one spelling."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping

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


def fold(name: str) -> str:
    """A printed name without case, accents, hyphens, marks and odd white space.

    Plurals and words are left as they are: "dehydrated chicken" stays two words.
    """
    text = name.casefold().translate(_TABLE)
    if not text.isascii():
        text = unicodedata.normalize("NFKD", text)
        text = "".join(char for char in text if not unicodedata.combining(char))
        text = text.casefold().translate(_TABLE)
    return " ".join(text.split())


def singular(word: str) -> str:
    """A plain singular of an English word; both sides of a comparison pass through it."""
    if len(word) < 4 or not word.endswith("s") or word.endswith(("ss", "us", "is")):
        return word
    if word.endswith("ies"):
        return word[:-3] + ("y" if len(word) > 4 else "ie")
    if word.endswith(("oes", "ches", "shes", "xes", "sses")):
        return word[:-2]
    return word[:-1]


def plain(folded: str, spelling: Mapping[str, str]) -> str:
    """The key under which a folded English name is compared: one spelling, plain singulars."""
    words = (spelling.get(word, word) for word in folded.split(" "))
    return " ".join(singular(part) for word in words for part in word.split(" "))
