"""The guaranteed analysis: which lines stand there, how they bind, what they add up to."""

import re
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from functools import cache
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Edit, Observation, Related, Remedy, State
from panellint.core.numbers import number
from panellint.core.source import Span
from panellint.core.text import fold
from panellint.label.bound_words import bound_of, bound_words
from panellint.label.model import Bound, Guarantee
from panellint.lint.checks.support.label_parts import (
    is_doubtful,
    is_whole,
    maybe_nutrients,
    name_of,
    where,
)
from panellint.nutrition.forms import class_in, moisture_class
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule
from panellint.rulepacks.parameters import Parameters
from panellint.shares.model import Base

#: One guarantee with two figures.
_SLIDING = re.compile(r"\d\s*(?:%\s*)?(?:-|–|—|\bto\b)\s*\d[\d.,]*\s*%")
_FOLLOWS = re.compile(r" ?[,;] ?")
_WORDS = {Bound.MIN: "minimum", Bound.MAX: "maximum"}


class Line(NamedTuple):
    """A mandatory line: nutrient id and bound."""

    nutrient: str
    bound: Bound


def missing(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds mandatory guarantees that a whole label does not give. What an unread line may be is
    not missing: the line is quoted."""
    if not is_whole(context):
        return
    given = {guarantee.nutrient for guarantee in context.label.guarantees}
    lost = [line for line in _lines(context, rule.parameters) if line.nutrient not in given]
    if not set(rule.parameters.texts("except-uses")).isdisjoint(context.uses):
        lost = [line for line in lost if line.nutrient in rule.parameters.texts("always")]
    unread = maybe_nutrients(context, {line.nutrient: name_of(line.nutrient) for line in lost})
    for observation in unread.values():
        if _SLIDING.search(str(observation.values["printed"])):
            yield observation._replace(certainty=Certainty.PROVEN, variant="sliding", state=None)
        else:
            yield observation
    lost = [line for line in lost if all(line.nutrient not in ids for ids in unread)]
    if not lost:
        if context.label.guarantees:
            yield Observation.met(where(context, "guarantees"))
        return
    names = [f"{name_of(line.nutrient)} ({line.bound})" for line in lost]
    doubtful, unread_text = is_doubtful(context, rule), _unconfirmed(context, rule)
    yield Observation(
        where(context, "actives" if doubtful else "guarantees"),
        Certainty.PRACTICE if doubtful else Certainty.POSSIBLE if unread_text else Certainty.PROVEN,
        {"missing": names, "count": len(lost), "unconfirmed": unread_text},
        variant="doubtful" if doubtful else "" if context.label.guarantees else "all",
        state=State.OPEN if doubtful else State.MISSING,
    )


def order(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds the first mandatory line that stands out of its order."""
    lines = [line.nutrient for line in _lines(context, rule.parameters)]
    lines += [text for text in rule.parameters.texts("then") if context.guarantee(text)]
    given = _first_of_each(row for row in context.label.guarantees if row.nutrient in lines)
    wanted = sorted(given, key=lambda guarantee: lines.index(guarantee.nutrient or ""))
    for printed, right in zip(given, wanted, strict=True):
        if printed is not right:
            yield Observation(
                printed.name_span,
                Certainty.PROVEN,
                {
                    "found": printed.printed,
                    "expected": right.printed,
                    "order": [name_of(name) for name in lines],
                },
                related=(Related(right.name_span, f"{right.printed} goes first"),),
            )
            return
    if given:
        yield Observation.met(given[0].span)


def bound(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds mandatory guarantees that bind the wrong way, or not at all."""
    fault = rule.parameters.text("fault")
    by_nutrient = context.once(_by_nutrient)
    for line in _lines(context, rule.parameters):
        given = by_nutrient.get(line.nutrient)
        if not given:
            continue
        if any(item.bound is line.bound for item in given):
            yield Observation.met(given[0].span)
            continue
        first = given[0]
        swapped = first.bound in _WORDS
        if swapped != (fault == "swapped"):
            continue
        word = _bound_word(context, first, first.bound)
        remedies: tuple[Remedy, ...] = ()
        if swapped and word is not None:
            printed = context.source.slice(word).lower()
            if printed in {"min", "max"}:
                remedies = (Remedy(f"Write `{line.bound}`", (Edit(word, str(line.bound)),)),)
        yield Observation(
            (word if swapped else None) or first.value_span,
            Certainty.POSSIBLE if _unconfirmed(context, rule) else Certainty.PROVEN,
            {
                "nutrient": first.printed,
                "unconfirmed": _unconfirmed(context, rule),
                "given": _WORDS.get(first.bound, ""),
                "wanted": _WORDS[line.bound],
                "value": first.value,
            },
            remedies=remedies,
        )


def figures(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds figures that nothing can have: below nothing, or over 100 %; a minimum above the
    maximum of the same nutrient; one guarantee given twice, with two figures. Names of many things
    (enzymes) may stand there with several."""
    of_many = rule.parameters.texts("of-many")
    least: dict[str, Guarantee] = {}
    most: dict[str, Guarantee] = {}
    stated: dict[str, Guarantee] = {}
    for guarantee in context.label.guarantees:
        values = {"nutrient": guarantee.printed, "value": guarantee.value, "unit": guarantee.unit}
        if guarantee.value < 0:
            yield Observation(guarantee.value_span, Certainty.PROVEN, values, variant="negative")
        elif guarantee.unit == "%" and guarantee.value > 100:
            yield Observation(guarantee.value_span, Certainty.PROVEN, values)
        sides = {Bound.MIN: least, Bound.MAX: most, Bound.DECLARED: stated}
        side = sides.get(guarantee.bound)
        if not guarantee.nutrient or side is None or guarantee.nutrient in of_many:
            continue
        first = side.setdefault(
            f"{guarantee.nutrient} {guarantee.unit} {guarantee.basis}", guarantee
        )
        # Under one name a declared value may be that of another recipe of the pack; not so where
        # it follows the first one: "fat 10 %, fat 14 %".
        between = context.source.text[first.span.end : guarantee.span.start]
        told_apart = (
            side is not stated
            or fold(first.printed) != fold(guarantee.printed)
            or bool(_FOLLOWS.fullmatch(between))
        )
        if first.value != guarantee.value and told_apart:
            bound = _WORDS.get(guarantee.bound, "declared value")
            yield Observation(
                guarantee.value_span,
                Certainty.PROVEN,
                {**values, "bound": bound, "first": first.value},
                variant="twice",
                related=(Related(first.value_span, "the other figure stands here"),),
            )
    for key in least.keys() & most.keys():
        low, high = least[key], most[key]
        if low.value > high.value:
            yield Observation(
                low.value_span,
                Certainty.PROVEN,
                {"nutrient": low.printed, "value": low.value, "most": high.value, "unit": low.unit},
                variant="contradiction",
                related=(Related(high.value_span, "the maximum stands here"),),
            )


def sums(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds parts of the food that together are more than the whole.

    “impossible” counts minimums alone: no food has more than 100 %. “unreachable” adds the maximum
    of the last one, which a food with the others at their figures could never reach. “declared”
    counts declared values that are over the whole and within their tolerances.
    """
    with_ = rule.parameters
    parts = with_.texts("parts")
    as_fed = [row for row in context.label.guarantees if (row.unit, row.basis) == ("%", "as fed")]
    given = [row for row in as_fed if row.nutrient in parts and row.value >= 0]
    lowest = (Bound.MIN, Bound.EXACT, Bound.DECLARED)
    least = _first_of_each(item for item in given if item.bound in lowest)
    # Declared values have a tolerance on either side.
    declared = any(item.bound is Bound.DECLARED for item in least)
    most = 100 + (Decimal(str(with_.number("tolerance"))) if declared else 0)
    total = sum((guarantee.value for guarantee in least), Decimal(0))
    impossible = total > most
    slack = 100 + Decimal(str(with_.number("slack")))
    if with_.text("fault") == "impossible":
        counted: Sequence[Guarantee] = least if impossible else ()
    elif with_.text("fault") == "declared":
        protein = sum(item.value for item in least if item.nutrient == "protein")
        slack += protein * Decimal(str(with_.number("nitrogen")))
        counted = least if declared and slack < total <= most else ()
    else:
        last = context.guarantee(with_.text("last"), Bound.MAX)
        if impossible or last is None or last not in given:
            return
        # A protein or fat that is printed as a maximum by mistake is meant as a minimum.
        always = with_.texts("always")
        counted = _first_of_each(
            item for item in given if item in least or item.nutrient in always or item is last
        )
        total = sum((entry.value for entry in counted), Decimal(0))
        if total <= slack:
            return
    if not counted:
        return
    biggest = max(counted, key=lambda guarantee: guarantee.value)
    yield Observation(
        biggest.value_span,
        Certainty.PROVEN if impossible else Certainty.PRACTICE,
        {
            "figures": "declared values" if declared else "minimums",
            "total": total,
            "excess": total - 100,
            "parts": [f"{entry.printed} {number(entry.value)} %" for entry in counted],
            "biggest": biggest.printed,
        },
        proof=(
            f"{' + '.join(number(guarantee.value) for guarantee in counted)} = {number(total)} %.",
        ),
        related=tuple(
            Related(entry.value_span, f"{entry.printed} {number(entry.value)} %")
            for entry in counted
            if entry is not biggest
        ),
    )


def moisture(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds moisture above the ceiling in a food whose name does not allow it.

    Silent where what is declared, without the water that is added, may well hold that much by
    itself. What an ingredient holds is a literature range, so nothing here is proven.
    """
    with_ = rule.parameters
    guarantee = context.guarantee("moisture")
    if guarantee is None or guarantee.unit != "%":
        return
    if guarantee.value <= Decimal(str(with_.number("above"))):
        yield Observation.met(guarantee.span)
        return
    called = " ".join((context.label.product_name, context.fact("form") or ""))
    natural = _natural_moisture(context, with_.number("at"))
    if with_.words("words").search(called) or natural is None or natural >= float(guarantee.value):
        yield Observation.met(guarantee.span)
        return
    yield Observation(
        guarantee.value_span,
        Certainty.POSSIBLE,
        {"moisture": guarantee.value, "limit": with_.number("above"), "natural": natural},
        rests_on=("order", "composition"),
    )


def of_form(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds moisture of another class than the stated form of the food has, or than the words of
    its type do ("Alimento umido completo")."""
    guarantee = context.guarantee("moisture")
    if guarantee is None or guarantee.unit != "%":
        return
    if not context.form.stated:
        types = " ".join(context.source.slice(type_.span) for type_ in context.label.adequacy)
        named = class_in(types)
        other = moisture_class(float(guarantee.value)) if 0 < guarantee.value < 100 else None
        if named and {named.id, other} == {"dry", "wet"}:
            values = {"form": named.word, "low": named.low, "high": named.high}
            values["moisture"] = guarantee.value
            yield Observation(guarantee.value_span, Certainty.PRACTICE, values)
        return
    row = next(form for form in data("data/forms")["forms"] if form["id"] == context.form.id)
    usual, moisture = row["moisture"], float(guarantee.value)
    if not usual["high"] < moisture < 100 or row["class"] in (None, moisture_class(moisture)):
        return
    form = context.form.word or context.form.id
    values = {"moisture": guarantee.value, "form": form, "low": usual["low"], "high": usual["high"]}
    yield Observation(guarantee.value_span, Certainty.PRACTICE, values)


def _unconfirmed(context: LabelContext, rule: Rule) -> str:
    """Returns what a finding says where the text behind the lines of the edition was not read."""
    return str(data(rule.parameters.text("lines"))["unconfirmed"].get(context.edition, ""))


def _lines(context: LabelContext, with_: Parameters) -> tuple[Line, ...]:
    return _lines_of(with_.text("lines"), context.edition)


@cache
def _lines_of(name: str, edition: str) -> tuple[Line, ...]:
    parted = (words.split() for words in data(name)["lines"].get(edition, ()))
    return tuple(Line(nutrient, Bound(bound)) for nutrient, bound in parted)


def _by_nutrient(context: LabelContext) -> dict[str | None, list[Guarantee]]:
    """Returns the guarantees of each nutrient, in printed order."""
    by_nutrient: dict[str | None, list[Guarantee]] = {}
    for guarantee in context.label.guarantees:
        by_nutrient.setdefault(guarantee.nutrient, []).append(guarantee)
    return by_nutrient


def _bound_word(context: LabelContext, given: Guarantee, wanted: Bound) -> Span | None:
    """Returns the place of the word that binds, without a full stop behind an abbreviation."""
    words = context.source.slice(given.span)
    for match in bound_words().finditer(words):
        if bound_of(match["word"]) is wanted:
            start, end = match.span("word")
            return Span(given.span.start + start, given.span.start + end)
    return None


def _first_of_each(given: Iterable[Guarantee]) -> list[Guarantee]:
    guarantees: dict[str | None, Guarantee] = {}
    for item in given:
        guarantees.setdefault(item.nutrient, item)
    return list(guarantees.values())


def _natural_moisture(context: LabelContext, at: float) -> float | None:
    """Returns the most that the ingredients hold of water by themselves, in percent of the mix
    without added water, each at the point `at` of its range; None where nothing bounds it. An
    unknown ingredient may be all water."""
    weights = {}
    for leaf in context.leaves:
        if leaf.match and leaf.match.known.kind == "water":
            continue
        held = leaf.match.known.range_of("moisture") if leaf.match else None
        weights[leaf.path] = (held.low + at * (held.high - held.low) if held else 100.0) / 100
    if not weights:
        return None
    bounds = context.order.bounds(weights, Base.MIX_WITHOUT_WATER)
    return bounds.high if bounds.sure else None
