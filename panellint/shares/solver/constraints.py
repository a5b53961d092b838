"""Everything a label states, as homogeneous rows: a sum of weights that is never below zero.

Coefficients are whole numbers, so that every row is exactly what the label says.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import gcd, lcm

from panellint.catalogue.model import PARTS
from panellint.core.numbers import decimal
from panellint.label.model import PercentOf
from panellint.shares.explain import before_words, percent_limits, percent_words, tail_words
from panellint.shares.model import Path
from panellint.shares.premises import Premise
from panellint.shares.solver.composition import Composition, Interval
from panellint.shares.tree import Tree
from panellint.shares.unlisted import additives_at_most

#: The parts that are merged into one column where no row tells them apart.
OTHER = "other"
#: Water that processing takes out of an ingredient, beside the water that stays ("moisture").
LOST = "lost"


@dataclass(frozen=True, slots=True)
class Row:
    """`sum coefficient * weight >= 0` with what it rests on and the reason in plain words.

    `coefficients` are (column, whole number). `kind` and `about` tell the words of a proof how
    to put rows together: for "order" the two paths, for "composition" leaf, part and side. `also`
    is a second premise that it needs. `unit` is what the statement was multiplied by to come to
    whole numbers.
    """

    premise: Premise
    words: str
    coefficients: tuple[tuple[int, int], ...]
    kind: str = ""
    about: tuple[object, ...] = ()
    also: Premise | None = None
    unit: Fraction = Fraction(1)

    @property
    def premises(self) -> tuple[Premise, ...]:
        """All that it rests on."""
        return (self.premise, self.also) if self.also else (self.premise,)

    @property
    def scale(self) -> int:
        """The largest coefficient, by which a solver's row is divided."""
        return max(abs(value) for _, value in self.coefficients)


