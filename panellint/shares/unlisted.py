"""What is in a food though no list of ingredients names it.

A label of the EU or the UK need not list water that was added to a wet food, and lists
additives under a heading of their own. The declared ingredients are then not the whole mix:
what is missing joins the declaration as an entry that may be absent and stands in no order.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction

from panellint.catalogue.model import PARTS, CatalogueEntry, Figure, Match, Range
from panellint.core.source import Span
from panellint.ingredients.model import Declaration, Ingredient
from panellint.label.model import Guarantee
from panellint.shares.premises import numbers

WATER = "water"
ADDITIVES = "additives"
KINDS = (WATER, ADDITIVES)

_NOWHERE = Span(0, 0)
_PURE_WATER = {
    part: Figure(Range(100.0, 100.0) if part == "moisture" else Range(0.0, 0.0), "%", "definition")
    for part in PARTS
}
_IDS = frozenset({"unlisted-water", "unlisted-additives"})
_KNOWN = {
    WATER: CatalogueEntry("unlisted-water", ("water",), "water", "mineral", figures=_PURE_WATER),
    ADDITIVES: CatalogueEntry("unlisted-additives", ("additives",), "mixed", "unknown"),
}
_NAMES = {WATER: "water that is not listed", ADDITIVES: "additives that are listed apart"}


def with_unlisted(
    declaration: Declaration, kinds: Iterable[str] | Mapping[str, Fraction]
) -> Declaration:
    """The declaration with what it need not name; `kinds` are among `KINDS`, with the amount of
    additives that the label itself prints, in percent of the mix, where it prints any.

    Raises ValueError for another kind.
    """
    printed = kinds if isinstance(kinds, Mapping) else {}
    wanted = list(kinds)
    wrong = [kind for kind in wanted if kind not in KINDS]
    if wrong:
        raise ValueError(f"nothing is known of unlisted {', '.join(wrong)}")
    listed = declaration.ingredients
    extra = [
        Ingredient(
            _NAMES[kind],
            _NOWHERE,
            _NOWHERE,
            (len(listed) + place,),
            match=Match(_known(kind, printed.get(kind, Fraction(0))), "composed"),
            any_of=True,
        )
        for place, kind in enumerate(kind for kind in KINDS if kind in wanted)
    ]
    return declaration._replace(ingredients=(*listed, *extra)) if extra else declaration


def _known(kind: str, printed: Fraction) -> CatalogueEntry:
    """Of additives, with the most that they are: what the label prints, and beside it what
    carriers and additives without an amount may come to."""
    known = _KNOWN[kind]
    if kind != ADDITIVES:
        return known
    most = min(Fraction(100), numbers().additives + printed)
    return known._replace(usual=Range(0.0, float(most)))


def is_unlisted(ingredient: Ingredient) -> bool:
    """True for an entry that stands on no label."""
    return ingredient.known_as in _IDS


def additives_at_most(ingredient: Ingredient) -> Fraction | None:
    """The most that additives listed apart are, in percent of the mix; None for any other
    entry."""
    match = ingredient.match
    if match is None or match.known.id != _KNOWN[ADDITIVES].id or match.known.usual is None:
        return None
    return Fraction(str(match.known.usual.high))


def left_out(
    market: str, moisture_class: str | None, moisture: Guarantee | None = None
) -> tuple[str, ...]:
    """What a list of ingredients need not name in a market, by the food's class of moisture
    (dry, semi-moist, wet; None where it is not known) and the moisture that it prints."""
    by_class = numbers().left_out.get(market, {})
    if moisture is not None and moisture.unit == "%" and moisture.value > numbers().dry_up_to:
        moisture_class = None
    return by_class.get(moisture_class or "otherwise", by_class.get("otherwise", ()))
