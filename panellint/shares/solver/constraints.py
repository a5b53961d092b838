"""Everything a label states, as constraints: a sum of weights that is never below zero.

Coefficients are whole numbers, so that every constraint is exactly what the label says.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, partial
from math import gcd, lcm
from typing import TypeAlias

from panellint.core.numbers import decimal
from panellint.ingredients.model import Ingredient
from panellint.shares.explain import before_words, percent_limits, percent_words, tail_words
from panellint.shares.premises import Premise, Reading
from panellint.shares.solver.composition import OTHER, Composition, Interval
from panellint.shares.tree import Tree
from panellint.shares.unlisted import most_unlisted

#: Water that processing takes out of an ingredient, beside the water that stays ("moisture").
LOST = "lost"
_WET = frozenset({LOST, "moisture", "gained"})
#: Factors of weights, by column; whole numbers where they are whole, since those cost far less.
Terms: TypeAlias = Mapping[int, int | Fraction]


@dataclass(frozen=True)
class Constraint:
    """`sum value * weight >= 0`, with what it rests on.

    `values` are whole numbers, each of the column at the same place. `reason` puts it into words.
    `kind` and `about` are the facts by which a proof puts constraints together: for "order" the
    two paths, for "composition" leaf, part, side and amount. `also` is a second premise that it
    needs. `unit` is what the statement was multiplied by to come to whole numbers.
    """

    premise: Premise
    reason: Callable[[], str]
    columns: tuple[int, ...]
    values: tuple[int, ...]
    kind: str = ""
    about: tuple[object, ...] = ()
    also: Premise | None = None
    unit: Fraction = Fraction(1)

    @property
    def words(self) -> str:
        """The reason in plain words."""
        return self.reason()

    @property
    def premises(self) -> tuple[Premise, ...]:
        """All that it rests on."""
        return (self.premise, self.also) if self.also else (self.premise,)

    @cached_property
    def scale(self) -> int:
        """The largest coefficient, by which a solver's row is divided."""
        return max(map(abs, self.values))

    @cached_property
    def scaled(self) -> list[float]:
        """The values as a solver takes them, none above one."""
        scale = self.scale
        return [value / scale for value in self.values]


