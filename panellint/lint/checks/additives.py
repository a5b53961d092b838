"""Additives on an EU or UK label: numbers of the register (`rules/data/eu-additives.yaml`),
amounts, legal maxima, and additives that stand elsewhere."""

import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from functools import lru_cache
from typing import Any, NamedTuple

from panellint.analysis.additive_register import (
    Additive,
    element_of,
    named_in,
    register,
    row_of,
    share_of,
    words_of_substances,
)
from panellint.analysis.context import LabelContext
from panellint.core.errors import ImpossibleFigure
from panellint.core.findings import Certainty, Observation, Related
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.core.units import convert
from panellint.core.wording import regex
from panellint.ingredients.selector import Choice, listing
from panellint.label.additives import NUMBER
from panellint.label.model import AdditiveAmount, Guarantee, Section
from panellint.lint.checks.support.dietetic import is_dietetic
from panellint.lint.checks.support.label_parts import is_whole, where
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule

_DATA = "data/eu-additives"
#: Where one additive ends and the next begins; a comma inside a number ends none.
_NEXT = re.compile(r"[;·•]|,(?!\d)|\.(?=\s|$)|:(?!\s*\d)|\n(?=[ \t]*[A-Z–-])")
_ITEM = re.compile(rf"\((?:[^()]|\([^()]*\))*\)|{NUMBER}")

#: An amount behind a name; the figure of a vitamin's own name (D3, B12) is none.
_FIGURE = re.compile(r"(?<![A-Za-z\d])\d")
#: How many of many are named in a message.
_SHOWN = 4


