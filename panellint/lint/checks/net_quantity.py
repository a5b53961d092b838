"""The net quantity: the systems of units that it is given in, and whether its figures agree."""

import re
from bisect import bisect_left
from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation, Related
from panellint.core.numbers import read_number
from panellint.core.once import once
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.core.units import spellings_of, unit_of
from panellint.core.wording import Wording
from panellint.rulepacks.model import Rule

_METRIC = ("kg", "g", "mg", "ml", "l")
_CUSTOMARY = ("lb", "oz", "fl oz")
#: The units of a volume and of a mass: of figures below 1000, and from there on.
_UNITS = (("ml", "l"), ("g", "kg"))
#: "1 lb 8 oz" is one quantity.
_JOINT = re.compile(r"[\s,]*(?:and\s+)?")
#: "2 x 6 oz", "30 sachets x 1 g": what stands behind it is of one of several.
_TIMES = re.compile(r"(?<!\d)(\d{1,3})\s*(?:[^\W\d_]{1,12}\s)?[x×]\s*$", re.IGNORECASE)
#: So many signs before a quantity are looked at for it.
_TIMES_BEFORE = 20
#: "12 x ", "12 cups, ", before what each holds; not the second of "6 x 4 x 85 g".
_COUNTED = re.compile(
    r"(?<![\d.,/])(?<![x×] )(?<![x×])(?!1\b)(?P<count>[1-9]\d{0,2})"
    r"(?:\s?(?P<times>[x×])\s?|\s(?P<word>[^\W\d_]+)(?:\s[^\W\d_]+)?\s?[,–—:(-]?\s?(?:(?:of|à|a|de|da|di|von|je)\s)?)"
    r"(?=\d)",
    re.IGNORECASE,
)
#: What may stand behind what each holds.
_CLOSED = re.compile(r"[\s)\].]*")
#: So far what each holds may reach, and the words before a total.
_NEAR = 40
#: How many units a pack may hold, two at least.
_COUNT = re.compile(r"(?<![\d.,])(?!1\b)[1-9]\d{0,2}(?![\d.,]*\d)")


#: Sections in which a pack may say what it holds.
_OF_PACK = ("product-name", "untitled", "net-contents")


class Quantity(NamedTuple):
    """A printed quantity: how much, in grams or millilitres, of which measure and system."""

    amount: Decimal
    measure: str
    metric: bool
    span: Span


class Pack(NamedTuple):
    """A count of units, what each holds in one system of units or both, and where that stands."""

    number: int
    each: list[Quantity]
    span: Span

    def makes(self) -> list[Quantity]:
        """Returns what the units hold together, in the same systems."""
        return [unit._replace(amount=unit.amount * self.number) for unit in self.each]


@cache
def _figure(each: str) -> re.Pattern[str]:
    units = spellings_of(*_CUSTOMARY, *_METRIC)
    return re.compile(rf"(?<![\w.,])(\d[\d.,]*)\s*-?\s*({units})(?!\w{each})\.?", re.IGNORECASE)


@once
def quantities(context: LabelContext) -> tuple[Quantity, ...]:
    """Returns what the sections of net contents give, in the order of the text."""
    sections = context.sections_of("net-contents")
    return tuple(
        q for section in sections for q in quantities_in(context.label.page.text, section.body)
    )


def units_of_pack(context: LabelContext, slack: float) -> list[Quantity]:
    """Returns the masses of one of several units: those that a printed count times are a net
    quantity, but for a share of one: "24 cans, 3 oz (85 g) each ... net wt 72 oz"."""
    sections = [section for kind in _OF_PACK for section in context.sections_of(kind)]
    words = "\n".join(section.text for section in sections)
    printed = {int(count) for count in _COUNT.findall(words)}
    nets = {float(net.amount) for net in quantities(context) if net.measure == "mass"}

    @cache
    def is_one_of_several(amount: float) -> bool:
        counts = ((net, round(net / amount)) for net in nets)
        return any(
            count in printed and abs(net - count * amount) <= slack * amount
            for net, count in counts
        )

    return [
        unit
        for section in (sections if nets else ())
        for unit in quantities_in(context.label.page.text, section.body, each="")
        if unit.measure == "mass" and unit.amount and is_one_of_several(float(unit.amount))
    ]


