"""What is in a food though no list of ingredients names it.

A label of the EU or the UK need not list water that was added to a wet food, and lists
additives under a heading of their own. The declared ingredients are then not the whole mix:
what is missing joins the declaration as an entry that may be absent and stands in no order.
"""

from collections.abc import Iterable, Mapping
from fractions import Fraction

from panellint.catalogue.model import PARTS, CatalogueEntry, Figure, Match, Range
from panellint.core.numbers import decimal
from panellint.core.source import Span
from panellint.ingredients.model import Declaration, Ingredient
from panellint.shares.premises import Premise, numbers

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
    declaration: Declaration, kinds: Iterable[str] | Mapping[str, Fraction | None]
) -> Declaration:
    """The declaration with what it need not name; `kinds` are among `KINDS`, each with the most
    that it is, in percent of the mix, where that is known.

    Raises ValueError for another kind.
    """
    most = kinds if isinstance(kinds, Mapping) else {}
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
            match=Match(_known(kind, most.get(kind)), "composed"),
            any_of=True,
        )
        for place, kind in enumerate(kind for kind in KINDS if kind in wanted)
    ]
    return declaration._replace(ingredients=(*listed, *extra)) if extra else declaration


def _known(kind: str, most: Fraction | None) -> CatalogueEntry:
    if most is None and kind == ADDITIVES:
        most = numbers().additives
    known = _KNOWN[kind]
    return known if most is None else known._replace(usual=Range(0.0, float(most)))


def is_unlisted(ingredient: Ingredient) -> bool:
    """True for an entry that stands on no label."""
    return ingredient.known_as in _IDS


def most_unlisted(ingredient: Ingredient) -> tuple[Fraction, Premise, str] | None:
    """The most of an entry that stands on no label, as a part of the mix, with what that rests on
    and words for it; None for any other, or where none is known."""
    known = ingredient.match.known if is_unlisted(ingredient) and ingredient.match else None
    if known is None or known.usual is None:
        return None
    most = Fraction(str(known.usual.high))
    if known.kind == WATER:
        words = f"by the moisture of the food, {ingredient.name} is at most {decimal(most)} %"
        return most / 100, Premise.GUARANTEES, f"{words} of the mix"
    words = f"{ingredient.name} are at most {decimal(most)} % of the mix"
    return most / 100, Premise.COMPOSITION, words


def most_water(moisture: Fraction, lost: Range, *, dry: bool) -> Fraction:
    """Returns the most water that no list names, in percent of the mix.

    `moisture` is the most that the food holds, percent as fed; `lost` is net water lost in percent
    of the mix. Of a `dry` food it is what stays: water that is taken out again is no part of the
    recipe.
    """
    gained, gone = (Fraction(str(end)) for end in lost)
    if not dry and gone > 0:
        return min(moisture * (100 - gone) / 100 + gone, Fraction(100))
    return min(moisture * (100 - min(gained, Fraction(0))) / 100, Fraction(100))


def left_out(market: str) -> tuple[str, ...]:
    """What a list of ingredients need not name in a market."""
    return numbers().left_out.get(market, ())
