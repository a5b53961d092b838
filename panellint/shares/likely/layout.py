"""From free variables to shares: lists in descending order, groups, tails and loose entries.

What makes up the food is weighed by its ratio to the entry before; from the first entry of a usual
level on a list is weighed by amount, so that the small ones keep their levels wherever the large
ones go, and a random walk need not follow a curve through all of them.
Every point of the variables gives shares that keep the order, the groups and the caps of the
label, so that no sample is lost to them.
"""

from __future__ import annotations

from math import exp, log
from typing import Any, NamedTuple

import numpy as np

from panellint.ingredients.model import Ingredient
from panellint.label.model import Bound, PercentOf
from panellint.shares.explain import percent_limits
from panellint.shares.likely.evidence import Level, level_of, model, usual_level
from panellint.shares.model import Path
from panellint.shares.tree import Tree
from panellint.shares.unlisted import is_unlisted

#: Kinds that are water, or bring it.
_LIQUIDS = frozenset({"water", "broth"})
#: Percent of the mix below which an amount is nothing.
_LEAST = 1e-9


class _Place(NamedTuple):
    """One entry of a list: the variable that sets its weight and how; `leaf` or `members`.

    first, step, loose: against the entry before. tail: a part of `cap`. printed: between `low` and
    `cap`, percent of the mix or (`of_parent`) of what it stands in. usual, apart: the logarithm of
    percent of the mix, with the steps after it or without.
    """

    how: str
    variable: int
    cap: float
    leaf: int
    members: tuple[_Place, ...]
    low: float = 0.0
    of_parent: bool = False


class _Fall(NamedTuple):
    """The fall from the last entry that makes up the food (its leaves) to the first one of a usual
    level, whose `variable` it is; the logarithm of the fall is normal."""

    above: list[int]
    variable: int
    middle: float
    deviation: float


#: The deviation of a variable of which other residuals say all that is known.
_FREE = 10.0
#: The logarithm of a ratio that is one deviation of the wall between two entries in order.
_WALL = 0.05
#: How far a variable goes to reach either end of a printed percentage.
_REACH = 1.2


