"""Additives on an EU or UK label: amounts, legal maxima, and additives that stand elsewhere."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any, NamedTuple

from panellint.core.errors import ImpossibleFigure
from panellint.core.findings import Certainty, Observation, Related
from panellint.core.source import Span
from panellint.core.text import fold, one_line
from panellint.core.units import convert
from panellint.core.wording import Wording, regex
from panellint.ingredients.selector import Choice, listing
from panellint.lint.checks.additive_numbers import element_of
from panellint.lint.checks.support.free_text import free_text_matches
from panellint.lint.checks.support.label_parts import is_whole, where
from panellint.rulepacks import parameters as takes
from panellint.rulepacks.data import data

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.label.model import AdditiveAmount, Section
    from panellint.rulepacks.model import Rule

#: Where one additive ends and the next begins; a comma inside a number ends none.
_NEXT = re.compile(r"[;·•]|,(?!\d)|\.(?=\s|$)|:(?!\s*\d)|\n(?=[ \t]*[A-Z–-])")
_ITEM = re.compile(r"\((?:[^()]|\([^()]*\))*\)|\b(?:E ?\d{3,4}\w?|\d[a-z]\d{3,4}\w*)\b")

#: A digit that is no part of a name such as "Vitamin D3".
_FIGURE = re.compile(r"(?<![^\W\d_])\d")

#: An amount behind a name; the figure of a vitamin's own name (D3, B12) is none.
_FIGURE = re.compile(r"(?<![A-Za-z\d])\d")
#: How many of many are named in a message.
_SHOWN = 4


class _Limited(NamedTuple):
    """An additive with a maximum: nutrient id, the words it is printed by, the maximum."""

    nutrient: str
    words: re.Pattern[str]
    at_most: Decimal
    unit: str


@cache
def _limited() -> tuple[_Limited, ...]:
    return tuple(
        _Limited(
            one["nutrient"],
            regex(*one["words"]),
            Decimal(str(one["at_most"])),
            one["unit"],
        )
        for one in data("nutrients/additives")["maxima"]
    )


@lru_cache(maxsize=1024)
def _limit_of(name: str) -> _Limited | None:
    """Returns the additive of that name that has a maximum, or None; names come again from label to
    label."""
    return next((one for one in _limited() if one.words.fullmatch(name)), None)


def without_amount(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds additives that have a legal maximum and are listed without their amount."""
    for section in context.sections_of("additives"):
        for words, span in _items(section):
            if _FIGURE.search(words):
                continue
            if _limit_of(words) is not None:
                yield Observation(span, Certainty.PROVEN, {"name": words})


def _items(section: Section) -> Iterator[tuple[str, Span]]:
    """Yields each entry of an additives list, its bracket and number taken off, with its place."""
    text = _ITEM.sub(lambda found: " " * len(found.group()), section.text)
    start = 0
    for end in [*_NEXT.finditer(text), None]:
        stop = end.start() if end else len(text)
        words = text[start:stop]
        stripped = words.strip(" \t\r\n-–—")
        if stripped:
            at = section.body.start + start + words.find(stripped)
            yield one_line(stripped), Span(at, at + len(stripped))
        start = end.end() if end else stop


