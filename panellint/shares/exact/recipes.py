"""Recipes that keep what a declaration says: usual ones, and the corners of its list.

Usual: each entry a fixed part of the one before, minor ingredients small, those of a tail under its
cap. Corners: the first entries weigh the same, the rest nothing. Printed percentages are kept.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence, Set
from functools import cached_property
from itertools import pairwise
from typing import TypeAlias

from panellint.ingredients.model import Ingredient
from panellint.shares.explain import percent_limits
from panellint.shares.model import Base, Condition
from panellint.shares.tree import Tree

#: Shares by leaf, as parts of the mix.
Recipe: TypeAlias = Mapping[int, float]

#: What each entry is of the one before, in the recipes that are tried.
RATIOS = (0.7, 0.5, 0.85, 0.6, 0.95)
#: Kinds that are minor ingredients, and what is taken of the first of them, as a part of the mix.
MINOR_KINDS = frozenset({"mineral", "vitamin", "amino-acid", "antioxidant", "preservative"})
MINOR = 0.01
SLACK = 1e-9
#: The bases of which a recipe is tried.
_WEIGHED = (Base.MIX, Base.MIX_WITHOUT_WATER, Base.LISTED)


class _Asked:
    """One condition as it is asked of a recipe: factors by leaf, and the part of the whole, or of
    what is left without water, that their sum is to reach (or to stay under)."""

    __slots__ = ("at_most", "dry", "factors", "part")

    def __init__(self, condition: Condition, tree: Tree) -> None:
        scale, terms = tree.scaled_weights(condition.weights)
        self.factors = [(leaf, number / scale) for leaf, number in terms.items()]
        self.part = float(condition.needs) / 100
        self.dry = condition.base is Base.MIX_WITHOUT_WATER
        self.at_most = condition.at_most

    def is_met(self, shares: Mapping[int, float], water: Iterable[int]) -> bool:
        """Whether a recipe keeps it, by more than a hair."""
        total = sum(factor * shares[leaf] for leaf, factor in self.factors)
        whole = 1.0 - sum(shares[leaf] for leaf in water) if self.dry else 1.0
        needs = self.part * whole
        return total <= needs - SLACK if self.at_most else total >= needs + SLACK


class Recipes:
    """The recipes that are tried of one declaration, each worked out once.

    The list is taken to go by weight as mixed; where it may go by another, such a recipe fits too.
    """

    def __init__(self, tree: Tree) -> None:
        self.tree = tree
        self._top = tree.declaration.ingredients
        self._tail = [place for place, e in enumerate(self._top) if e.at_most is not None]
        #: The places of what stands in no order and may be nothing.
        self._loose = [p for p, e in enumerate(self._top) if e.any_of and e.at_most is None]
        self._made: dict[tuple[float, ...], Recipe] = {}

    def keeping(self, alternatives: Sequence[Sequence[Condition]]) -> Iterator[Recipe]:
        """The recipes that keep one of the alternatives."""
        asked = [
            [_Asked(condition, self.tree) for condition in conditions]
            for conditions in alternatives
            if all(condition.base in _WEIGHED for condition in conditions)
        ]
        if not asked or not self._is_simple:
            return
        water = self.tree.water
        named = {
            self.tree.place_of(leaf)
            for some in asked
            for asked_of in some
            for leaf, _ in asked_of.factors
        }
        tails = named.intersection(self._tail)
        for sizes in self._sizes(named - tails):
            shares = self._recipe(sizes, tails)
            if shares and any(
                all(asked_of.is_met(shares, water) for asked_of in some) for some in asked
            ):
                yield shares

    def is_kept(self, alternatives: Sequence[Sequence[Condition]]) -> bool:
        """Whether one of the alternatives is seen to be kept, whatever is guaranteed."""
        return any(True for _ in self.keeping(alternatives))

    def _printed(self, entry: Ingredient) -> tuple[float, float, bool] | None:
        """Between what an entry lies by its printed percentage, as parts of one, and whether it is
        one of the whole mix; None without."""
        percent = entry.percent
        base = percent and self.tree.base_of(entry.path, percent.of)
        if percent is None or base is None:
            return None
        low, high = percent_limits(percent)
        if low is high is None:
            return None
        return float(low or 0), float(1 if high is None else high), not base

    @cached_property
    def _is_simple(self) -> bool:
        """Whether recipes keep all that the list says: percentages are kept of its own entries and
        of those that a partial group of it names, where order lets them stand."""
        for path, entry in self.tree.entries.items():
            if entry.component or (entry.partial and len(path) > 1):
                return False
            printed, parent = self._printed(entry), self.tree.parent(path)
            if printed and not (parent.partial if parent else printed[2]):
                return False
        return all(low <= high for low, high in self._ends)

    def _sizes(self, named: Set[int]) -> Iterator[list[float]]:
        """Yields how large the top entries are to each other: each a part of the one before, minor
        ones small; or those down to water or one that is named (or before it) alike, and the rest
        nothing, with what stands in a tail or without."""
        count = len(self._top)
        for ratio in RATIOS:
            sizes, size = [], 1.0
            for place in range(count):
                if place == self._first_minor:
                    size = min(size, MINOR)
                sizes.append(size)
                size *= ratio
            yield sizes
        water = {self.tree.place_of(leaf) for leaf in self.tree.water}
        ends = {*named, *(place + 1 for place in named | water), count}
        for alike in sorted(ends - {0}):
            for size in (0.0, 1.0) if self._tail else (0.0,):
                sizes = [1.0] * alike + [0.0] * (count - alike)
                for place in self._tail:
                    sizes[place] = size
                yield sizes

    @cached_property
    def _first_minor(self) -> int:
        """The place of the first minor ingredient outside a tail; behind the last for none."""
        minor = (
            place
            for place, entry in enumerate(self._top)
            if entry.at_most is None and entry.match and entry.match.known.kind in MINOR_KINDS
        )
        return next(minor, len(self._top))

    @cached_property
    def _ends(self) -> list[tuple[float, float]]:
        """Between what each top entry lies, as parts of the mix, by what is printed for it and, of
        one that stands in order, for those before and behind it."""
        ends = []
        for entry in self._top:
            low, high, _ = self._printed(entry) or (0.0, 1.0, True)
            cap = 1.0 if entry.at_most is None else float(entry.at_most) / 100
            ends.append((max(low, sum(self._named_in(entry, 0.0))), min(cap, high)))
        loose = {*self._loose, *self._tail}
        ranked = [place for place in range(len(self._top)) if place not in loose]
        for before, after in pairwise(ranked):
            ends[after] = (ends[after][0], min(ends[after][1], ends[before][1]))
        for after, before in pairwise(reversed(ranked)):
            ends[before] = (max(ends[before][0], ends[after][0]), ends[before][1])
        return ends

    def _named_in(self, group: Ingredient, part: float) -> list[float]:
        """The shares of what a partial group of so large a part names: as printed, else nothing."""
        shares = []
        for member in group.members if group.partial else ():
            low, high, of_mix = self._printed(member) or (0.0, 0.0, True)
            named = low if high >= 1 else (low + high) / 2
            shares.append(named * (1 if of_mix else part))
        return shares

    def _recipe(self, sizes: Sequence[float], tails: Collection[int]) -> Recipe:
        """Shares by leaf, the same for the same sizes; none where they do not come to the whole.
        Of the tail those at the places `tails` reach their caps."""
        key = (*sizes, -1.0, *sorted(tails))
        if key not in self._made:
            self._made[key] = self._weighed(sizes, tails)
        return self._made[key]

    def _weighed(self, sizes: Sequence[float], tails: Collection[int]) -> Recipe:
        parts = {place: self._ends[place][0] for place in self._loose}
        for place in self._tail:
            low, high = self._ends[place]
            parts[place] = max(low, high * (1.0 if place in tails else 0.1) * (sizes[place] > 0))
        ranked = [place for place in range(len(self._top)) if place not in parts]
        rest = 1 - sum(parts.values())
        filled = _filled([sizes[p] for p in ranked], [self._ends[p] for p in ranked], rest)
        parts.update(zip(ranked, filled, strict=False))
        shares: dict[int, float] = {}
        if len(parts) == len(self._top):
            for place, entry in enumerate(self._top):
                self._spread(entry, parts[place], shares)
        return shares if min(shares.values(), default=0.0) >= 0 else {}

    def _spread(self, entry: Ingredient, part: float, into: dict[int, float]) -> None:
        inside = self._named_in(entry, part)
        if entry.partial or not entry.members:
            into[self.tree.under[entry.path][0]] = part - sum(inside)
        else:
            sizes = [RATIOS[0] ** place for place in range(len(entry.members))]
            inside = [part * size / sum(sizes) for size in sizes]
        for member, share in zip(entry.members, inside, strict=True):
            self._spread(member, share, into)


def _filled(
    sizes: Sequence[float], ends: Sequence[tuple[float, float]], whole: float
) -> list[float]:
    """Parts in the proportion of the sizes, as far as each one's ends let it, that come to a whole;
    none where they do not. Sizes and ends that fall leave parts that fall."""

    def at(scale: float) -> list[float]:
        return [
            min(max(scale * size, low), high) for size, (low, high) in zip(sizes, ends, strict=True)
        ]

    least, most = 0.0, whole / (sum(sizes) or 1.0)
    parts = at(most)
    if abs(sum(parts) - whole) <= SLACK:
        return parts
    most = 2 / min(filter(None, sizes), default=1.0)
    for _ in range(60):
        middle = (least + most) / 2
        least, most = (middle, most) if sum(at(middle)) < whole else (least, middle)
    parts = at(most)
    return parts if abs(sum(parts) - whole) <= SLACK else []
