"""Labels in several languages: what is due in each, and parts printed twice that do not agree."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from panellint.core.findings import Certainty, Observation, Related
from panellint.core.source import Span
from panellint.core.text import fold, one_line
from panellint.core.wording import Wording
from panellint.ingredients.model import Ingredient
from panellint.ingredients.resolve import identify
from panellint.lint.checks.support.label_parts import has_small_print
from panellint.rulepacks import parameters as takes
from panellint.rulepacks.data import data

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.rulepacks.model import Rule


def headings(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds parts whose headings do not stand in all the languages that a market asks for: one
    finding, at the first heading that lacks a language."""
    with_ = rule.parameters
    if not has_small_print(context):
        return
    lacking: list[tuple[Span, str, str]] = []
    for kind in with_.texts("sections"):
        headed = [one for one in context.sections_of(kind) if one.heading.end > one.heading.start]
        lines = [_heading_line(context, one.heading) for one in headed]
        if any(" / " in line for line in lines):
            continue  # "Net / Net": the same word in two languages
        for name, code in with_["languages"].items():
            if lines and not any(_heading_words(kind, code).search(line) for line in lines):
                lacking.append((headed[0].heading, one_line(lines[0]), name))
    if lacking:
        first = lacking[0]
        yield Observation(
            first[0],
            Certainty.PRACTICE,
            {
                "heading": one_line(context.source.slice(first[0])),
                "language": first[2],
                "count": len(lacking),
            },
            related=tuple(Related(span, f"no {name} here either") for span, _, name in lacking[1:]),
        )


def names(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a product's name that does not stand in every language that a market asks for."""
    if not has_small_print(context) or not context.label.product_name:
        return
    kinds = rule.parameters.texts("sections")
    printed = " ".join(s.text for s in context.label.sections if s.kind in kinds)
    for language, words in rule.parameters.built("words", _wordings).items():
        if not words.search(printed):
            yield Observation(
                context.label.product_name_span, Certainty.PRACTICE, {"language": language}
            )
            return


def _wordings(given: Mapping[str, Any], path: str) -> dict[str, Wording]:
    return {language: Wording(words) for language, words in given.items()}


def lists(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds lists or figures that are printed in two languages and do not agree."""
    for heading, language, entries in context.label.translations:
        label = context.label._replace(declaration=entries)
        other = identify(label, context.catalogue, market=context.market, language=language)
        found = _differing(context.declaration.ingredients, other.ingredients)
        if found is not None:
            entry, counterpart, variant = found
            yield Observation(
                entry.name_span,
                Certainty.PRACTICE,
                {"name": entry.name, "other": counterpart.name},
                variant=variant,
                related=(Related(counterpart.name_span, "the other language has this"),),
            )
        elif len(other.ingredients) != len(context.declaration.ingredients):
            counts = len(context.declaration.ingredients), len(other.ingredients)
            yield Observation(
                heading, Certainty.POSSIBLE, {"count": counts[0], "others": counts[1]}, "count"
            )
    given = [one for one in context.label.guarantees if one.nutrient is not None]
    for number, one in enumerate(given):
        for earlier in given[:number]:
            same = (one.nutrient, one.bound, one.unit) == (
                earlier.nutrient,
                earlier.bound,
                earlier.unit,
            )
            if same and one.value != earlier.value and fold(one.printed) != fold(earlier.printed):
                yield Observation(
                    one.span,
                    Certainty.PRACTICE,
                    {"name": one.printed, "other": earlier.printed},
                    variant="figure",
                    related=(Related(earlier.span, "the other language has this"),),
                )


def _differing(
    first: Sequence[Ingredient], second: Sequence[Ingredient]
) -> tuple[Ingredient, Ingredient, str] | None:
    """Returns the first entry of the second list that stands elsewhere in the first one, or that
    has another figure there, and its counterpart. Only names that are known once in each count."""
    own = _once_known(first)
    common = [one for one in second if one.known_as in own and one.known_as in _once_known(second)]
    for before, after in pairwise(common):
        if own[before.known_as].path > own[after.known_as].path:
            return after, own[after.known_as], "order"
    for one in common:
        figures = one.percent, own[one.known_as].percent
        if all(figures) and figures[0].value != figures[1].value:  # type: ignore[union-attr]
            return one, own[one.known_as], "figure"
    return None


def _once_known(entries: Sequence[Ingredient]) -> dict[str | None, Ingredient]:
    ids = [one.known_as for one in entries]
    return {one.known_as: one for one in entries if one.known_as and ids.count(one.known_as) == 1}


# ---- parts ---------------------------------------------------------------------------------------


def _heading_line(context: LabelContext, span: Span) -> str:
    """Returns the heading with what stands on its line up to the colon: "Ingredients /
    Ingrédients"."""
    text = context.source.text
    start, end = text.rfind("\n", 0, span.start) + 1, text.find("\n", span.end)
    if ":" in text[start : span.start]:
        start = span.start  # another heading begins the line
    return text[start : end if end >= 0 else len(text)].split(":", 1)[0]


@cache
def _heading_words(kind: str, code: str) -> re.Pattern[str]:
    words = [
        re.escape(word).replace("'", "['’]")
        for one in data("words/headings")["headings"]
        if one["kind"] == kind
        for word in one["words"].get(code, ())
    ]
    return re.compile(rf"(?<!\w)(?:{'|'.join(words) or '(?!)'})(?!\w)", re.IGNORECASE)


DECLARATIONS = {
    "headings": takes.check(
        takes.texts("sections", "Sections whose headings are looked at."),
        takes.table(
            "languages",
            "The languages that are due, each with its code.",
            takes.text("code", "The code in rules/words/headings.yaml."),
        ),
    ),
    "names": takes.check(
        takes.texts("sections", "Sections in which the name may stand."),
        takes.table(
            "words",
            "The languages that are due, each with words that show it.",
            takes.words("words", "Words."),
        ),
    ),
    "lists": takes.check(variants=("order", "figure", "count")),
}