def not_negative(
    terms: Terms,
    premise: Premise,
    reason: Callable[[], str],
    kind: str = "",
    *about: object,
    also: Premise | None = None,
    over: int = 1,
) -> Iterator[Constraint]:
    """Yields the constraint that a sum is not below zero, in whole numbers; nothing where no
    weights could make it so. `terms` are `over` times what the label states."""
    columns = tuple(sorted([column for column, value in terms.items() if value]))
    values = [terms[column] for column in columns]
    if not values or min(values) > 0:
        return
    common = lcm(*[value.denominator for value in values])
    numbers = [value.numerator * (common // value.denominator) for value in values]
    shared = gcd(*numbers)
    whole = tuple([number // shared for number in numbers])
    unit = Fraction(common * over, shared)
    yield Constraint(premise, reason, columns, whole, kind, about, also, unit)


def not_beyond(
    mine: Terms,
    base: Terms,
    low: Fraction | None,
    high: Fraction | None,
    premise: Premise,
    reason: Callable[[], str],
    also: Premise | None = None,
) -> Iterator[Constraint]:
    """Yields the constraints that a sum is at least `low` and at most `high` of another; None for
    an end without limit."""
    for end, sign in ((low, 1), (high, -1)):
        if end is not None:
            # Whole numbers cost a tenth of fractions.
            terms = times(mine, sign * end.denominator)
            for column, value in base.items():
                terms[column] = terms.get(column, 0) - sign * end.numerator * value
            yield from not_negative(terms, premise, reason, also=also, over=end.denominator)


def difference(left: Terms, right: Terms) -> dict[int, int | Fraction]:
    """`left - right`."""
    terms = dict(left)
    for column, value in right.items():
        terms[column] = terms.get(column, 0) - value
    return terms


def times(terms: Terms, factor: int | Fraction) -> dict[int, int | Fraction]:
    """`factor * terms`."""
    return {column: factor * value for column, value in terms.items()}


class Columns:
    """The unknown weights: each leaf by the parts that rows tell apart, and water taken up.

    `apart` are the parts with a column of their own; the others share one. With no part apart
    a leaf is a single column. Carbohydrate has none of its own: it is what is left when all others
    are apart. `loses` and `gains` say whether water can leave or enter.
    """

    def __init__(
        self,
        tree: Tree,
        compositions: tuple[Composition, ...],
        apart: frozenset[str],
        *,
        loses: bool,
        gains: bool,
        whole: bool = False,
    ) -> None:
        self.tree = tree
        self.apart = apart
        self.names: list[tuple[int | None, str]] = []
        self.intervals: list[Mapping[str, Interval]] = []
        self.of_leaf: list[dict[str, int]] = []
        self.lost: list[int] = []
        self._factors: dict[int, int | Fraction] = {}
        for leaf, composition in zip(tree.leaves, compositions, strict=True):
            intervals = composition.merged(apart)
            columns = {
                part: self._add(leaf.index, part)
                for part, interval in intervals.items()
                if whole or interval.high > 0
            }
            if "protein" in columns:
                self._factors[columns["protein"]] = composition.nitrogen
            if loses and "moisture" in columns:
                columns[LOST] = self._add(leaf.index, LOST)
                self.lost.append(columns[LOST])
            self.intervals.append(intervals)
            self.of_leaf.append(columns)
        self.gained = self._add(None, "gained") if gains else None

    def _add(self, leaf: int | None, part: str) -> int:
        self.names.append((leaf, part))
        return len(self.names) - 1

    @property
    def count(self) -> int:
        """How many unknowns there are."""
        return len(self.names)

    def weight(
        self, leaves: Iterable[int], factor: int | Fraction = 1
    ) -> dict[int, int | Fraction]:
        """The weight as mixed of some leaves, times a factor."""
        return {column: factor for leaf in leaves for column in self.of_leaf[leaf].values()}

    def analysed(self, leaf: int, part: str) -> dict[int, int | Fraction]:
        """A part of a leaf as mixed, as an analysis counts it: crude protein is more or less than
        what holds its nitrogen weighs, and what is found by difference is less or more."""
        columns = self.of_leaf[leaf]
        if part == "moisture":
            return {columns[name]: 1 for name in (part, LOST) if name in columns}
        name = OTHER if part == "carbohydrate" else part
        factors: dict[int, int | Fraction] = {columns[name]: 1} if name in columns else {}
        if "protein" in columns and name in ("protein", OTHER):
            protein = columns["protein"]
            factor = self._factors[protein]
            factors[protein] = factor if name == "protein" else 1 - factor
        return factors

    def analysed_in_food(self, part: str) -> dict[int, int | Fraction]:
        """A part in the finished food as an analysis counts it."""
        factors: dict[int, int | Fraction] = {}
        if part == "moisture" and self.gained is not None:
            factors[self.gained] = 1
        for leaf in range(len(self.of_leaf)):
            factors |= self.analysed(leaf, part)
        return {column: factor for column, factor in factors.items() if column not in self.lost}

    def mix(self) -> dict[int, int | Fraction]:
        """All as mixed."""
        return self.weight(range(len(self.of_leaf)))

    def without_water(self) -> dict[int, int | Fraction]:
        """All as mixed but water that is declared as such."""
        water = self.tree.water
        return self.weight(index for index in range(len(self.of_leaf)) if index not in water)

    def food(self) -> dict[int, int | Fraction]:
        """The finished food: what was mixed, less water lost, plus water taken up."""
        lost = set(self.lost)
        return {column: 1 for column in range(self.count) if column not in lost}

    def dry_matter(self) -> dict[int, int | Fraction]:
        """Everything but water; needs "moisture" apart."""
        return {column: 1 for column, (_, part) in enumerate(self.names) if part not in _WET}

    def counted(self, leaves: Iterable[int], *, most: bool = False) -> dict[int, int | Fraction]:
        """The least (or the most) of some leaves by the weight that the list goes by; needs
        "moisture" apart where that is not the weight as mixed."""
        weights = self.weight(leaves)
        reading = self.tree.reading
        if reading is Reading.MIXED or (most and reading is Reading.EITHER):
            return weights
        return {
            column: factor
            for column, factor in weights.items()
            if self.names[column][1] not in _WET
        }


def order_constraints(columns: Columns) -> Iterator[Constraint]:
    """Each entry weighs at least as much as those after it in its chain.

    Where the list may go by more than one weight, every key lies between an entry's dry matter and
    its weight as mixed, so that each entry weighs at least the dry matter of any after it; such
    keys exist exactly where that holds of all pairs.
    """
    tree = columns.tree
    for chain in tree.chains:
        for before, after in tree.compared(chain):
            also = tree.ranks_by_group(chain, before, after)
            yield from _heavier(columns, before, after, chain.premise, also)
    for beside in tree.beside():
        for after in beside.after:
            yield from _heavier(columns, beside.before, after, Premise.ORDER, Premise.GROUPS)


def _heavier(
    columns: Columns, before: Ingredient, after: Ingredient, premise: Premise, also: Premise | None
) -> Iterator[Constraint]:
    under, reading = columns.tree.under, columns.tree.reading
    most = columns.counted(under[before.path], most=True)
    terms = difference(most, columns.counted(under[after.path]))
    reason = partial(before_words, before.name, after.name, reading)
    kind = "order" if reading is Reading.MIXED else "weighed order"
    return not_negative(terms, premise, reason, kind, before.path, after.path, also=also)


def percent_constraints(columns: Columns) -> Iterator[Constraint]:
    """Printed percentages of the food as mixed, of the parent or of the component."""
    tree = columns.tree
    for path, entry in tree.entries.items():
        percent = entry.percent
        if percent is None:
            continue
        whole = tree.base_of(path, percent.of)
        if whole is None:
            continue
        inside = tree.under[whole] if whole else range(tree.size)
        low, high = percent_limits(percent)
        base_name = tree.name_of(whole)
        reason = partial(percent_words, entry.name, percent, low, high, base_name, tree.reading)
        most = high if high is not None and high < 1 else None
        for least, end_low, end_high in ((True, low, None), (False, None, most)):
            mine = columns.counted(tree.under[path], most=least)
            base = columns.counted(inside, most=not least)
            yield from not_beyond(mine, base, end_low, end_high, Premise.PERCENTAGES, reason)


def tail_constraints(columns: Columns) -> Iterator[Constraint]:
    """Each entry of a "2 % or less" tail weighs at most the cap."""
    mix = columns.mix()
    for path, entry in columns.tree.entries.items():
        if entry.at_most is not None:
            cap = Fraction(entry.at_most) / 100
            mine, reason = (
                columns.weight(columns.tree.under[path]),
                partial(tail_words, entry.name, cap),
            )
            yield from not_beyond(mine, mix, None, cap, Premise.TAIL, reason)


def unlisted_constraints(columns: Columns) -> Iterator[Constraint]:
    """What no list names is little: additives, and water by the moisture of the food."""
    for leaf in columns.tree.leaves:
        limit = most_unlisted(leaf.ingredient)
        if limit is not None:
            part, premise, words = limit
            mine, reason = columns.weight((leaf.index,)), partial(str, words)
            yield from not_beyond(mine, columns.mix(), None, part, premise, reason)


def label_constraints(columns: Columns, premises: Iterable[Premise]) -> Iterator[Constraint]:
    """What the declaration states, as far as it rests on the premises and on composition alone."""
    of_list = (order_constraints, percent_constraints, tail_constraints)
    taken = {*premises, Premise.COMPOSITION}
    for state in of_list if columns.tree.as_listed else (*of_list, unlisted_constraints):
        yield from (row for row in state(columns) if taken.issuperset(row.premises))


def composition_constraints(columns: Columns) -> Iterator[Constraint]:
    """Each part of an ingredient lies within its range."""
    for leaf in columns.tree.leaves:
        intervals = columns.intervals[leaf.index]
        if len(intervals) < 2:
            continue
        match = leaf.ingredient.match
        premise = Premise.COMPOSED if match and match.known.composed else Premise.COMPOSITION
        weight = tuple(columns.of_leaf[leaf.index].values())
        for part, (low, high) in intervals.items():
            mine = columns.analysed(leaf.index, part)
            most = max(mine.values(), default=0)
            for side, end, sign in (("least", low, 1), ("most", high, -1)):
                if end >= most if side == "most" else not end:
                    continue
                # sign * (part - end * weight) >= 0, in whole numbers
                common = lcm(end.denominator, *[factor.denominator for factor in mine.values()])
                share = end.numerator * (common // end.denominator)
                held = {
                    column: factor.numerator * (common // factor.denominator)
                    for column, factor in mine.items()
                }
                values = [sign * (held.get(column, 0) - share) for column in weight]
                if min(values) >= 0:
                    continue
                used = [place for place, value in enumerate(values) if value]
                yield Constraint(
                    premise,
                    partial(_holding_words, leaf.name, part, side, end),
                    tuple([weight[place] for place in used]),
                    tuple([values[place] for place in used]),
                    "composition",
                    (leaf.index, part, side, end),
                    None,
                    Fraction(common),
                )


def _holding_words(name: str, part: str, side: str, end: Fraction) -> str:
    if not end:
        return f"{name} holds no {part}"
    return f"{name} holds at {side} {decimal(100 * end)} % {part}"


def water_constraints(
    columns: Columns, low: Fraction, high: Fraction, kappa: Fraction
) -> Iterator[Constraint]:
    """Net water lost, as a part of the mix, lies between `low` and `high` and below `kappa`.

    That no more water leaves than there is needs no constraint: what leaves an ingredient is
    part of its own moisture.
    """
    mix = columns.mix()
    lost = dict.fromkeys(columns.lost, 1)
    gained = {} if columns.gained is None else {columns.gained: 1}
    for moved, verb, least, most in (
        (lost, "takes out", low, min(high, kappa)),
        (gained, "adds", -high, -low),
    ):
        if moved:
            reason = partial(_water_words, verb, "most", most)
            yield from not_beyond(moved, mix, None, most, Premise.WATER, reason)
        if least > 0:
            reason = partial(_water_words, verb, "least", least)
            yield from not_beyond(moved, mix, least, None, Premise.WATER, reason)


def _water_words(verb: str, side: str, part: Fraction) -> str:
    words = f"processing {verb} at {side} {decimal(100 * part)} % of the mix as water"
    return f"{words}, and nothing else" if side == "most" else words
