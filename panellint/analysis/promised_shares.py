"""The percentages that a promise of the product's name asks for, by the rule that reads it.

The parameters, all percentages, are those of the check `named-share`.
"""

from collections.abc import Iterator, Mapping
from fractions import Fraction
from functools import lru_cache
from typing import Any

from panellint.analysis.context import LabelContext
from panellint.analysis.named_support import (
    Support,
    all_declared,
    names_of,
    support_of,
    weights_of,
)
from panellint.ingredients.product_name import Named, Promise
from panellint.rulepacks.model import Rule
from panellint.rulepacks.settings import order_readings
from panellint.shares.model import Base, Condition, Number, Path

_CONDITIONS = (
    "together-at-least",
    "together-at-most",
    "each-at-least",
    "without",
    "counting-water-at-least",
)


def asked_of(
    promise: Promise, context: LabelContext, rule: Rule
) -> tuple[Support, list[list[Condition]]] | None:
    """The declared entries behind a promise, and the sets of conditions of which it has to meet
    one; None where the rule says nothing of it."""
    with_ = rule.parameters
    if not context.declaration.ingredients or promise.tier not in with_.texts("tier"):
        return None
    behind = promise.text[promise.named[-1].span.end - promise.span.start :].strip()
    if "behind" in with_ and not with_.words("behind").fullmatch(behind):
        return None
    if promise.percent is not None and promise.percent >= with_.get("together-at-least", 0):
        return None  # the printed figure asks for more, and is judged by a rule of its own
    support = support_of(_counted(promise, context, with_), context)
    if not support or not all_declared(support):
        return None  # a named one that is not declared is the matter of `named-declared`
    sets = (_own(with_), *(_own(other) for other in with_["or"]))
    # A name counts as its list does.
    base = Base.LISTED if order_readings(context.market) else Base.MIX
    return support, [list(conditions(places, support, base)) for places in sets]


def _own(given: Mapping[str, Any]) -> dict[str, Any]:
    return {key: given[key] for key in _CONDITIONS if key in given}


def _counted(
    promise: Promise, context: LabelContext, with_: Mapping[str, Any]
) -> tuple[Named, ...]:
    origins = with_["counts"].get(context.edition)
    exempt = with_["exempt"]
    return tuple(
        named
        for named in promise.named
        if {named.match.known.kind, named.match.known.id}.isdisjoint(exempt)
        and (origins is None or named.match.known.origin in origins)
    )


def conditions(
    given: Mapping[str, Any], support: Support, base: Base = Base.MIX
) -> Iterator[Condition]:
    """Yields what is asked of named ingredients; of `base`, where nothing is left out."""
    together, names = weights_of(support), names_of(support)
    if "without" in given:
        base = Base.MIX_WITHOUT_WATER
    if "together-at-least" in given:
        yield Condition(together, _exact(given["together-at-least"]), base, names)
    if "together-at-most" in given:
        yield Condition(together, _exact(given["together-at-most"]), base, names, at_most=True)
    if "counting-water-at-least" in given:
        yield Condition(together, _exact(given["counting-water-at-least"]), Base.MIX, names)
    if "each-at-least" in given and (len(support) > 1 or "together-at-least" not in given):
        for named, entries in support:
            weights: dict[Path, Number] = {ingredient.path: 1 for ingredient in entries}
            yield Condition(weights, _exact(given["each-at-least"]), base, named.name)


@lru_cache(maxsize=256)
def _exact(value: int | float) -> Fraction:
    return Fraction(str(value))
