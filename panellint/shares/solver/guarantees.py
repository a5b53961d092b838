"""Guarantees, usual levels and promises as rows."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from math import isfinite
from typing import TypeAlias

from panellint.catalogue.model import PARTS, Range
from panellint.core.numbers import decimal
from panellint.core.units import part_of_whole
from panellint.ingredients.model import Ingredient
from panellint.label.model import Bound, Guarantee
from panellint.rulepacks.data import data
from panellint.shares.model import Base, Condition
from panellint.shares.premises import Numbers, Premise
from panellint.shares.solver.constraints import Columns, Row, difference, whole

#: How far an analysis may lie below and above a declared value, in the unit of the value. None
#: for a side, or for both, where no limit is known; that side then proves nothing.
Tolerance: TypeAlias = Callable[[str, float], tuple[float | None, float | None] | None]

#: The least and the most of a nutrient in a leaf, as a part of its weight (or in its unit for
#: what is no part of the weight); None for the most where nothing is known.
Content: TypeAlias = Callable[[int, str], tuple[Fraction, Fraction | None]]


@dataclass(frozen=True, slots=True)
class Limit:
    """What one guarantee says of a nutrient, as a part of the weight or in the unit given.

    `low` and `high` are None where it says nothing. `of_dry` is True on a dry matter basis.
    """

    nutrient: str
    low: Fraction | None
    high: Fraction | None
    of_dry: bool
    words: str
    bound: Bound


@cache
def nutrient_units() -> Mapping[str, str]:
    """The unit of every nutrient id, from `rules/nutrients/nutrients.yaml`."""
    return {row["id"]: row["unit"] for row in data("nutrients/nutrients")["nutrients"]}


def limits(
    guarantees: Iterable[Guarantee], units: Mapping[str, str], tolerance: Tolerance | None
) -> tuple[Limit, ...]:
    """What the guarantees say, each as fractions of the food or of its dry matter.

    A guarantee of an unknown nutrient, of energy, in a unit that cannot be turned into the
    nutrient's own, or on another basis says nothing here.
    """
    found = (_limit(guarantee, units, tolerance) for guarantee in guarantees)
    return tuple(limit for limit in found if limit)


def _limit(
    guarantee: Guarantee, units: Mapping[str, str], tolerance: Tolerance | None
) -> Limit | None:
    nutrient = guarantee.nutrient
    if nutrient is None or guarantee.basis not in ("as fed", "dry matter"):
        return None
    own = units.get(nutrient, "%" if nutrient in PARTS else "")
    scale = part_of_whole(guarantee.unit)
    if scale is None or part_of_whole(own) is None:
        if guarantee.unit != own or not own.startswith("IU"):
            return None
        scale = Fraction(1)
    value = Fraction(guarantee.value)
    low = high = value * scale
    text = f"{guarantee.value} {guarantee.unit}"
    dry = guarantee.basis == "dry matter"
    of = " of dry matter" if dry else ""
    if guarantee.bound is Bound.MIN:
        return Limit(
            nutrient, low, None, dry, f"{nutrient} is guaranteed at least {text}{of}", Bound.MIN
        )
    if guarantee.bound is Bound.MAX:
        return Limit(
            nutrient, None, high, dry, f"{nutrient} is guaranteed at most {text}{of}", Bound.MAX
        )
    if guarantee.bound is Bound.ABOUT or tolerance is None:
        return None
    below, above = (
        None if side is None or not isfinite(side) else side
        for side in tolerance(nutrient, float(guarantee.value)) or (None, None)
    )
    least = None if below is None else max(value - Fraction(str(below)), Fraction(0))
    most = None if above is None else value + Fraction(str(above))
    if least is None and most is None:
        return None
    words = f"{nutrient} is declared as {text}{of}, which the tolerance lets stand for "
    if least is not None and most is not None:
        words += f"{decimal(least)} to {decimal(most)}"
    else:
        words += (
            f"{decimal(least)} or more" if least is not None else f"{decimal(most or 0)} or less"
        )
    return Limit(
        nutrient,
        None if least is None else least * scale,
        None if most is None else most * scale,
        dry,
        words,
        Bound.DECLARED,
    )


def parts_needed(found: Iterable[Limit]) -> frozenset[str]:
    """The parts that these limits tell apart."""
    needed = {limit.nutrient for limit in found if limit.nutrient in PARTS}
    if any(limit.of_dry for limit in found):
        needed.add("moisture")
    return frozenset(needed)


def guarantee_rows(columns: Columns, found: Iterable[Limit], content: Content) -> list[Row]:
    """A minimum needs enough in the food at the most that ingredients hold, a maximum not too
    much at the least; the six parts are columns of their own, so they need no such range."""
    rows = []
    for limit in found:
        base = columns.dry_matter() if limit.of_dry else columns.food()
        if limit.low is not None and limit.low > 0:
            most = _contained(columns, limit.nutrient, content, at_most=True)
            if most is not None:
                rows.append(
                    whole(
                        difference(most, base, limit.low),
                        Premise.GUARANTEES,
                        limit.words + _holdings(columns, limit.nutrient, content, at_most=True),
                        "guarantee",
                        limit.nutrient,
                        "least",
                        also=None if limit.nutrient in PARTS else Premise.COMPOSITION,
                    )
                )
        if limit.high is not None:
            least = _contained(columns, limit.nutrient, content, at_most=False)
            if least:
                rows.append(
                    whole(
                        difference({c: limit.high * v for c, v in base.items()}, least),
                        Premise.GUARANTEES,
                        limit.words + _holdings(columns, limit.nutrient, content, at_most=False),
                        "guarantee",
                        limit.nutrient,
                        "most",
                        also=None if limit.nutrient in PARTS else Premise.COMPOSITION,
                    )
                )
    return [row for row in rows if row]


def _contained(
    columns: Columns, nutrient: str, content: Content, *, at_most: bool
) -> dict[int, Fraction] | None:
    """The nutrient in the food by column, at the most or the least that is possible."""
    if nutrient in PARTS:
        return dict.fromkeys(columns.in_food(nutrient), Fraction(1))
    terms: dict[int, Fraction] = {}
    for leaf in columns.tree.leaves:
        low, high = content(leaf.index, nutrient)
        amount = high if at_most else low
        if amount is None:
            return None
        terms.update(columns.weight((leaf.index,), amount))
    return {column: value for column, value in terms.items() if value}


def _holdings(columns: Columns, nutrient: str, content: Content, *, at_most: bool) -> str:
    """What each ingredient holds of a nutrient that has no column of its own."""
    if nutrient in PARTS:
        return ""
    held = []
    for leaf in columns.tree.leaves:
        low, high = content(leaf.index, nutrient)
        amount = high if at_most else low
        if amount:
            held.append(f"{leaf.name} {decimal(100 * amount)} %")
    return f"; ingredients hold at {'most' if at_most else 'least'}: {', '.join(held)}"


def near_rows(columns: Columns, found: Iterable[Limit], numbers: Numbers) -> list[Row]:
    """Practice: a guarantee is printed near the truth."""
    rows = []
    for limit in found:
        margin = numbers.near.get(limit.nutrient)
        if margin is None or limit.nutrient not in PARTS or limit.bound is Bound.DECLARED:
            continue
        base = columns.dry_matter() if limit.of_dry else columns.food()
        mine = dict.fromkeys(columns.in_food(limit.nutrient), Fraction(1))
        printed = limit.low if limit.low is not None else limit.high
        if printed is None:
            continue
        room = margin.around(100 * printed) / 100
        if limit.low is not None:
            most = printed + room
            words = f"{limit.words}, and by practice it is at most {decimal(100 * most)} %"
            terms = difference({c: most * v for c, v in base.items()}, mine)
        else:
            least = max(printed - room, Fraction(0))
            words = f"{limit.words}, and by practice it is at least {decimal(100 * least)} %"
            terms = difference(mine, base, least)
        rows.append(whole(terms, Premise.PRACTICE, words, "practice", limit.nutrient))
    return [row for row in rows if row]


def usual_rows(
    columns: Columns,
    usual: Callable[[Ingredient], Range | None],
    numbers: Numbers,
    *,
    closely: bool = False,
) -> list[Row]:
    """Practice: minor ingredients below their usual levels, with room, and below ceilings.

    `closely` is for estimates: without the room, and not under their usual levels either.
    """
    mix = columns.mix()
    rows = []
    for leaf in columns.tree.leaves:
        if leaf.rest:
            continue
        mine = columns.weight((leaf.index,))
        levels = usual(leaf.ingredient)
        low = high = None
        if levels is not None and levels.low <= levels.high:
            low, high = (Fraction(str(end)) / 100 for end in levels)
            low, high = (low, high) if closely else (None, high * numbers.room)
        match = leaf.ingredient.match
        if levels is None and match is not None:
            most = numbers.usual.get(match.known.kind)
            high = None if most is None else most / 100
        ceiling = numbers.ceilings.get(leaf.ingredient.known_as or "")
        if ceiling is not None:
            high = ceiling / 100 if high is None else min(high, ceiling / 100)
        if high is not None and high < 1:
            words = f"by practice {leaf.name} is at most {decimal(100 * high)} % of the mix"
            terms = difference({c: high * v for c, v in mix.items()}, mine)
            rows.append(whole(terms, Premise.PRACTICE, words, "practice", leaf.path, "most"))
        if low is not None and low > 0:
            words = f"by practice {leaf.name} is at least {decimal(100 * low)} % of the mix"
            rows.append(
                whole(
                    difference(mine, mix, low),
                    Premise.PRACTICE,
                    words,
                    "practice",
                    leaf.path,
                    "least",
                )
            )
    rows.extend(_together_rows(columns, numbers))
    return [row for row in rows if row]


def _together_rows(columns: Columns, numbers: Numbers) -> Iterator[Row | None]:
    """Practice: small ingredients of one sort within their usual level together."""
    mix = columns.mix()
    for sort in numbers.together:
        leaves = [
            leaf.index
            for leaf in columns.tree.leaves
            if leaf.ingredient.match and sort.counts(leaf.ingredient.match.known) and not leaf.rest
        ]
        if leaves:
            words = (
                f"by practice {sort.name} together are at most {decimal(sort.most)} % of the mix"
            )
            limit = {column: sort.most / 100 * value for column, value in mix.items()}
            terms = difference(limit, columns.weight(leaves))
            yield whole(terms, Premise.PRACTICE, words, "practice", sort.name)


def base_of(columns: Columns, base: Base) -> dict[int, Fraction]:
    """The columns that a share is a share of."""
    match base:
        case Base.MIX:
            return columns.mix()
        case Base.MIX_WITHOUT_WATER:
            return columns.without_water()
        case Base.FOOD:
            return columns.food()
        case Base.DRY_MATTER:
            return columns.dry_matter()


def condition_terms(columns: Columns, condition: Condition) -> dict[int, Fraction]:
    """A condition as `terms >= 0`."""
    terms: dict[int, Fraction] = {}
    for leaf, factor in columns.tree.leaf_weights(condition.weights).items():
        terms.update(columns.weight((leaf,), factor))
    found = difference(terms, base_of(columns, condition.base), Fraction(condition.needs) / 100)
    return {c: -v for c, v in found.items()} if condition.at_most else found


def name_rows(columns: Columns, kept: Iterable[Condition]) -> list[Row]:
    """Promises that are taken as kept."""
    rows = []
    for condition in kept:
        side = "at most" if condition.at_most else "at least"
        words = (
            f"the name is taken as kept: {condition.of} is {side} "
            f"{decimal(Fraction(condition.needs))} % of the {condition.base.words}"
        )
        rows.append(whole(condition_terms(columns, condition), Premise.NAME, words, "name"))
    return [row for row in rows if row]
