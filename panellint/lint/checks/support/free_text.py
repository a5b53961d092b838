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
        """Returns the place of a match in the source."""
        return Span(self.start + match.start(group), self.start + match.end(group))


def free_text(context: LabelContext) -> tuple[FreeText, ...]:
    """Returns the product's name, then each section of free words, in the order of the text."""
    return context.once(_free_text)


def free_text_matches(
    context: LabelContext, words: Wording | re.Pattern[str]
) -> Iterator[tuple[FreeText, re.Match[str]]]:
    """Yields each match of the words where the label speaks freely."""
    for stretch in free_text(context):
        for match in words.finditer(stretch.text):
            yield stretch, match


def _free_text(context: LabelContext) -> tuple[FreeText, ...]:
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
