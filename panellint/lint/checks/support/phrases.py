"""What several checks say alike: certainty from premises, places that belong to a finding, and what
printed percentages, or an ingredient of little weight, prove of the order of a list."""

from collections.abc import Collection, Iterable
from decimal import Decimal
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Related
from panellint.ingredients.model import Ingredient
from panellint.label.model import Bound, PercentOf
from panellint.shares.premises import LABEL_ALONE, Premise


def certainty_of(rests_on: Iterable[Premise]) -> Certainty:
    """Returns PROVEN where the label's own words are enough, POSSIBLE where literature ranges,
    guarantees or the water that processing takes out are needed as well."""
    return Certainty.PROVEN if LABEL_ALONE.issuperset(rests_on) else Certainty.POSSIBLE


def declared_here(entries: Iterable[Ingredient], words: str = "") -> tuple[Related, ...]:
    """Returns the places of declared ingredients, in the order given, each once."""
    seen = dict.fromkeys((entry.name_span, entry.name) for entry in entries)
    return tuple(Related(span, f"{name} {words or 'is declared here'}") for span, name in seen)


def are(count: int) -> str:
    """Returns “is” or “are”."""
    return "is" if count == 1 else "are"


class Between(NamedTuple):
    """What printed figures leave, in percent: rounding to half a unit is allowed for."""

    low: Decimal
    high: Decimal


def between(entries: Iterable[Ingredient], of: PercentOf = PercentOf.FOOD) -> Between | None:
    """Returns the sum of printed percentages of one base; None where an entry has none or it is
    vague."""
    low = high = Decimal(0)
    for entry in entries:
        printed = entry.percent
        if printed is None or printed.of is not of or printed.bound is Bound.ABOUT:
            return None
        low += printed.least or Decimal(0)
        high += Decimal(100) if printed.most is None else printed.most
    return Between(low, high)


def heavier_by_figures(entries: Iterable[Ingredient], other: Iterable[Ingredient]) -> bool:
    """Returns True where printed figures alone prove that `one` weighs more than `other`."""
    first, second = between(entries), between(other)
    return first is not None and second is not None and first.low > second.high


def marker_before(
    context: LabelContext, entries: Collection[Ingredient], marks: Collection[str]
) -> Ingredient | None:
    """Returns the first entry of which there is never much (salt), where all of the given ones
    stand behind it in order; None where they do not."""
    in_order = [
        ingredient for ingredient in context.declaration.ingredients if ingredient.at_most is None
    ]
    place = next((n for n, ingredient in enumerate(in_order) if ingredient.known_as in marks), None)
    if place is None or not entries:
        return None
    later = {ingredient.path[0] for ingredient in in_order[place + 1 :] if not ingredient.any_of}
    return in_order[place] if all(ingredient.path[0] in later for ingredient in entries) else None
