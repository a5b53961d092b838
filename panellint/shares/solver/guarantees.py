"""Guarantees, usual levels and promises as constraints, and what is asked of a set of formulas, as
factors of its columns."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache, partial
from math import isfinite
from typing import TypeAlias

from panellint.catalogue.model import PARTS, Range
from panellint.core.numbers import decimal
from panellint.core.units import part_of_whole
from panellint.ingredients.model import Ingredient
from panellint.label.model import Bound, Guarantee
from panellint.rulepacks.data import data
from panellint.shares.explain import condition_words
from panellint.shares.model import Base, Condition
from panellint.shares.premises import Numbers, Premise, Reading
from panellint.shares.solver.constraints import (
    Columns,
    Constraint,
    Terms,
    difference,
    not_beyond,
    not_negative,
    times,
)

#: How far an analysis may lie below and above a declared value, in the unit of the value. None
#: for a side, or for both, where no limit is known; that side then proves nothing.
Tolerance: TypeAlias = Callable[[str, float], tuple[float | None, float | None] | None]

#: The least and the most of a nutrient in a leaf, as a part of its weight (or in its unit for
#: what is no part of the weight); None for the most where nothing is known.
Content: TypeAlias = Callable[[int, str], tuple[Fraction, Fraction | None]]


@dataclass(frozen=True, slots=True)
class GuaranteeLimit:
    """What one guarantee says of a nutrient, as a part of the weight or in the unit given.

    `low` and `high` are None where it says nothing. `of_dry` is True on a dry matter basis.
    """

    nutrient: str
    low: Fraction | None
    high: Fraction | None
    of_dry: bool
    words: str
    bound: Bound

    def base(self, columns: Columns) -> Terms:
        """The columns that it is a part of."""
        return columns.dry_matter() if self.of_dry else columns.food()

    def near_the_truth(self, numbers: Numbers) -> GuaranteeLimit | None:
        """The other end, where practice prints a guarantee near the truth; None without one."""
        margin = numbers.near.get(self.nutrient)
        printed = self.low if self.low is not None else self.high
        if margin is None or printed is None or self.bound is Bound.DECLARED:
            return None
        room = margin.around(100 * printed) / 100
        if self.low is not None:
            return replace(self, low=None, high=printed + room)
        return replace(self, low=max(printed - room, Fraction(0)), high=None)


@cache
def nutrient_units() -> Mapping[str, str]:
    """The unit of every nutrient id, from `rules/nutrients/nutrients.yaml`."""
    return {row["id"]: row["unit"] for row in data("nutrients/nutrients")["nutrients"]}


def limits(
    guarantees: Iterable[Guarantee], units: Mapping[str, str], tolerance: Tolerance | None
) -> tuple[GuaranteeLimit, ...]:
    """What the guarantees say, each as fractions of the food or of its dry matter.

    A guarantee of an unknown nutrient, of energy, below nothing, in a unit that cannot be turned
    into the nutrient's own, or on another basis says nothing here.
    """
    each = (_limit(guarantee, units, tolerance) for guarantee in guarantees)
    return tuple(limit for limit in each if limit)


def _limit(
    guarantee: Guarantee, units: Mapping[str, str], tolerance: Tolerance | None
) -> GuaranteeLimit | None:
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
    if value < 0:
        return None  # nothing can have it; a check says so
    text = f"{guarantee.value} {guarantee.unit}"
    dry = guarantee.basis == "dry matter"
    of = " of dry matter" if dry else ""
    if guarantee.bound is Bound.MIN:
        words = f"{nutrient} is guaranteed at least {text}{of}"
        return GuaranteeLimit(nutrient, value * scale, None, dry, words, Bound.MIN)
    if guarantee.bound is Bound.MAX:
        words = f"{nutrient} is guaranteed at most {text}{of}"
        return GuaranteeLimit(nutrient, None, value * scale, dry, words, Bound.MAX)
    if guarantee.bound is Bound.ABOUT or tolerance is None:
        return None
    below, above = (
        None if side is None or not isfinite(side) else Fraction(str(side))
        for side in tolerance(nutrient, float(guarantee.value)) or (None, None)
    )
    least = None if below is None else max(value - below, Fraction(0))
    most = None if above is None else value + above
    if least is None and most is None:
        return None
    low, high = (None if end is None else end * scale for end in (least, most))
    words = f"{nutrient} is declared as {text}{of}, which the tolerance lets stand for "
    if least is not None and most is not None:
        words += f"{decimal(least)} to {decimal(most)}"
    else:
        side = "more" if least is not None else "less"
        words += f"{decimal(least or most or 0)} or {side}"
    return GuaranteeLimit(nutrient, low, high, dry, words, Bound.DECLARED)


def parts_needed(limits: Iterable[GuaranteeLimit]) -> frozenset[str]:
    """The parts that these limits tell apart."""
    needed = {limit.nutrient for limit in limits if limit.nutrient in PARTS}
    if any(limit.of_dry for limit in limits):
        needed.add("moisture")
    return frozenset(needed)


def guarantee_constraints(
    columns: Columns, limits: Iterable[GuaranteeLimit], content: Content
) -> Iterator[Constraint]:
    """A minimum needs enough in the food at the most that ingredients hold, a maximum not too
    much at the least; the six parts are columns of their own, so they need no such range."""
    for limit in limits:
        nutrient, base = limit.nutrient, limit.base(columns)
        also = None if nutrient in PARTS else Premise.COMPOSITION
        if limit.low is not None:
            most = _contained(columns, nutrient, content, at_most=True)
            if most is not None:
                reason = partial(_words, limit, columns, content, at_most=True)
                yield from not_beyond(most, base, limit.low, None, Premise.GUARANTEES, reason, also)
        if limit.high is not None:
            least = _contained(columns, nutrient, content, at_most=False)
            if least:
                reason = partial(_words, limit, columns, content, at_most=False)
                high = limit.high
                yield from not_beyond(least, base, None, high, Premise.GUARANTEES, reason, also)


def _contained(columns: Columns, nutrient: str, content: Content, *, at_most: bool) -> Terms | None:
    """The nutrient in the food by column, at the most or the least that is possible."""
    if nutrient in PARTS:
        return columns.analysed_in_food(nutrient)
    terms: dict[int, int | Fraction] = {}
    for leaf in columns.tree.leaves:
        amount = content(leaf.index, nutrient)[at_most]
        if amount is None:
            return None
        terms.update(columns.weight((leaf.index,), amount))
    return {column: value for column, value in terms.items() if value}


def _words(limit: GuaranteeLimit, columns: Columns, content: Content, *, at_most: bool) -> str:
    """The guarantee, with what each ingredient holds of a nutrient without columns of its own."""
    if limit.nutrient in PARTS:
        return limit.words
    amounts = [
        (leaf.name, content(leaf.index, limit.nutrient)[at_most]) for leaf in columns.tree.leaves
    ]
    held = [f"{name} {decimal(100 * amount)} %" for name, amount in amounts if amount]
    side = "most" if at_most else "least"
    return f"{limit.words}; ingredients hold at {side}: {', '.join(held)}"


def energy_constraints(
    columns: Columns, kcal_per_kg: Fraction, per_gram: Mapping[str, float], numbers: Numbers
) -> Iterator[Constraint]:
    """A calculated calorie line is what its formula makes of the food, to within a part of it.

    `per_gram` is kcal of a gram by part (modified Atwater), `kcal_per_kg` as fed.
    """
    terms: dict[int, int | Fraction] = {}
    for part, factor in per_gram.items():
        for column, share in columns.analysed_in_food(part).items():
            terms[column] = terms.get(column, 0) + 1000 * Fraction(str(factor)) * share
    low, high = ((1 + sign * numbers.calories) * kcal_per_kg for sign in (-1, 1))
    words = (
        f"{decimal(kcal_per_kg)} kcal/kg are printed as calculated, so modified Atwater comes to "
        f"{decimal(low)} to {decimal(high)}"
    )
    yield from not_beyond(terms, columns.food(), low, high, Premise.CALORIES, partial(str, words))


def near_constraints(
    columns: Columns, limits: Iterable[GuaranteeLimit], numbers: Numbers
) -> Iterator[Constraint]:
    """Practice: a guarantee is printed near the truth."""
    for limit in limits:
        near = limit.near_the_truth(numbers) if limit.nutrient in PARTS else None
        if near is None:
            continue
        base = limit.base(columns)
        mine = columns.analysed_in_food(limit.nutrient)
        side, end = ("least", near.low) if near.high is None else ("most", near.high)
        words = f"{limit.words}, and by practice it is at {side} {decimal(100 * (end or 0))} %"
        reason = partial(str, words)
        yield from not_beyond(mine, base, near.low, near.high, Premise.PRACTICE, reason)


def usual_constraints(
    columns: Columns, usual: Callable[[Ingredient], Range | None], numbers: Numbers
) -> Iterator[Constraint]:
    """Practice: minor ingredients below their usual levels, with room, and below ceilings; small
    ones of a sort within their usual level together."""
    mix = columns.mix()
    for leaf in columns.tree.leaves:
        most = None if leaf.rest else _usual_most(leaf.ingredient, usual(leaf.ingredient), numbers)
        if most is not None and most < 1:
            yield from _by_practice(f"{leaf.name} is", columns.weight((leaf.index,)), mix, most)
    for sort in numbers.together:
        leaves = [
            leaf.index
            for leaf in columns.tree.leaves
            if leaf.ingredient.match and sort.counts(leaf.ingredient.match.known) and not leaf.rest
        ]
        if leaves:
            subject, mine = f"{sort.name} together are", columns.weight(leaves)
            yield from _by_practice(subject, mine, mix, sort.most / 100)


def _usual_most(ingredient: Ingredient, levels: Range | None, numbers: Numbers) -> Fraction | None:
    """The most that practice takes of an ingredient, as a part of the mix."""
    known, most = ingredient.match and ingredient.match.known, None
    if levels is not None and levels.low <= levels.high:
        most = Fraction(str(levels.high)) / 100 * numbers.room
    elif levels is None and known and known.kind in numbers.usual:
        most = numbers.usual[known.kind] / 100
    ceiling = numbers.ceilings.get(ingredient.known_as or "")
    if ceiling is not None:
        most = ceiling / 100 if most is None else min(ceiling / 100, most)
    return most


def _by_practice(subject: str, mine: Terms, mix: Terms, most: Fraction) -> Iterator[Constraint]:
    words = f"by practice {subject} at most {decimal(100 * most)} % of the mix"
    return not_beyond(mine, mix, None, most, Premise.PRACTICE, partial(str, words))


def base_of(columns: Columns, base: Base) -> Terms:
    """The columns that a share is a share of."""
    match base:
        case Base.MIX:
            return columns.mix()
        case Base.LISTED if columns.tree.reading is Reading.MIXED:
            return columns.mix()
        case Base.MIX_WITHOUT_WATER:
            return columns.without_water()
        case Base.FOOD:
            return columns.food()
        case Base.DRY_MATTER:
            return columns.dry_matter()
    raise ValueError(f"formulas do not weigh the {base}")


def condition_terms(columns: Columns, condition: Condition) -> Terms:
    """A condition as `terms >= 0`."""
    terms: dict[int, int | Fraction] = {}
    for leaf, factor in columns.tree.leaf_weights(condition.weights).items():
        terms.update(columns.weight((leaf,), factor))
    needs = times(base_of(columns, condition.base), Fraction(condition.needs) / 100)
    return difference(needs, terms) if condition.at_most else difference(terms, needs)


def name_constraints(columns: Columns, kept: Iterable[Condition]) -> Iterator[Constraint]:
    """Promises that are taken as kept."""
    for condition in kept:
        terms = condition_terms(columns, condition)
        yield from not_negative(terms, Premise.NAME, partial(condition_words, condition))


#: What is asked for, by the columns of a system.
Cost: TypeAlias = Callable[[Columns], Terms]


def weight_of(leaves: Mapping[int, int | Fraction], columns: Columns) -> Terms:
    """Leaves by weight as mixed, each times its factor."""
    return {column: factor for leaf, factor in leaves.items() for column in columns.weight((leaf,))}


def dry_weight_of(leaves: Mapping[int, Fraction], columns: Columns) -> Terms:
    """Leaves by their dry matter, each times its factor."""
    dry = columns.dry_matter()
    return {c: factor for c, factor in weight_of(leaves, columns).items() if c in dry}


def analysis_of(part: str, food: bool, columns: Columns) -> Terms:
    """A part as an analysis counts it: of the finished `food`, or of all as mixed."""
    if food:
        return columns.analysed_in_food(part)
    mixed = (columns.analysed(leaf, part) for leaf in range(len(columns.of_leaf)))
    return {column: factor for terms in mixed for column, factor in terms.items()}


def nonzero(terms: Terms, sign: int = 1) -> dict[int, int | Fraction]:
    """The terms that are not nothing, times a sign."""
    return {column: sign * value for column, value in terms.items() if value}
