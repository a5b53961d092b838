"""From free variables to shares: lists in descending order, groups, tails and loose entries.

Every point of the variables gives shares that keep the order, the groups and the caps of the
label, so that no sample is lost to them.
"""

from __future__ import annotations

from math import exp, log
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from panellint.shares.likely.levels import Level, level_of, model, usual_level

if TYPE_CHECKING:
    from panellint.ingredients.model import Ingredient
    from panellint.shares.tree import Tree


class _Place(NamedTuple):
    """One entry of a list: the variable that sets its weight and how; `leaf` or `members`."""

    how: str  # first, step, loose or tail
    variable: int
    cap: float
    leaf: int
    members: tuple[_Place, ...]


class Layout:
    """The variables of one declaration and the shares that they stand for.

    `middles` and `deviations` are the variables' own normal distribution; `levels` the usual
    level of each leaf (None for what makes up the food), by leaf index.
    """

    def __init__(self, tree: Tree) -> None:
        self.size = len(tree.leaves)
        self.levels: list[Level | None] = [
            None if leaf.rest else usual_level(leaf.ingredient) for leaf in tree.leaves
        ]
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
        for entry in entries:
            level = self._level(entry)
            cap = float(entry.at_most) if entry.at_most is not None else 0.0
            if cap and tails:
                how, given = "tail", model()["tail"]
                middle, deviation = log(given["middle"]), log(given["factor"])
            elif previous is None:
                how, middle, deviation = "first", 0.0, 0.0
            elif not ordered or cap or entry.any_of or entry.component:
                how = "loose"
                start = level_of(model()["unranked"])
                middle = start.middle if level is None else level - previous
                deviation = start.deviation
            else:
                how = "step"
                steps = model()["steps"]
                start = level_of(steps["main" if level is None else "small"])
                drop = exp(start.middle) if level is None else max(previous - level, 0.0)
                middle, deviation = log(max(drop, exp(start.middle))), start.deviation
            variable = -1
            if how != "first":
                variable = len(self._middles)
                self._middles.append(middle)
                self._deviations.append(deviation)
            if how != "tail":
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
        found = []
        for place in named:
            variable = place.variable
            if place.how == "first":
                variable = len(self._middles)
                self._middles.append(start.middle)
                self._deviations.append(start.deviation)
            found.append(place._replace(how="loose", variable=variable))
        return -1, (rest, *found)

    def _level(self, entry: Ingredient) -> float | None:
        """The logarithm of the usual level of an entry, a group's from all its members."""
        leaf = self._leaf_at.get(entry.path)
        if leaf is not None:
            level = self.levels[leaf]
            return None if level is None else level.middle
        inside = [self._level(member) for member in entry.members]
        if not inside or any(one is None for one in inside):
            return None
        return log(sum(exp(one) for one in inside if one is not None))

    def shares(self, points: Any) -> Any:
        """Shares in percent of the mix, one row a point, one column a leaf."""
        found = np.zeros((len(points), self.size))
        self._fill(found, points, self._places, np.full(len(points), 100.0))
        return found

    def _fill(self, found: Any, points: Any, places: tuple[_Place, ...], total: Any) -> None:
        capped = [
            place.cap * np.minimum(np.exp(points[:, place.variable]), 1.0)
            for place in places
            if place.how == "tail"
        ]
        left = np.maximum(total - sum(capped), 0.0)
        logs: list[Any] = []
        level = np.zeros(len(points))
        for place in places:
            if place.how == "tail":
                continue
            if place.how == "step":
                level = level - np.exp(points[:, place.variable])
                logs.append(level)
            elif place.how == "loose":
                logs.append(level + points[:, place.variable])
            else:
                logs.append(level)
        weights = np.exp(np.array(logs)) if logs else np.zeros((0, len(points)))
        weights = weights * (left / weights.sum(axis=0)) if logs else weights
        rest = iter(weights)
        small = iter(capped)
        for place in places:
            amount = next(small) if place.how == "tail" else next(rest)
            if place.members:
                self._fill(found, points, place.members, amount)
            elif place.leaf >= 0:
                found[:, place.leaf] = amount