def maximum(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds added amounts that by themselves pass the legal maximum of a complete food, those of an
    element from all its sources together.

    The maxima are moved to the food's declared moisture; where none is declared, to a food without
    water, which forgives the most. A complementary food may hold `times` as much, unless its
    directions make it the whole ration. An amount beside a number alone or the name of a compound
    may be that of the compound: what passes only with such is in doubt.
    """
    with_ = rule.parameters
    whole = _whole_ration(context, rule)
    declared = context.guarantee("moisture")
    water = declared.value if declared and declared.unit == "%" else Decimal(0)
    stands_for = Decimal(str(with_.number("moisture")))
    if not 0 <= water < 100 or not (whole or _is_complementary(context)):
        return
    factor = (100 - water) / (100 - stands_for) * (1 if whole else int(with_.number("times")))
    for limit, amounts in _by_element(context):
        most = limit.at_most * factor
        sure = [one for one in amounts if one.is_sure]
        if _sum(sure) > most:
            amounts = sure
        elif _sum(amounts) <= most:
            continue
        first = amounts[0]
        in_doubt = not all(one.is_sure for one in amounts)
        variant = "" if declared else "dry"
        yield Observation(
            first.given.span,
            Certainty.POSSIBLE if in_doubt else Certainty.PRACTICE,
            {
                "name": first.given.printed or first.given.number,
                "added": _sum(amounts),
                "unit": limit.unit,
                "most": limit.at_most,
                "here": float(most),
                "moisture": water,
            },
            variant="compound" if in_doubt else variant if whole else "complementary",
            related=tuple(Related(one.given.span, "counted with it") for one in amounts[1:]),
        )


class _Amount(NamedTuple):
    """An added amount in the unit of its limit; `is_sure` where it is surely of the element."""

    given: AdditiveAmount
    value: Decimal
    is_sure: bool


def _sum(amounts: list[_Amount]) -> Decimal:
    return sum((one.value for one in amounts), Decimal(0))


def _by_element(context: LabelContext) -> Iterator[tuple[_Limited, list[_Amount]]]:
    """Yields each limited element or vitamin with its amounts. A compound whose element follows
    with its own amount ("zinc sulphate 150 mg (zinc 55 mg)") is not counted."""
    found: dict[str, list[_Amount]] = {}
    for given in context.label.additives:
        limit, is_sure = _limit_for(given)
        if limit is None or given.value is None:
            continue
        value = _in_unit(given, limit.unit)
        if value is None:
            continue
        amounts = found.setdefault(limit.nutrient, [])
        last = amounts[-1] if amounts else None
        if is_sure and last and not last.is_sure and value < last.value:
            between = context.source.text[last.given.span.end : given.span.start]
            if len(between.strip()) <= 1:
                amounts.pop()
        amounts.append(_Amount(given, value, is_sure))
    return ((limit, found[limit.nutrient]) for limit in _limited() if limit.nutrient in found)


def _limit_for(given: AdditiveAmount) -> tuple[_Limited | None, bool]:
    """Returns what limits an additive, and whether its amount is surely that of the element."""
    name = one_line(_ITEM.sub(" ", given.printed)).strip(" ,;:-–")
    limit = _limit_of(name)
    if limit is not None:
        return limit, True
    nutrient, is_sure = element_of(given)
    return next((one for one in _limited() if one.nutrient == nutrient), None), is_sure


def _is_complementary(context: LabelContext) -> bool:
    return any(statement.route == "complementary" for statement in context.label.adequacy)


def _in_unit(given: AdditiveAmount, unit: str) -> Decimal | None:
    """Returns the amount in a unit per kg, None where it is counted otherwise."""
    assert given.value is not None
    if given.unit == unit:
        return given.value
    try:
        return Decimal(str(convert(float(given.value), given.unit, unit)))
    except ImpossibleFigure:
        return None


def _whole_ration(context: LabelContext, rule: Rule) -> bool:
    routes = {statement.route for statement in context.label.adequacy}
    if routes & set(rule.parameters.texts("complete")):
        return True
    words = rule.parameters.words("whole-ration")
    return any(words.search(section.text) for section in context.sections_of("feeding"))


def misplaced(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds additives among the materials of the composition: one finding, at the first."""
    if not is_whole(context):
        return
    which = rule.parameters.built("which", Choice).of(listing(context))
    found = [one for one in which if one.match and not one.members]
    if found:
        names = list(dict.fromkeys(one.name for one in found))
        shown = (
            names if len(names) <= _SHOWN + 1 else [*names[:_SHOWN], f"{len(names) - _SHOWN} more"]
        )
        yield Observation(
            found[0].name_span,
            Certainty.PRACTICE,
            {"name": found[0].name, "names": shown, "count": len(names)},
            variant="one" if len(names) == 1 else "",
            related=tuple(Related(one.name_span, "this one too") for one in found[1 : _SHOWN + 1]),
        )


def stated_for_all(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a list of additives with amounts that lacks what must be said of them all."""
    lists = context.sections_of("additives")
    if not any(additive.value is not None for additive in context.label.additives):
        return
    words = rule.parameters.words("words")
    text = context.source.text
    for section in lists:
        # The whole line of the heading: "ADDITIVES (per kg) Nutritional additives: ...".
        start = text.rfind("\n", 0, section.heading.start) + 1
        if words.search(text[start : section.body.end]):
            return
    yield Observation(where(context, "additives"), Certainty.PRACTICE)


def stressed(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds additives stressed in name or claims whose amount is not declared."""
    with_ = rule.parameters
    rows = with_.built("stressed", _stressed)
    for stretch, opening in free_text_matches(context, with_.words("openings")):
        start = len(stretch.text) - len(stretch.text[opening.end() :].lstrip())
        for names, shown_by in rows:
            named = names.match(stretch.text, start)
            if named and not _declared(context, shown_by):
                at = stretch.start
                yield Observation(
                    Span(at + opening.start(), at + named.end()),
                    Certainty.PRACTICE,
                    {
                        "named": fold(named.group()),
                        "claim": stretch.text[opening.start() : named.end()],
                    },
                )


def _stressed(given: list[dict[str, Any]], where: str) -> list[tuple[Wording, Wording]]:
    return [(Wording(row["named"]), Wording(row["shown-by"])) for row in given]


def _declared(context: LabelContext, words: Wording) -> bool:
    printed = [
        additive.printed for additive in context.label.additives if additive.value is not None
    ]
    printed += [guarantee.printed for guarantee in context.label.guarantees]
    return any(words.search(name) for name in printed)


DECLARATIONS = {
    "without_amount": takes.check(),
    "maximum": takes.check(
        takes.number("moisture", "percent", "The moisture for which the maxima stand."),
        takes.count("times", "maxima", "So often the maximum may a complementary food hold it."),
        takes.texts("complete", "Kinds of statement that make a food complete."),
        takes.words("whole-ration", "Feeding directions that make a food the whole ration."),
        variants=("dry", "complementary", "compound"),
    ),
    "misplaced": takes.check(
        takes.ingredients("which", "What belongs under the heading of additives."),
        variants=("one",),
    ),
    "stressed": takes.check(
        takes.words("openings", 'Words before what they stress ("with added").'),
        takes.rows(
            "stressed",
            "What may be stressed, and what shows its amount.",
            takes.words("named", "The additive, as free words name it."),
            takes.words("shown-by", "Its names among additives and constituents."),
        ),
    ),
    "stated_for_all": takes.check(
        takes.words("words", "What the heading or the list of additives must say.")
    ),
}
