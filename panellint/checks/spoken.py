"""Where a label speaks freely: the product's name and the claims, with their places."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from panellint.source import Span
from panellint.wordlist import Words

if TYPE_CHECKING:
    from panellint.case import Case


class Spoken(NamedTuple):
    """A stretch of free words. `text` is the source's own text, so offsets in it count from
    `start`."""

    text: str
    start: int
    in_name: bool

    def span(self, match: re.Match[str], group: int | str = 0) -> Span:
        """The place of a match in the source."""
        return Span(self.start + match.start(group), self.start + match.end(group))


def spoken(case: Case) -> Iterator[Spoken]:
    """The product's name, then each section of claims whole, in the order of the text."""
    name = case.label.product_name_span
    if case.label.product_name:
        yield Spoken(case.source.slice(name), name.start, True)
    for section in case.label.sections_of("claims"):
        yield Spoken(case.source.slice(section.body), section.body.start, False)


def said(case: Case, words: Words) -> Iterator[tuple[Spoken, re.Match[str]]]:
    """Each match of the words where the label speaks freely."""
    for stretch in spoken(case):
        for match in words.finditer(stretch.text):
            yield stretch, match


def folded(text: str) -> str:
    """Lower case, white space folded."""
    return " ".join(text.lower().split())
