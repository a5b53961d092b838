"""Printed percentages against the order of the list."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from panellint.checks.saying import declared_here
from panellint.findings import Certainty, Observation
from panellint.label.model import Bound, PercentOf

if TYPE_CHECKING:
    from panellint.case import Case
    from panellint.declared import Ingredient
    from panellint.packs import Rule


class Between(NamedTuple):
    """What printed figures leave, in percent: rounding to half a unit is allowed for."""

    low: Decimal
    high: Decimal


def between(entries: Iterable[Ingredient], of: PercentOf = PercentOf.FOOD) -> Between | None:
    """The sum of printed percentages of one base; None where an entry has none or it is vague."""
    low = high = Decimal(0)
    for one in entries:
        printed = one.percent
        if printed is None or printed.of is not of or printed.bound is Bound.ABOUT:
            return None
        half = printed.half_unit if printed.bound is Bound.EXACT else Decimal(0)
        low += printed.value - half if printed.bound is not Bound.MAX else Decimal(0)
        high += printed.value + half if printed.bound is not Bound.MIN else Decimal(100)
    return Between(low, high)


def heavier_by_figures(one: Iterable[Ingredient], other: Iterable[Ingredient]) -> bool:
    """True where printed figures alone prove that `one` weighs more than `other`."""
    first, second = between(one), between(other)
    return first is not None and second is not None and first.low > second.high


def check(case: Case, rule: Rule) -> Iterator[Observation]:
    """An entry whose printed percentage is more than that of one before it.

    Entries of a "2 % or less" tail and of "one or more of" stand in no order, nor do the named
    members of a partial list ("of which").
    """
    yield from _in_list(case.declaration.ingredients)
    for group in case.declaration.walk():
        if group.members and not group.partial:
            yield from _in_list(group.members)


def _in_list(entries: Sequence[Ingredient]) -> Iterator[Observation]:
    for of in (PercentOf.FOOD, PercentOf.PARENT, PercentOf.COMPONENT):
        least: Ingredient | None = None
        most = Decimal(0)
        for one in entries:
            found = None if one.at_most is not None or one.any_of else between([one], of)
            if found is None or one.percent is None:
                continue
            if least is not None and least.percent is not None and found.low > most:
                yield Observation(
                    one.name_span,
                    Certainty.PROVEN,
                    {
                        "name": one.name,
                        "percent": one.percent.value,
                        "before": least.name,
                        "before_percent": least.percent.value,
                    },
                    rests_on=("percentages",),
                    related=declared_here([least]),
                )
            elif least is None or found.high < most:
                least, most = one, found.high
