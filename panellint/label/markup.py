"""The signs of HTML in a text copied from a page, blanked so that every offset stays as it was."""

from __future__ import annotations

import re

from panellint.core.source import Source

#: Elements of HTML that begin a line of their own.
_LINE = "h[1-6]|p|li|ul|ol|div|br|tr|table|tbody|section|dl|dt|dd"
_TAG = re.compile(r"</?[a-z][^<>\n]{0,200}>", re.IGNORECASE)
_ENTITIES = {"&amp;": "&", "&nbsp;": " ", "&reg;": " ", "&trade;": " ", "&deg;": "°", "&lt;": "<"}
_ENTITY = re.compile("|".join(_ENTITIES))


def without_markup(source: Source) -> Source:
    """Returns the source without HTML's tags and entities; one without tags as it is."""
    return Source(blanked(source.text), source.path) if "</" in source.text else source


def blanked(text: str) -> str:
    """Returns a text with blanks for HTML's tags and line breaks for those of blocks, entities as
    the signs that they stand for, and as long as it was."""
    text = _TAG.sub(_blank, text)
    return _ENTITY.sub(lambda match: _ENTITIES[match.group()].ljust(len(match.group())), text)


def _blank(tag: re.Match[str]) -> str:
    name = re.match(rf"</?(?:{_LINE})\b", tag.group(), re.IGNORECASE)
    return ("\n" if name else " ") + " " * (len(tag.group()) - 1)
