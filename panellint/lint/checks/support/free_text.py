"""Where a label speaks freely: the product's name and the claims, with their places."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from panellint.core.patterns import Words
from panellint.core.source import Span

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext


class FreeText(NamedTuple):
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

    stretches: tuple[FreeText, ...]
    text: str


def spoken(context: LabelContext) -> tuple[FreeText, ...]:
    """The product's name, then each section of claims whole, in the order of the text."""
    return context.once(_free).stretches


def said(context: LabelContext, words: Words) -> Iterator[tuple[FreeText, re.Match[str]]]:
    """Each match of the words where the label speaks freely."""
    stretches, text = context.once(_free)
    if words.may_be_in(text):
        for stretch in stretches:
            for match in words.finditer(stretch.text):
                yield stretch, match


def may_be_said(context: LabelContext, words: Words) -> bool:
    """False where surely none of the words is said where the label speaks freely."""
    return words.may_be_in(context.once(_free).text)


def _free(context: LabelContext) -> _Free:
    name = context.label.product_name_span
    found = (
        [FreeText(context.source.slice(name), name.start, True)]
        if context.label.product_name
        else []
    )
    found += [
        FreeText(context.source.slice(section.body), section.body.start, False)
        for section in context.sections_of("claims")
    ]
    return _Free(tuple(found), "\n".join(one.text for one in found))