def whole(
    terms: Mapping[int, Fraction],
    premise: Premise,
    words: str,
    kind: str,
    *about: object,
    also: Premise | None = None,
) -> Row | None:
    """A row from exact fractions, scaled to whole numbers; None where it says nothing."""
    terms = {column: value for column, value in terms.items() if value}
    if all(value > 0 for value in terms.values()):
        return None
    common = lcm(*(value.denominator for value in terms.values()))
    numbers = {column: int(value * common) for column, value in terms.items()}
    shared = gcd(*numbers.values())
    return Row(
        premise,
        words,
        tuple(sorted((column, value // shared) for column, value in numbers.items())),
        kind,
        about,
        also,
        Fraction(common, shared),
    )


class Columns:
    """The unknown weights: each leaf by the parts that rows tell apart, and water taken up.

    `apart` are the parts with a column of their own; the others share one. With no part apart
    a leaf is a single column. `loses` and `gains` say whether water can leave or enter.
    """

    def __init__(
        self,
        tree: Tree,
        compositions: tuple[Composition, ...],
        apart: frozenset[str],
        *,
        loses: bool,
        gains: bool,
    ) -> None:
        self.tree = tree
        self.apart = apart
        self.names: list[tuple[int | None, str]] = []
        self.intervals: list[dict[str, Interval]] = []
        self.of_leaf: list[dict[str, int]] = []
        self.lost: list[int] = []
        for leaf, composition in zip(tree.leaves, compositions, strict=True):
            intervals = _merged(composition, apart)
            columns = {
                part: self._add(leaf.index, part)
                for part, interval in intervals.items()
                if interval.high > 0
            }
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

    def weight(self, leaves: Iterable[int], factor: Fraction = Fraction(1)) -> dict[int, Fraction]:
        """The weight as mixed of some leaves, times a factor."""
        return {column: factor for leaf in leaves for column in self.of_leaf[leaf].values()}

    def part(self, leaf: int, part: str) -> tuple[int, ...]:
        """The columns of a part of a leaf as mixed; water that is lost counts as moisture."""
        columns = self.of_leaf[leaf]
        names = (part, LOST) if part == "moisture" else (part,)
        return tuple(columns[name] for name in names if name in columns)

    def in_food(self, part: str) -> tuple[int, ...]:
        """The columns of a part in the finished food, over all ingredients."""
        found = [columns[part] for columns in self.of_leaf if part in columns]
        if part == "moisture" and self.gained is not None:
            found.append(self.gained)
        return tuple(found)

    def mix(self) -> dict[int, Fraction]:
        """All as mixed."""
        return self.weight(range(len(self.of_leaf)))

    def without_water(self) -> dict[int, Fraction]:
        """All as mixed but water that is declared as such."""
        water = self.tree.water
        return self.weight(index for index in range(len(self.of_leaf)) if index not in water)

    def food(self) -> dict[int, Fraction]:
        """The finished food: what was mixed, less water lost, plus water taken up."""
        lost = set(self.lost)
        return {column: Fraction(1) for column in range(self.count) if column not in lost}

    def dry_matter(self) -> dict[int, Fraction]:
        """Everything but water; needs "moisture" apart."""
        wet = {LOST, "moisture", "gained"}
        return {
            column: Fraction(1) for column, (_, part) in enumerate(self.names) if part not in wet
        }


def _merged(composition: Composition, apart: frozenset[str]) -> dict[str, Interval]:
    """The parts that stay apart, and the rest as one: a sum of boxes is a box."""
    rest = [composition.parts[part] for part in PARTS if part not in apart]
    intervals = {part: composition.parts[part] for part in PARTS if part in apart}
    if rest:
        low = sum((interval.low for interval in rest), Fraction(0))
        high = sum((interval.high for interval in rest), Fraction(0))
        intervals[OTHER] = Interval(min(low, Fraction(1)), min(high, Fraction(1)))
    return intervals


def add(terms: dict[int, Fraction], more: Mapping[int, Fraction], factor: Fraction) -> None:
    """Add `factor * more` to `terms`."""
    for column, value in more.items():
        terms[column] = terms.get(column, Fraction(0)) + factor * value


def difference(
    left: Mapping[int, Fraction], right: Mapping[int, Fraction], factor: Fraction = Fraction(1)
) -> dict[int, Fraction]:
    """`left - factor * right`."""
    terms = dict(left)
    add(terms, right, -factor)
    return terms


def order_rows(columns: Columns) -> list[Row]:
    """Each entry weighs at least as much as the next in its chain."""
    tree = columns.tree
    found = []
    for chain in tree.chains():
        for before, after in zip(chain.entries, chain.entries[1:], strict=False):
            found.append(
                whole(
                    difference(
                        columns.weight(tree.under[before.path]),
                        columns.weight(tree.under[after.path]),
                    ),
                    chain.premise,
                    before_words(before.name, after.name),
                    "order",
                    before.path,
                    after.path,
                    also=tree.ranks_by_group(chain, before, after),
                )
            )
    for beside in tree.beside():
        for after in beside.after:
            found.append(
                whole(
                    difference(
                        columns.weight(tree.under[beside.before.path]),
                        columns.weight(tree.under[after.path]),
                    ),
                    Premise.ORDER,
                    before_words(beside.before.name, after.name),
                    "order",
                    beside.before.path,
                    after.path,
                    also=Premise.GROUPS,
                )
            )
    return [row for row in found if row]


def percent_rows(columns: Columns) -> list[Row]:
    """Printed percentages of the food as mixed, of the parent or of the component."""
    tree = columns.tree
    found: list[Row | None] = []
    for path, entry in tree.entries.items():
        percent = entry.percent
        if percent is None:
            continue
        whole_name, inside = _percent_base(tree, path, percent.of)
        if inside is None:
            continue
        base = columns.weight(inside)
        mine = columns.weight(tree.under[path])
        low, high = percent_limits(
            Fraction(percent.value), Fraction(percent.half_unit), percent.bound
        )
        words = percent_words(entry.name, percent, low, high, whole_name)
        if low is not None:
            terms = difference(mine, base, low)
            found.append(whole(terms, Premise.PERCENTAGES, words, "percent", path, "least"))
        if high is not None and high < 1:
            terms = difference({c: high * v for c, v in base.items()}, mine)
            found.append(whole(terms, Premise.PERCENTAGES, words, "percent", path, "most"))
    return [row for row in found if row]


def _percent_base(tree: Tree, path: Path, of: PercentOf) -> tuple[str, range | None]:
    """What a percentage is of, with its leaves; None where that is not certain."""
    if of is PercentOf.FOOD:
        return "the mix", range(tree.size)
    around = None
    if of is PercentOf.PARENT:
        around = tree.parent(path)
    elif of is PercentOf.COMPONENT:
        around = tree.component(path)
    return (around.name, tree.under[around.path]) if around else ("", None)


def tail_rows(columns: Columns) -> list[Row]:
    """Each entry of a "2 % or less" tail weighs at most the cap."""
    tree = columns.tree
    mix = columns.mix()
    found = []
    for path, entry in tree.entries.items():
        if entry.at_most is None:
            continue
        cap = Fraction(entry.at_most) / 100
        terms = difference({c: cap * v for c, v in mix.items()}, columns.weight(tree.under[path]))
        words = tail_words(entry.name, cap)
        found.append(whole(terms, Premise.TAIL, words, "tail", path))
    return [row for row in found if row]


def unlisted_rows(columns: Columns) -> list[Row]:
    """Additives that are listed apart are few."""
    mix = columns.mix()
    found = []
    for leaf in columns.tree.leaves:
        additives = additives_at_most(leaf.ingredient)
        if additives is not None:
            words = f"{leaf.name} are at most {decimal(additives)} % of the mix"
            limit = {column: additives / 100 * value for column, value in mix.items()}
            terms = difference(limit, columns.weight((leaf.index,)))
            found.append(whole(terms, Premise.COMPOSITION, words, "unlisted", leaf.path))
    return [row for row in found if row]


def composition_rows(columns: Columns) -> list[Row]:
    """Each part of an ingredient lies within its range."""
    found = []
    for leaf in columns.tree.leaves:
        intervals = columns.intervals[leaf.index]
        if len(intervals) < 2:
            continue
        premise = Premise.COMPOSED if leaf.is_composed else Premise.COMPOSITION
        weight = columns.weight((leaf.index,))
        for part, interval in intervals.items():
            mine = dict.fromkeys(columns.part(leaf.index, part), Fraction(1))
            if interval.low > 0:
                words = f"{leaf.name} holds at least {decimal(100 * interval.low)} % {part}"
                terms = difference(mine, weight, interval.low)
                about = (leaf.index, part, "least")
                found.append(whole(terms, premise, words, "composition", *about))
            if interval.high < 1:
                words = f"{leaf.name} holds at most {decimal(100 * interval.high)} % {part}"
                terms = difference({c: interval.high * v for c, v in weight.items()}, mine)
                about = (leaf.index, part, "most")
                found.append(whole(terms, premise, words, "composition", *about))
    return [row for row in found if row]


def water_rows(columns: Columns, low: Fraction, high: Fraction, kappa: Fraction) -> list[Row]:
    """Net water lost, as a part of the mix, lies between `low` and `high` and below `kappa`.

    That no more water leaves than there is needs no row: what leaves an ingredient is part of
    its own moisture.
    """
    mix = columns.mix()
    lost = dict.fromkeys(columns.lost, Fraction(1))
    gained = {} if columns.gained is None else {columns.gained: Fraction(1)}
    found = []
    for moved, verb, least, most in (
        (lost, "takes out", low, min(high, kappa)),
        (gained, "adds", -high, -low),
    ):
        part = f"{decimal(100 * most)} % of the mix as water, and nothing else"
        terms = difference({c: most * v for c, v in mix.items()}, moved)
        if moved:
            words = f"processing {verb} at most {part}"
            found.append(whole(terms, Premise.WATER, words, "water", verb, "most"))
        if least > 0:
            words = f"processing {verb} at least {decimal(100 * least)} % of the mix as water"
            terms = difference(moved, mix, least)
            found.append(whole(terms, Premise.WATER, words, "water", verb, "least"))
    return [row for row in found if row]