def quantities_in(text: str, within: Span, each: str = r"|\s+each\b") -> list[Quantity]:
    """Returns the quantities that stand in a part of a text, but for those with `each` behind."""
    read: list[Quantity] = []
    for match in _figure(each).finditer(text, within.start, within.end):
        unit, value = unit_of(match[2]), read_number(match[1].rstrip(".,"))
        if unit is None or value is None:
            continue
        size = Decimal(unit.size.numerator) / unit.size.denominator
        quantity = Quantity(
            value * size, unit.measure, unit.name in _METRIC, Span(match.start(), match.end())
        )
        last = read[-1] if read else None
        if last and _goes_on(text, last, quantity):
            quantity = quantity._replace(
                amount=last.amount + quantity.amount, span=last.span.cover(quantity.span)
            )
            read.pop()
        read.append(quantity)
    return read


def _goes_on(text: str, last: Quantity, quantity: Quantity) -> bool:
    """Returns whether a smaller customary unit follows a larger one: pounds, then ounces."""
    return (
        not (last.metric or quantity.metric)
        and last.measure == quantity.measure
        and quantity.amount < last.amount
        and re.search("lb|pound", text[last.span.start : last.span.end], re.IGNORECASE) is not None
        and _JOINT.fullmatch(text, last.span.end, quantity.span.start) is not None
    )


def _same(quantity: Quantity, other: Quantity, within: float) -> bool:
    """Returns whether two quantities are one but for so many percent of rounding."""
    slack = Decimal(str(within)) / 100 * other.amount
    return quantity.measure == other.measure and abs(other.amount - quantity.amount) <= slack


