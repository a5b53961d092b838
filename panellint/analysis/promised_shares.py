"""Named ingredients with the declared entries that bear their own names, and the percentages that a
promise of the product's name asks of them, by the rule that reads it.

The parameters, all percentages, are those of the check `named-share`.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from panellint.analysis.context import LabelContext
from panellint.core.phrases import listed
from panellint.ingredients.model import Ingredient
from panellint.ingredients.product_name import Named, Promise
from panellint.rulepacks.model import Rule
from panellint.rulepacks.settings import order_readings
from panellint.shares.model import Base, Condition, Number, Path
from panellint.shares.premises import exact


class Backed(NamedTuple):
    """A named ingredient with the declared entries that bear its own name."""

    named: Named
    entries: tuple[Ingredient, ...]


Support = Sequence[Backed]


def support_of(named: Iterable[Named], context: LabelContext) -> Support:
    """Each named ingredient with its entries, in the order of the name. An unknown entry with its
    main word ("lamb carcase with meat") may be one, so that no share is missed for it alone."""
    unknown = context.once(unknown_names)
    return [
        Backed(
            name,
            (
                *context.supported[name.span],
                *(entry for entry in unknown if shares_a_word(name.name, entry.name)),
            ),
        )
        for name in named
    ]


def unknown_names(context: LabelContext) -> list[Ingredient]:
    """The declared names that the catalogue does not know; one of them could be the ingredient."""
    return [
        entry
        for entry in context.entries
        if entry.match is None and entry.name and not entry.members
    ]


def shares_a_word(name: str, text: str) -> bool:
    """True where a word of a text begins with the main word of a name, singular or plural."""
    stem = name.split()[-1].lower().rstrip("s")
    return bool(stem) and re.search(rf"(?<!\w){re.escape(stem)}", text, re.IGNORECASE) is not None


def all_declared(support: Support) -> bool:
    """False where a named ingredient is declared nowhere under its own name."""
    return all(entries for _, entries in support)


def weights_of(support: Support) -> dict[Path, Number]:
    """All entries at full weight: what the named ones are together, each entry once."""
    return {ingredient.path: 1 for _, entries in support for ingredient in entries}


def names_of(support: Support) -> str:
    """ "duck", "duck and millet together"."""
    names = listed(named.name for named, _ in support)
    return f"{names} together" if len(support) > 1 else names


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
        yield Condition(together, exact(given["together-at-least"]), base, names)
    if "together-at-most" in given:
        yield Condition(together, exact(given["together-at-most"]), base, names, at_most=True)
    if "counting-water-at-least" in given:
        yield Condition(together, exact(given["counting-water-at-least"]), Base.MIX, names)
    if "each-at-least" in given and (len(support) > 1 or "together-at-least" not in given):
        for named, entries in support:
            weights: dict[Path, Number] = {ingredient.path: 1 for ingredient in entries}
            yield Condition(weights, exact(given["each-at-least"]), base, named.name)