def disagreeing(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a number that is another additive's than the name beside it."""
    for given in context.label.additives:
        row, named = row_of(given), named_in(given.printed)
        known = {of for of, _ in words_of_substances()}
        if row is None or row.of not in known or not named:
            continue
        if row.of in named:
            yield Observation.met(given.span)
        else:
            values = {
                "number": row.number,
                "name": row.name,
                "printed": given.printed.strip(" (),;"),
            }
            yield Observation(given.span, Certainty.PRACTICE, values)


def unauthorised(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds additives that are authorised for neither dogs nor cats, or no longer for any animal.

    It is proven where the authorisation was read, and possible where it is from memory.
    """
    for given in context.label.additives:
        row = row_of(given)
        if row is None:
            named = named_in(given.printed)
            rows = [
                additive for additive in register().values() if named and additive.of == named[0]
            ]
            barred = rows and all(_is_barred(additive) for additive in rows)
            row = rows[0] if barred else None
        if row is None or not _is_barred(row):
            continue
        if context.market not in row.group.get("markets", (context.market,)):
            continue
        withdrawn = row.group.get("status") == "withdrawn"
        yield Observation(
            given.span,
            Certainty.PROVEN if row.group["source"]["seen"] else Certainty.POSSIBLE,
            {
                "printed": given.printed.strip(" (),;") or row.number,
                "name": row.name,
                "note": row.group.get("note", ""),
                "document": row.group["source"]["document"],
            },
            variant="withdrawn" if withdrawn else "",
        )


def _is_barred(row: Additive) -> bool:
    return row.group.get("species") == [] or row.group.get("status") == "withdrawn"


@lru_cache(maxsize=1024)
def _limit_of(name: str) -> Mapping[str, Any] | None:
    """Returns the additive of that name that has a maximum, or None; names come again from label to
    label."""
    maxima = data("nutrients/additives")["maxima"]
    return next((row for row in maxima if regex(*row["words"]).fullmatch(name)), None)


def without_amount(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds additives that have a legal maximum and are listed without their amount."""
    for section in context.sections_of("additives"):
        for words, span in _items(section):
            if not _FIGURE.search(words) and _limit_of(words) is not None:
                yield Observation(span, Certainty.PROVEN, {"name": words})


def _items(section: Section) -> Iterator[tuple[str, Span]]:
    """Yields each entry of an additives list, its bracket and number taken off, with its place."""
    text = _ITEM.sub(lambda match: " " * len(match.group()), section.text)
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
    directions make it the whole ration. An amount beside the name of a compound is taken as that of
    the compound; beside a number alone or a compound whose share of the element is not known it may
    be either: what passes only with such is in doubt.
    """
    with_ = rule.parameters
    routes = {statement.route for statement in context.label.adequacy}
    directions = context.sections_of("feeding")
    whole = not routes.isdisjoint(with_.texts("complete")) or any(
        with_.words("whole-ration").search(section.text) for section in directions
    )
    declared = context.guarantee("moisture")
    water = declared.value if declared and declared.unit == "%" else Decimal(0)
    stands_for = Decimal(str(with_.number("moisture")))
    if not 0 <= water < 100 or not (whole or "complementary" in routes):
        return
    factor = (100 - water) / (100 - stands_for) * (1 if whole else int(with_.number("times")))
    totals = _organic(context) if with_["organic"] else _by_element(context)
    for limit, amounts in totals:
        most = Decimal(str(limit["at_most"])) * factor
        sure = [amount for amount in amounts if amount.is_sure]
        if _sum(sure) > most:
            amounts = sure
        elif _sum(amounts) <= most:
            continue
        first = amounts[0]
        in_doubt = not all(amount.is_sure for amount in amounts)
        variant = "" if declared else "dry"
        yield Observation(
            first.given.span,
            Certainty.POSSIBLE if in_doubt else Certainty.PRACTICE,
            {
                "name": first.given.printed or first.given.number,
                "added": _sum(amounts),
                "unit": limit["unit"],
                "most": limit["at_most"],
                "here": float(most),
                "moisture": water,
            },
            variant="compound" if in_doubt else variant if whole else "complementary",
            related=tuple(Related(amount.given.span, "counted with it") for amount in amounts[1:]),
        )


class _Amount(NamedTuple):
    """An added amount of an element in the unit of its limit, and as it is printed; `is_sure` where
    it is surely of the element."""

    given: AdditiveAmount
    value: Decimal
    is_sure: bool
    printed: Decimal

    @property
    def is_compound(self) -> bool:
        """Whether what is printed may be an amount of a compound."""
        return not self.is_sure or self.value < self.printed


def _sum(amounts: list[_Amount]) -> Decimal:
    return sum((amount.value for amount in amounts), Decimal(0))


def _by_element(context: LabelContext) -> Iterator[tuple[Mapping[str, Any], list[_Amount]]]:
    """Yields each limited element or vitamin with its amounts. A compound whose element follows
    with its own amount ("zinc sulphate 150 mg (zinc 55 mg)") is not counted."""
    by_nutrient: dict[str, list[_Amount]] = {}
    maxima = data("nutrients/additives")["maxima"]
    for given in context.label.additives:
        limit = _limit_of(one_line(_ITEM.sub(" ", given.printed)).strip(" ,;:-–"))
        nutrient, is_sure = (limit["nutrient"], True) if limit else element_of(given)
        limit = next((row for row in maxima if row["nutrient"] == nutrient), None)
        value = in_unit(given, limit["unit"]) if limit else None
        if value is None:
            continue
        amounts = by_nutrient.setdefault(nutrient, [])
        last = amounts[-1] if amounts else None
        if is_sure and last and last.is_compound and value < last.printed:
            between = context.source.text[last.given.span.end : given.span.start]
            if len(between.strip()) <= 1:
                amounts.pop()
        share = Decimal(1) if is_sure else share_of(nutrient, given.printed)
        amounts.append(_Amount(given, value * share, is_sure or share < 1, value))
    return (
        (limit, by_nutrient[limit["nutrient"]])
        for limit in maxima
        if limit["nutrient"] in by_nutrient
    )


def _organic(context: LabelContext) -> Iterator[tuple[Mapping[str, Any], list[_Amount]]]:
    """Yields the least that an authorisation lets be added of an element from organic sources, with
    the amounts from such; they may be those of the preparation."""
    rows = [(given, row_of(given)) for given in context.label.additives]
    limited = [(given, row.added) for given, row in rows if row and row.added]
    amounts = [(given, in_unit(given, "mg/kg")) for given, _ in limited]
    if limited:
        limit = {"at_most": min(most for _, most in limited), "unit": "mg/kg"}
        yield limit, [_Amount(given, value, False, value) for given, value in amounts if value]


def in_unit(given: AdditiveAmount | Guarantee, unit: str) -> Decimal | None:
    """Returns the amount in a unit per kg, None where there is none or it is counted otherwise."""
    if given.value is None:
        return None
    try:
        return Decimal(str(convert(float(given.value), given.unit, unit)))
    except ImpossibleFigure:
        return None


def misplaced(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds additives among the materials of the composition: one finding, at the first."""
    if not is_whole(context):
        return
    which = rule.parameters.built("which", Choice).of(listing(context))
    # A dietetic label names some of its additives beside the list too ("Urine acidifying
    # substances: ..."): Regulation (EU) 2020/354.
    again = (
        {element_of(given)[0] for given in context.label.additives}
        if is_dietetic(context)
        else set()
    )
    ingredients = [
        ingredient
        for ingredient in which
        if ingredient.match
        and not ingredient.members
        and again.isdisjoint(named_in(ingredient.name))
    ]
    if ingredients:
        names = list(dict.fromkeys(ingredient.name for ingredient in ingredients))
        more = [f"{len(names) - _SHOWN} more"] if len(names) > _SHOWN + 1 else names[_SHOWN:]
        yield Observation(
            ingredients[0].name_span,
            Certainty.PRACTICE,
            {"name": ingredients[0].name, "names": [*names[:_SHOWN], *more], "count": len(names)},
            variant="one" if len(names) == 1 else "",
            related=tuple(
                Related(ingredient.name_span, "this one too")
                for ingredient in ingredients[1 : _SHOWN + 1]
            ),
        )


def stated_for_all(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a list of additives with amounts that lacks what must be said of them all."""
    lists = context.sections_of("additives")
    if not any(additive.value is not None for additive in context.label.additives):
        return
    words = rule.parameters.words("words")
    text = context.label.page.text
    for section in lists:
        # The whole line of the heading, "ADDITIVES (per kg) Nutritional additives: ...", and the
        # words of the one above, "Added per kg".
        start = text.rfind("\n", 0, section.heading.start) + 1
        above = text[:start].rstrip().rpartition("\n")[2]
        if words.search(f"{re.sub(r'.*[0-9]', '', above)} {text[start : section.body.end]}"):
            return
    yield Observation(where(context, "additives"), Certainty.PRACTICE)
