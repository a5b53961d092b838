"""Where a label speaks freely: the product's name, the claims and all words under no heading that
is known, with their places."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from panellint.core.source import Span

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.core.wording import Wording


#: Sections in which a label may say anything.
_FREE = frozenset({"claims", "untitled", "unknown", "feeding"})


class FreeText(NamedTuple):
    """A stretch of free words. `text` is the source's own text, so offsets in it count from
    `start`."""

    text: str
    start: int
    in_name: bool

    def span(self, match: re.Match[str], group: int | str = 0) -> Span:
        """The place of a match in the source."""
        return Span(self.start + match.start(group), self.start + match.end(group))


def spoken(context: LabelContext) -> tuple[FreeText, ...]:
    """The product's name, then each section of free words whole, in the order of the text."""
    return context.once(_spoken)


def said(
    context: LabelContext, words: Wording | re.Pattern[str]
) -> Iterator[tuple[FreeText, re.Match[str]]]:
    """Each match of the words where the label speaks freely."""
    for stretch in spoken(context):
        for match in words.finditer(stretch.text):
            yield stretch, match


def _spoken(context: LabelContext) -> tuple[FreeText, ...]:
    name = context.label.product_name_span
    found = (
        [FreeText(context.source.slice(name), name.start, True)]
        if context.label.product_name
        else []
    )
    found += [
        FreeText(context.source.slice(section.body), section.body.start, False)
        for section in context.label.sections
        if section.kind in _FREE
    ]
    return tuple(found)
