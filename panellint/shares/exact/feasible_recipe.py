"""One formula that fits a label and keeps a promise, where one is found without a solver.

Such a witness shows that nothing refutes the promise, so that the solver need not be asked.
Where none is found nothing is said.

Whether a recipe can meet the guarantees is decided exactly. Each ingredient's parts lie in a box
and add up to its weight; such sets are base polytopes of generalized polymatroids, and so is
their sum, which meets a box [L, U] if and only if, for every set S of parts, L(S) is at most the
most of S, and U(S) at least the least of S (Frank and Tardos 1988, Mathematical Programming
42:489, Theorem on the intersection with a box).

What it saves: of 45 runs of the solver over the labels of `tests/benchmarks/lint.py` nine are left.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache, cached_property, partial
from itertools import combinations, product
from math import inf
from operator import mul
from typing import NamedTuple

from panellint.catalogue.model import ANYTHING, PARTS, Range
from panellint.core.errors import NotComputable
from panellint.core.units import convert
from panellint.label.model import Bound, Guarantee
from panellint.nutrition.bases import unit_of
from panellint.shares.exact.recipes import SLACK, Recipe, Recipes
from panellint.shares.model import Condition
from panellint.shares.tree import Tree

#: How much there can be of what nothing is known of, and how much is sure to be.
ANY_AMOUNT, NONE = Range(0.0, inf), Range(0.0, 0.0)
#: A part that is nearly the whole, to begin with. These numbers choose what is tried; a recipe that
#: is found is checked exactly, so no answer rests on them.
NEARLY_ALL = 0.95


class PartRange(NamedTuple):
    """What the guarantees leave of each part, as parts of the finished food."""

    low: Mapping[str, float]
    high: Mapping[str, float]


class Witnesses:
    """Looks for formulas that fit a declaration.

    `water` is net water lost in processing, in percent of the mix (negative: taken up). The list is
    taken to go by weight as mixed; where it may go by another, such a formula fits as well.
    """

    def __init__(self, tree: Tree, guarantees: Sequence[Guarantee], water: Range) -> None:
        self.tree = tree
        self._guarantees = guarantees
        self.water = (water.low / 100, min(water.high / 100, NEARLY_ALL))
        self._recipes = Recipes(tree)
        #: Whether recipes that were tried fit what is guaranteed, by their identity.
        self._fitting: dict[int, bool] = {}
        #: For a set of parts, the most that it can be of each leaf.
        self._tops: dict[tuple[str, ...], list[float]] = {}
        self._boxes: dict[int, tuple[dict[str, float], dict[str, float]]] = {}
        self._held: dict[str, list[Range | None]] = {}

    @cached_property
    def limits(self) -> PartRange | None:
        """What the guarantees leave of each part; None where one is on another basis or in another
        unit. No tolerance is allowed for, so that what fits here fits with any."""
        low: dict[str, float] = {}
        high: dict[str, float] = {}
        for guarantee in self._guarantees:
            part = guarantee.nutrient
            if part not in PARTS:
                continue
            if guarantee.unit != "%" or guarantee.basis != "as fed":
                return None
            value = float(guarantee.value) / 100
            if guarantee.bound is not Bound.MAX:
                low[part] = max(low.get(part, 0.0), value)
            if guarantee.bound is not Bound.MIN:
                high[part] = min(high.get(part, 1.0), value)
        if any(low.get(part, 0.0) > most for part, most in high.items()):
            return None
        return PartRange(low, high)

    def is_kept(self, alternatives: Sequence[Sequence[Condition]]) -> bool:
        """Whether a formula is found that keeps one of the alternatives."""
        return any(map(self._is_fit, self._recipes.keeping(alternatives)))

    def _is_fit(self, shares: Recipe) -> bool:
        """Whether a recipe that is kept fits, worked out once."""
        if id(shares) not in self._fitting:
            self._fitting[id(shares)] = self.fits(shares)
        return self._fitting[id(shares)]

    def may_hold(self, nutrient: str, of_dry: float) -> bool:
        """Whether a formula is found of whose dry matter so much may be a nutrient, in its own unit
        (percent for the six parts)."""
        every = self._recipes.keeping(((),))
        if nutrient not in PARTS:
            # Even as mixed, water and all.
            contents = [content or NONE for content in self._contents(nutrient)]
            return any(
                sum(share * contents[leaf].high for leaf, share in recipe.items()) >= of_dry
                for recipe in filter(self._is_fit, every)
            )
        if self.limits is None:
            return False
        low, high = self.limits
        for recipe, full in product(every, (0.9, 0.6, 0.3, 0.0)):
            # With so much moisture at least, the rest is dry matter at most.
            wet = max(low.get("moisture", 0.0), full * high.get("moisture", 0.0))
            least = max(low.get(nutrient, 0.0), of_dry / 100 * (1 - wet))
            limits = PartRange({**low, nutrient: least, "moisture": wet}, high)
            if least <= high.get(nutrient, 1.0) and self.fits(recipe, limits):
                return True
        return False

    def fits(self, shares: Mapping[int, float], limits: PartRange | None = None) -> bool:
        """Whether the ingredients can be such, and so much water leave, that every guarantee is
        met. `shares` as parts of the mix by leaf; `limits` of the parts by default as
        guaranteed."""
        limits = limits or self.limits
        if limits is None or abs(sum(shares.values()) - 1) > 1e-6:
            return False
        most_of = cache(partial(self._most, shares))
        return all(self._holds(shares, guarantee) for guarantee in self._guarantees) and any(
            _fit(most_of, limits, lost) for lost in self._losses(shares, limits)
        )

    def _holds(self, shares: Mapping[int, float], guarantee: Guarantee) -> bool:
        """Whether a recipe can hold what a guarantee of another nutrient says, however much water
        leaves; an ingredient of which nothing is known can hold any of it."""
        if guarantee.nutrient is None or guarantee.nutrient in PARTS:
            return True
        contents = self._contents(guarantee.nutrient)
        if not any(contents):
            return True
        if guarantee.basis != "as fed":
            return False
        try:
            value = convert(float(guarantee.value), guarantee.unit, unit_of(guarantee.nutrient))
        except NotComputable:
            return False
        low, high = self.water
        held = [(share, contents[leaf] or ANY_AMOUNT) for leaf, share in shares.items() if share]
        least, most = (sum(share * range[end] for share, range in held) for end in (0, 1))
        enough = guarantee.bound is Bound.MAX or most >= value * (1 - low)
        return enough and (guarantee.bound is Bound.MIN or least <= value * (1 - high))

    def _contents(self, nutrient: str) -> list[Range | None]:
        if nutrient not in self._held:
            matches = (leaf.ingredient.match for leaf in self.tree.leaves)
            self._held[nutrient] = [match and match.known.range_of(nutrient) for match in matches]
        return self._held[nutrient]

    def _losses(self, shares: Mapping[int, float], limits: PartRange) -> Iterator[float]:
        """Amounts of water lost that are worth a try: those that bring middling moisture to a
        little under its guarantee, and the ends of the range."""
        low, high = self.water
        ceiling = limits.high.get("moisture", limits.low.get("moisture", 0.7))
        held = sum(
            share * (box[0]["moisture"] + box[1]["moisture"]) / 2
            for index, share in shares.items()
            if (box := self._box(index))
        )
        for aim in (0.97 * ceiling, ceiling, 0.8 * ceiling):
            if aim < 1:
                yield min(max((held - aim) / (1 - aim), low), high)
        yield from (max(low, min(0.0, high)), low, high)

    def _most(self, shares: Mapping[int, float], some: tuple[str, ...]) -> float:
        """The most that a set of parts can be together."""
        if some not in self._tops:
            others = [part for part in PARTS if part not in some]
            boxes = (self._box(leaf.index) for leaf in self.tree.leaves)
            self._tops[some] = [
                min(sum(high[p] for p in some), 1 - sum(low[p] for p in others))
                for low, high in boxes
            ]
        amounts = (shares[leaf.index] for leaf in self.tree.leaves)
        return float(sum(map(mul, self._tops[some], amounts)))

    def _box(self, index: int) -> tuple[dict[str, float], dict[str, float]]:
        """Least and most of each part of a leaf, as parts of its weight; all of it where its
        ranges contradict one another."""
        if index not in self._boxes:
            match = self.tree.leaves[index].ingredient.match
            ranges = {p: (match and match.known.range_of(p)) or ANYTHING for p in PARTS}
            low = {p: max(r.low, 0.0) / 100 for p, r in ranges.items()}
            high = {p: min(r.high, 100.0) / 100 for p, r in ranges.items()}
            if sum(low.values()) > 1 or sum(high.values()) < 1:
                low, high = dict.fromkeys(PARTS, 0.0), dict.fromkeys(PARTS, 1.0)
            self._boxes[index] = (low, high)
        return self._boxes[index]


#: Tells whether a formula was found that keeps one of the alternatives.
Finder = Callable[[Sequence[Sequence[Condition]]], bool]


def _fit(most_of: Callable[[tuple[str, ...]], float], limits: PartRange, lost: float) -> bool:
    """Whether parts, of which sets can be so much together, keep to limits of the food when so
    much water leaves."""
    food = 1 - lost
    least = {part: value * food for part, value in limits.low.items()}
    most = {part: value * food for part, value in limits.high.items()}
    # What leaves is moisture, and no more of it than there is.
    least["moisture"] = least.get("moisture", 0.0) + lost
    if "moisture" in most:
        most["moisture"] += lost
    least = {part: value for part, value in least.items() if value > 0}
    return all(
        sum([least[part] for part in some]) <= most_of(some) + SLACK for some in _subsets(least)
    ) and all(
        sum([most[part] for part in some])
        >= 1 - most_of(tuple([part for part in PARTS if part not in some])) - SLACK
        for some in _subsets(most)
    )


def _subsets(parts: Iterable[str]) -> Iterator[tuple[str, ...]]:
    names = sorted(parts)
    for size in range(1, len(names) + 1):
        yield from combinations(names, size)
