"""Where a label speaks freely: the product's name and the claims, with their places."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from panellint.core.patterns import Words
from panellint.core.source import Span

if TYPE_CHECKING:
    from panellint.analysis.context import Case


class Spoken(NamedTuple):
    """A stretch of free words. `text` is the source's own text, so offsets in it count from
    `start`."""

    text: str
    start: int
    in_name: bool

    def span(self, match: re.Match[str], group: int | str = 0) -> Span:
        """The place of a match in the source."""
        return Span(self.start + match.start(group), self.start + match.end(group))


class _Free(NamedTuple):
    """All that is spoken freely, and its words as one text."""

    stretches: tuple[Spoken, ...]
    text: str


def spoken(case: Case) -> tuple[Spoken, ...]:
    """The product's name, then each section of claims whole, in the order of the text."""
    return case.once(_free).stretches


def said(case: Case, words: Words) -> Iterator[tuple[Spoken, re.Match[str]]]:
    """Each match of the words where the label speaks freely."""
    stretches, text = case.once(_free)
    if words.may_be_in(text):
        for stretch in stretches:
            for match in words.finditer(stretch.text):
                yield stretch, match


def may_be_said(case: Case, words: Words) -> bool:
    """False where surely none of the words is said where the label speaks freely."""
    return words.may_be_in(case.once(_free).text)


def _free(case: Case) -> _Free:
    name = case.label.product_name_span
    found = [Spoken(case.source.slice(name), name.start, True)] if case.label.product_name else []
    found += [
        Spoken(case.source.slice(section.body), section.body.start, False)
        for section in case.sections_of("claims")
    ]
    return _Free(tuple(found), "\n".join(one.text for one in found))


@lru_cache(maxsize=4096)
def folded(text: str) -> str:
    """Lower case, white space folded: names come again from label to label."""
    return " ".join(text.lower().split())