def systems(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a net quantity that lacks a system of units, or gives a count alone."""
    wanted = rule.parameters.texts("systems")
    written = [section for section in context.sections_of("net-contents") if section.text]
    if not written:
        return
    given = quantities(context)
    printed = {"printed": one_line(written[0].text.split("\n")[0])}
    if not given:
        if rule.parameters.words("count").search(written[0].text):
            yield Observation(written[0].body, Certainty.PRACTICE, printed, variant="count")
        return
    # "5.5 oz can" in the name, and "NET WT 5.5 OZ (156 g)" somewhere among other words.
    within = rule.parameters.number("within-percent")
    text = context.label.page.text
    metric = {quantity.metric for quantity in given}
    elsewhere = (
        other
        for other in quantities_in(text, Span(0, len(text)))
        if other.metric not in metric and any(_same(other, own, within) for own in given)
    )
    seen = [*given, *(elsewhere if len(metric) < 2 else ())]
    has = {"metric": any(o.metric for o in seen), "customary": any(not o.metric for o in seen)}
    lacks = [system for system in wanted if not has[system]]
    if lacks:
        values = {"printed": one_line(context.source.slice(given[0].span)), "lacks": lacks}
        yield Observation(given[0].span, Certainty.PRACTICE, values)
    else:
        yield Observation.met(given[0].span)


def agreement(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a metric quantity with which no other one of the label agrees."""
    within = rule.parameters.number("within-percent")
    text = context.label.page.text
    # "12 x 3 oz. 85 g trays": what is in a line's other parts may say the same.
    lines = {text.rfind("\n", 0, s.body.start) + 1: s for s in context.sections_of("net-contents")}
    beside = [
        quantity
        for start, section in lines.items()
        for quantity in quantities_in(text, Span(start, section.body.start))
        if not quantity.metric
    ]
    given: list[Quantity] = []
    for quantity in (*beside, *quantities(context)):
        start = quantity.span.start
        times = _TIMES.search(text, max(0, start - _TIMES_BEFORE), start)
        if times is None or not quantity.metric:
            given.append(quantity)
        if times and not quantity.metric:
            span = Span(times.start(), quantity.span.end)
            given.append(quantity._replace(amount=quantity.amount * int(times[1]), span=span))
    customary: dict[str, dict[Decimal, Quantity]] = {}
    for quantity in given:
        if not quantity.metric:
            customary.setdefault(quantity.measure, {}).setdefault(quantity.amount, quantity)
    amounts = {measure: sorted(read) for measure, read in customary.items()}
    for quantity in given:
        if not quantity.metric or quantity.measure not in customary:
            continue
        among = amounts[quantity.measure]
        place = bisect_left(among, quantity.amount)
        apart = (
            (abs(amount - quantity.amount), customary[quantity.measure][amount].span, amount)
            for amount in among[max(0, place - 1) : place + 1]
        )
        near = customary[quantity.measure][min(apart)[2]]
        if _same(quantity, near, within):
            yield Observation.met(quantity.span)
            continue
        large = near.amount >= 1000
        yield Observation(
            quantity.span,
            Certainty.PROVEN,
            {
                "printed": one_line(context.source.slice(quantity.span)),
                "other": one_line(context.source.slice(near.span)),
                "right": round(near.amount / 1000, 2) if large else round(near.amount),
                "unit": _UNITS[quantity.measure == "mass"][large],
            },
            related=(Related(near.span, "the other figure stands here"),),
        )


def of_units(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a net quantity that is not the count of units times what each holds: "12 cups, 2.4 oz
    (68 g) each. Net wt 26.8 oz"."""
    within, text = rule.parameters.number("within-percent"), context.label.page.text
    each, total = rule.parameters.words("each"), rule.parameters.words("total")
    sections = [section for kind in _OF_PACK for section in context.sections_of(kind)]
    packs = [pack for section in sections for pack in _packs(text, section.body, each)]
    if not packs or any("+" in section.text for section in sections):
        return  # "12 cans + 2 free"
    units = [unit for pack in packs for unit in pack.each]
    least = {unit.measure: unit.amount for unit in sorted(units, reverse=True)}
    apart = {unit.span for unit in units}
    nets = {quantity.span for quantity in quantities(context)}
    wholes = [
        quantity
        for section in sections
        for quantity in quantities_in(text, section.body, each="")
        if quantity.span not in apart
        and quantity.amount > least.get(quantity.measure, quantity.amount)
        and (
            quantity.span in nets
            or total.search(text[max(0, quantity.span.start - _NEAR) : quantity.span.start])
        )
    ]
    sums = [makes for pack in packs for makes in pack.makes()]
    total_of = sum((pack.makes()[0].amount for pack in packs), Decimal(0))
    sums.append(sums[0]._replace(amount=total_of))
    if not wholes or any(
        _same(whole, one, within)
        for measure in least
        for one, whole in _nearest(sums, wholes, measure)
    ):
        yield from (Observation.met(whole.span) for whole in wholes[:1])
        return
    large = sums[-1].amount >= 1000
    values = {
        "printed": one_line(context.source.slice(wholes[0].span)),
        "units": one_line(context.source.slice(packs[0].span)),
        "makes": round(sums[-1].amount / 1000, 2) if large else round(sums[-1].amount),
        "unit": _UNITS[sums[-1].measure == "mass"][large],
    }
    related = (Related(packs[0].span, "the units are counted here"),)
    yield Observation(wholes[0].span, Certainty.PRACTICE, values, related=related)


def _nearest(
    sums: list[Quantity], wholes: list[Quantity], measure: str
) -> Iterator[tuple[Quantity, Quantity]]:
    """Yields each whole of a measure with the sums that are nearest to it."""
    makes = sorted(one for one in sums if one.measure == measure)
    for whole in wholes:
        if whole.measure == measure:
            place = bisect_left(makes, whole)
            yield from ((one, whole) for one in makes[max(0, place - 1) : place + 1])


def _packs(text: str, within: Span, each: Wording) -> Iterator[Pack]:
    """Yields counts of units with what each holds; without a sign of multiplication a word says
    that it is of `each`."""
    for match in _COUNTED.finditer(text, within.start, within.end):
        ahead = Span(match.end(), min(within.end, match.end() + _NEAR))
        units = quantities_in(text, ahead, each="")[:2]
        unit = unit_of(match["word"]) if match["word"] else None
        # "3 oz (85 g) each" counts none; "12 cups, 68 g each" does.
        is_quantity = unit is not None and unit.name in (*_METRIC, *_CUSTOMARY)
        if is_quantity or not units or units[0].span.start != match.end():
            continue
        # "4 x 227 g = 908 g" has the total behind it, "12 x 3 oz (85 g)" the same in grams.
        if len(units) > 1 and (
            units[0].metric == units[1].metric
            or not re.fullmatch(r"\s?[(/,=|]\s?", text[units[0].span.end : units[1].span.start])
        ):
            units = units[:1]
        closed = _CLOSED.match(text, units[-1].span.end)
        behind = closed.end() if closed else units[-1].span.end
        if match["times"] or each.match(text, behind):
            end = units[-1].span.end + text.startswith(")", units[-1].span.end)
            yield Pack(int(match["count"]), units, Span(match.start(), end))