class Layout:
    """The variables of one declaration and the shares that they stand for.

    `middles` and `deviations` are the variables' own normal distribution; `levels` the usual
    level of each leaf (None for what makes up the food), by leaf index. A `canned` food may hold
    much water that it does not list, unless it lists some. `dry` is the food's dry matter, percent
    as fed.
    """

    def __init__(self, tree: Tree, *, canned: bool = False, dry: float = 90.0) -> None:
        self.size = len(tree.leaves)
        kinds = [
            leaf.ingredient.match.known.kind
            for leaf in tree.leaves
            if leaf.ingredient.match and not is_unlisted(leaf.ingredient)
        ]
        beside = not canned or not _LIQUIDS.isdisjoint(kinds)
        self.levels: list[Level | None] = [
            None if leaf.rest else usual_level(leaf.ingredient, beside, dry) for leaf in tree.leaves
        ]
        leaves, wet = tree.leaves, sorted(tree.water)
        #: Leaves of water that is not listed, of which a food may have none.
        self.maybe_none = [number for number in wet if is_unlisted(leaves[number].ingredient)]
        self.tree = tree
        #: Pairs of leaves of which the first weigh at least as much: where a percentage is
        #: printed for one of them, the variables do not see to that.
        self._pairs: list[tuple[list[int], list[int]]] = []
        self._falls: list[_Fall] = []
        #: The entries whose printed percentage every point keeps.
        self.printed: set[Path] = set()
        self._leaf_at = {leaf.path: leaf.index for leaf in tree.leaves}
        self._ordered = tree.groups_ordered
        self._middles: list[float] = []
        self._deviations: list[float] = []
        self._places = self._list_of(tree.declaration.ingredients, ordered=True, tails=True)
        self.middles = np.array(self._middles)
        self.deviations = np.array(self._deviations)

    def _list_of(
        self, entries: tuple[Ingredient, ...], *, ordered: bool, tails: bool
    ) -> tuple[_Place, ...]:
        places = []
        previous: float | None = None
        percents = {entry.path: _percent(entry) for entry in entries}
        # Some entry has to take what the percentages leave.
        fixed = None in percents.values()
        anchored, small, above, last = False, False, None, list[int]()
        for entry in entries:
            level = self._level(entry)
            cap = float(entry.at_most) if entry.at_most is not None else 0.0
            percent = percents[entry.path] if fixed else None
            in_order = ordered and not (cap or entry.any_of or entry.component)
            if in_order:
                starts = tails and level is not None and not small
                self._in_order(above, entry, percent is not None or starts)
                above = entry, percent is not None
            if percent is not None:
                low, high, of_parent = percent
                leaf, members = self._inside(entry)
                variable = self._variable(0.0, 1.0)
                places.append(_Place("printed", variable, high, leaf, members, low, of_parent))
                self.printed.add(entry.path)
                if not of_parent:
                    previous = log(max((low + high) / 2, _LEAST))
                continue
            if cap and tails:
                how, given = "tail", model()["tail"]
                middle, deviation = log(given["middle"]), log(given["factor"])
            elif not anchored:
                how, middle, deviation = "first", 0.0, 0.0
            elif tails and level is not None and not in_order:
                how, middle, deviation = "apart", level, _FREE
            elif not in_order:
                how = "loose"
                start = level_of(model()["unranked"])
                middle = start.middle if level is None or previous is None else level - previous
                deviation = start.deviation
            else:
                how = "step"
                steps = model()["steps"]
                start = level_of(steps["main" if level is None else "small"])
                drop = exp(start.middle)
                if level is not None and previous is not None:
                    drop = max(previous - level, 0.0)
                middle, deviation = log(max(drop, exp(start.middle))), start.deviation
                if tails and level is not None and not small:
                    how, small = "usual", True
                    self._falls.append(_Fall(last, len(self._middles), middle, deviation))
                    middle, deviation = level, _FREE
            variable = -1 if how == "first" else self._variable(middle, deviation)
            anchored = anchored or how != "tail"
            if how in ("first", "step", "usual"):
                last = list(self.tree.under[entry.path])
                fallen = exp(start.middle) if how == "step" else 0.0
                previous = (
                    level
                    if level is not None
                    else (log(30.0) if previous is None else previous - fallen)
                )
            places.append(_Place(how, variable, cap, *self._inside(entry)))
        return tuple(places)

    def _inside(self, entry: Ingredient) -> tuple[int, tuple[_Place, ...]]:
        leaf = self._leaf_at.get(entry.path, -1)
        if not entry.members:
            return leaf, ()
        if not entry.partial:
            ordered = self._ordered and not entry.any_of
            return -1, self._list_of(entry.members, ordered=ordered, tails=False)
        rest = _Place("first", -1, 0.0, leaf, ())
        named = self._list_of(entry.members, ordered=False, tails=False)
        start = level_of(model()["unranked"])
        places = []
        for place in named:
            variable = place.variable
            if place.how in ("tail", "printed"):
                places.append(place)
                continue
            if place.how == "first":
                variable = self._variable(start.middle, start.deviation)
            places.append(place._replace(how="loose", variable=variable))
        return -1, (rest, *places)

    def _variable(self, middle: float, deviation: float) -> int:
        self._middles.append(middle)
        self._deviations.append(deviation)
        return len(self._middles) - 1

    def _in_order(
        self, above: tuple[Ingredient, bool] | None, entry: Ingredient, printed: bool
    ) -> None:
        if above is not None and (printed or above[1]):
            under = self.tree.under
            self._pairs.append((list(under[above[0].path]), list(under[entry.path])))

    def in_order(self, shares: Any) -> Any:
        """By how much each point breaks the order around printed percentages, in deviations of a
        wall, one column a pair; nothing where it keeps it."""
        misses = np.zeros((len(shares), len(self._pairs)))
        for at, (before, after) in enumerate(self._pairs):
            first, second = (
                np.maximum(shares[:, some].sum(axis=1), _LEAST) for some in (before, after)
            )
            misses[:, at] = np.maximum(np.log(second / first), 0) / _WALL
        return misses

    def falls(self, points: Any, shares: Any) -> tuple[Any, Any]:
        """What each point misses of the usual falls, in deviations, one column a fall; and what the
        logarithm of the density has beside them, since an amount is the variable."""
        misses, rest = np.zeros((len(points), len(self._falls))), np.zeros(len(points))
        for at, (above, variable, middle, deviation) in enumerate(self._falls):
            weight = np.maximum(shares[:, above].sum(axis=1), _LEAST)
            fall = np.log(np.maximum(np.log(weight) - points[:, variable], _LEAST))
            misses[:, at] = (fall - middle) / deviation
            rest -= fall
        return misses, rest

    def _level(self, entry: Ingredient) -> float | None:
        """The logarithm of the usual level of an entry, a group's from all its members."""
        leaf = self._leaf_at.get(entry.path)
        if leaf is not None:
            level = self.levels[leaf]
            return None if level is None else level.middle
        inside = [self._level(member) for member in entry.members]
        if not inside or any(member_level is None for member_level in inside):
            return None
        return log(sum(exp(member_level) for member_level in inside if member_level is not None))

    def shares(self, points: Any) -> Any:
        """Shares in percent of the mix, one row a point, one column a leaf."""
        # A variable at a time is worked with: these lie together in memory.
        filled = np.zeros((self.size, len(points)))
        variables = np.ascontiguousarray(points.T)
        self._fill(filled, variables, self._places, np.full(len(points), 100.0))
        return filled.T

    def _fill(self, shares: Any, variables: Any, places: tuple[_Place, ...], total: Any) -> None:
        given: dict[int, Any] = {}
        for at, place in enumerate(places):
            if place.how == "tail":
                given[at] = place.cap * np.minimum(np.exp(variables[place.variable]), 1.0)
            elif place.how == "printed":
                up = 0.5 + 0.5 * np.tanh(variables[place.variable] / _REACH)
                amount = place.low + (place.cap - place.low) * up
                given[at] = amount * total / 100 if place.of_parent else amount
        logs: list[Any] = []
        level, by_amount = np.zeros(len(total)), False
        for at, place in enumerate(places):
            weight = level
            if place.how == "step":
                weight = level = level - np.exp(variables[place.variable])
            elif place.how == "usual":
                weight = level = variables[place.variable]
                by_amount = True
            elif place.how == "apart":
                weight = variables[place.variable]
            elif place.how == "loose":
                weight = level + variables[place.variable]
            if by_amount or place.how == "apart":
                given.setdefault(at, np.exp(weight))
            elif at not in given:
                logs.append(weight)
        left = np.maximum(total - sum(given.values()), 0.0)
        weights = np.exp(np.array(logs)) if logs else np.zeros((0, len(total)))
        rest = iter(weights * (left / weights.sum(axis=0)) if logs else weights)
        for at, place in enumerate(places):
            amount = given[at] if at in given else next(rest)
            if place.members:
                self._fill(shares, variables, place.members, amount)
            elif place.leaf >= 0:
                shares[place.leaf] = amount


def _percent(entry: Ingredient) -> tuple[float, float, bool] | None:
    """The ends of an exact printed percentage, and whether it is one of the parent."""
    given = entry.percent
    if given is None or given.bound is not Bound.EXACT:
        return None
    if given.of not in (PercentOf.FOOD, PercentOf.PARENT):
        return None
    low, high = (100 * float(end or 0) for end in percent_limits(given))
    return low, high, given.of is PercentOf.PARENT
