"""Where a label speaks freely: the product's name, the claims and all words under no heading that
is known, with their places."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from panellint.analysis.context import uses_in
from panellint.core.once import once
from panellint.core.source import Span
from panellint.ingredients.mentions import mentions
from panellint.label.kinds import kinds
from panellint.label.statements import species_in
from panellint.rulepacks.data import data

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.core.wording import Pattern, Wording
    from panellint.label.claims import Search

_NO_FIGURE = re.compile(r"^[^\d\n]+$", re.MULTILINE)


class FreeText(NamedTuple):
    """A stretch of free words. `text` is the source's own text, so offsets in it count from
    `start`; `is_claim` where it stands in the name or where claims do."""

    text: str
    start: int
    in_name: bool
    is_claim: bool

    def span(self, match: re.Match[str], group: int | str = 0) -> Span:
        """Returns the place of a match in the source."""
        return Span(self.start + match.start(group), self.start + match.end(group))


@once
def free_text(context: LabelContext) -> tuple[FreeText, ...]:
    """Returns the product's name, then each section of free words, in the order of the text."""
    name = context.label.product_name_span
    texts = (
        [FreeText(context.source.slice(name), name.start, True, True)]
        if context.label.product_name
        else []
    )
    return (*texts, *_stretches(context, kinds("free")))


@once
def behind_figures(context: LabelContext) -> tuple[FreeText, ...]:
    """Returns each section of figures whole, where a sentence may stand behind them."""
    return _stretches(context, kinds("figures"))


def free_text_matches(
    context: LabelContext, words: Wording | Search | re.Pattern[str]
) -> Iterator[tuple[FreeText, re.Match[str]]]:
    """Yields each match of the words where the label speaks freely."""
    pattern = said(context, words)
    if pattern is None:
        return
    for stretch in free_text(context):
        for match in pattern.finditer(stretch.text):
            yield stretch, match


def said(context: LabelContext, words: Wording | Search | re.Pattern[str]) -> Pattern | None:
    """Returns a search for the words; None where the label surely says them nowhere: one look at
    all of its free text in place of one at each stretch."""
    return words if isinstance(words, re.Pattern) else _said(context, words)


@once
def _said(context: LabelContext, words: Wording | Search) -> Pattern | None:
    text = _all_words(context)
    pattern = words.pattern_for(text)
    # Phrases end with their stretch; a regular expression may ask for the ends of a text.
    absent = pattern is None or (words.is_phrases and pattern.search(text) is None)
    return None if absent else pattern


@once
def _all_words(context: LabelContext) -> str:
    return " .\n".join(text.text for text in (*free_text(context), *behind_figures(context)))


@once
def lines_without_figures(context: LabelContext) -> tuple[FreeText, ...]:
    """Returns the lines of sections of figures that hold none: a sentence that stands behind."""
    return tuple(
        stretch._replace(text=line.group(), start=stretch.start + line.start())
        for stretch in behind_figures(context)
        for line in _NO_FIGURE.finditer(stretch.text)
    )


@cache
def _denied() -> re.Pattern[str]:
    given = data("words/claims")
    asked = rf"(?:(?<=[.?!])|^)[^.?!\n]++\?\W{{0,6}}(?:{'|'.join(given['denied'])})\b"
    return re.compile("|".join([asked, *given["denials"]]), re.I | re.M)


def _undenied(text: str) -> str:
    """Returns a text with blanks for questions that it answers with no ("Grain free? - No.") and
    words that claim nothing of the food."""
    return _denied().sub(lambda denied: " " * len(denied[0]), text)


@cache
def _ranges() -> re.Pattern[str]:
    return re.compile("|".join(data("words/claims")["other-foods"]), re.IGNORECASE)


def _of_this_food(context: LabelContext, text: str) -> str:
    """Returns a text with blanks for what it says of another range of the maker's: one for another
    animal, of another use, or of an ingredient that the name does not have."""

    # A treat goes by many names.
    whole = any(statement.stages for statement in context.label.adequacy)

    def blanked(said: re.Match[str]) -> str:
        subject = said["subject"]
        animal, called = species_in(subject), context.called
        other = (
            (animal is not None and animal not in context.animals)
            or (whole and not set(uses_in(subject)) <= set(context.uses))
            or any(
                mention.name not in called.lower()
                for mention in mentions(subject, context.lookup)
                if mention.match.known.species
            )
        )
        return " " * len(said[0]) if other else said[0]

    return _ranges().sub(blanked, text)


def _stretches(context: LabelContext, among: Collection[str]) -> tuple[FreeText, ...]:
    return tuple(
        FreeText(
            # Of columns side by side it has its own alone.
            _of_this_food(
                context,
                _undenied(
                    section.text
                    if section.words == section.body
                    else context.source.slice(section.words)
                ),
            ),
            section.words.start,
            in_name=False,
            is_claim=section.kind in kinds("claiming"),
        )
        for section in context.label.sections
        if section.kind in among
    )
