"""One formula that fits a label and keeps a promise, where one is found without a solver.

Such a witness shows that nothing refutes the promise, so that the solver need not be asked.
Where none is found nothing is said. Candidates are recipes as they are usual (each entry a fixed
part of the one before, minor ingredients small, those of a tail under its cap) and the corners of
the list, where its first entries weigh the same and the rest nothing.

Whether a recipe can meet the guarantees is decided exactly. Each ingredient's parts lie in a box
and add up to its weight; such sets are base polytopes of generalized polymatroids, and so is
their sum, which meets a box [L, U] if and only if, for every set S of parts, L(S) is at most the
most of S, and U(S) at least the least of S (Frank and Tardos 1988, Mathematical Programming
42:489, Theorem on the intersection with a box).

What it saves: of 45 runs of the solver over the labels of `tests/benchmarks/lint.py` nine are left;
without `is_kept_alike` a quick lint takes 13 % longer.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import combinations, pairwise
from math import inf
from operator import mul
from typing import NamedTuple

from panellint.catalogue.model import ANYTHING, PARTS, Range
from panellint.core.errors import NotComputable
from panellint.core.units import convert
from panellint.ingredients.model import Ingredient
from panellint.label.model import Bound, Guarantee
from panellint.nutrition.nutrients import unit_of
from panellint.shares.explain import percent_limits
from panellint.shares.model import Base, Condition, Path
from panellint.shares.tree import Tree, is_water

#: What each entry is of the one before, in the recipes that are tried.
RATIOS = (0.7, 0.5, 0.85, 0.6, 0.95)
#: Kinds that are minor ingredients, and what is taken of the first of them, as a part of the mix.
MINOR_KINDS = frozenset({"mineral", "vitamin", "amino-acid", "antioxidant", "preservative"})
MINOR = 0.01
SLACK = 1e-9
#: The bases of which a recipe is tried.
_WEIGHED = (Base.MIX, Base.MIX_WITHOUT_WATER, Base.LISTED)
#: How much there can be of what nothing is known of.
ANY_AMOUNT = Range(0.0, inf)
#: A part that is nearly the whole, to begin with. These numbers choose what is tried; a recipe that
#: is found is checked exactly, so no answer rests on them.
NEARLY_ALL = 0.95


class PartRange(NamedTuple):
    """What the guarantees leave of each part, as parts of the finished food."""

    low: Mapping[str, float]
    high: Mapping[str, float]


def limits_of(guarantees: Iterable[Guarantee]) -> PartRange | None:
    """Guarantees of the six parts; None where one is on another basis or in another unit. No
    tolerance is allowed for, so that what fits here fits with any."""
    low: dict[str, float] = {}
    high: dict[str, float] = {}
    for guarantee in guarantees:
        if guarantee.nutrient not in PARTS:
            continue
        if guarantee.unit != "%" or guarantee.basis != "as fed":
            return None
        value = float(guarantee.value) / 100
        if guarantee.bound is not Bound.MAX:
            low[guarantee.nutrient] = max(low.get(guarantee.nutrient, 0.0), value)
        if guarantee.bound is not Bound.MIN:
            high[guarantee.nutrient] = min(high.get(guarantee.nutrient, 1.0), value)
    if any(low.get(part, 0.0) > most for part, most in high.items()):
        return None
    return PartRange(low, high)


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


def is_simple(entries: Collection[Ingredient]) -> bool:
    """True where order and the caps of a tail are all that a declaration says of its entries."""
    return bool(entries) and not any(
        entry.percent is not None or entry.any_of or entry.partial or entry.component
        for entry in entries
    )


def is_kept_alike(top: Sequence[Ingredient], conditions: Sequence[Condition]) -> bool:
    """Whether conditions are kept, in a simple declaration, where its first entries, down to the
    last that is named, weigh the same and the rest nothing. Of names inside groups nothing is
    said."""
    paths = {path for condition in conditions for path in condition.weights}
    if not paths or any(len(path) > 1 or top[path[0]].members for path in paths):
        return False
    size = max(paths)[0] + 1
    first = top[:size]
    if any(entry.at_most is not None for entry in first):
        return False
    flat = not any(entry.members for entry in first)
    dry = size - sum(map(is_water, first))
    for condition in conditions:
        if condition.base is not Base.MIX and not (
            flat and condition.base is Base.MIX_WITHOUT_WATER
        ):
            return False
        whole = size if condition.base is Base.MIX else dry
        value = sum(map(float, condition.weights.values())) / size
        needs = float(condition.needs) / 100 * whole / size
        if value > needs - SLACK if condition.at_most else value < needs + SLACK:
            return False
    return True


class Witnesses:
    """Looks for formulas that fit a declaration.

    `water` is net water lost in processing, in percent of the mix (negative: taken up). The list is
    taken to go by weight as mixed; where it may go by another, such a formula fits as well.
    """

    def __init__(self, tree: Tree, guarantees: Sequence[Guarantee], water: Range) -> None:
        self.tree = tree
        self._guarantees = guarantees
        self.water = (water.low / 100, min(water.high / 100, NEARLY_ALL))
        self._top = tree.declaration.ingredients
        #: For a set of parts, the most that it can be of each leaf.
        self._tops: dict[tuple[str, ...], list[float]] = {}
        self._boxes: dict[int, tuple[dict[str, float], dict[str, float]]] = {}
        self._held: dict[str, list[Range | None]] = {}

    @cached_property
    def limits(self) -> PartRange | None:
        """What the guarantees leave of each part; None where they do not say so simply."""
        return limits_of(self._guarantees)

    def keeps(self, alternatives: Sequence[Sequence[Condition]]) -> Mapping[Path, float] | None:
        """A formula (percent of the mix by leaf path) that keeps one of the alternatives."""
        shares = next(filter(self.fits, self._keeping(alternatives)), None)
        if shares is None:
            return None
        return {leaf.path: 100 * shares[leaf.index] for leaf in self.tree.leaves}

    def is_kept(self, alternatives: Sequence[Sequence[Condition]]) -> bool:
        """Whether `keeps` finds a formula."""
        return any(map(self.fits, self._keeping(alternatives)))

    def may_hold(self, part: str, of_dry: float) -> bool:
        """Whether a formula is found of which one of the six parts is at least so much of the dry
        matter (parts of one)."""
        if self.limits is None:
            return False
        low, high = self.limits
        # With so much moisture at least, the rest is dry matter at most.
        for full in (0.9, 0.6, 0.3, 0.0):
            moisture = max(low.get("moisture", 0.0), full * high.get("moisture", 0.0))
            least = max(low.get(part, 0.0), of_dry * (1 - moisture))
            limits = PartRange({**low, part: least, "moisture": moisture}, high)
            if least <= high.get(part, 1.0) and any(
                self.fits(shares, limits) for shares in self._keeping(((),))
            ):
                return True
        return False

    def _keeping(self, alternatives: Sequence[Sequence[Condition]]) -> Iterator[dict[int, float]]:
        """The recipes that keep one of the alternatives."""
        asked = [
            [_Asked(condition, self.tree) for condition in conditions]
            for conditions in alternatives
            if all(condition.base in _WEIGHED for condition in conditions)
        ]
        if not asked or self.limits is None or not self._is_simple:
            return
        water = self.tree.water
        named = {leaf for some in asked for asked_of in some for leaf, _ in asked_of.factors}
        for sizes in self._sizes({self.tree.place_of(leaf) for leaf in named}):
            shares = self._recipe(sizes, named)
            if shares and any(
                all(asked_of.is_met(shares, water) for asked_of in some) for some in asked
            ):
                yield shares

    def _printed(self, entry: Ingredient) -> tuple[float, float, bool] | None:
        """Between what an entry lies by its printed percentage, as parts of one, and whether it is
        one of the whole mix; None without."""
        percent = entry.percent
        base = percent and self.tree.base_of(entry.path, percent.of)
        if percent is None or base is None:
            return None
        low, high = percent_limits(percent)
        return float(low or 0), float(1 if high is None else high), not base

    @cached_property
    def _is_simple(self) -> bool:
        """Whether recipes keep all that the list says: percentages are kept of its own entries and
        of those that a partial group of it names, where order lets them stand."""
        for entry in self.tree.entries.values():
            printed, inside = self._printed(entry), len(entry.path) > 1
            parent = self.tree.parent(entry.path)
            if entry.component or (inside and entry.partial):
                return False
            if printed and not (parent.partial if parent else printed[2]):
                return False
        return all(low <= high for low, high in self._ends)

    def _sizes(self, named: Collection[int]) -> Iterator[list[float]]:
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
        tail = [place for place, entry in enumerate(self._top) if entry.at_most is not None]
        ends = {place for place in named if place not in tail}
        ends |= {self.tree.place_of(leaf) + 1 for leaf in self.tree.water}
        ends |= {place + 1 for place in ends} | {count}
        for alike in sorted(ends - {0}):
            for size in (0.0, 1.0) if tail else (0.0,):
                sizes = [1.0] * alike + [0.0] * (count - alike)
                for place in tail:
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
        ranked = [place for place, entry in enumerate(self._top) if _is_ranked(entry)]
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
            shares.append((low + high) / 2 * (1 if of_mix else part))
        return shares

    def _recipe(self, sizes: Sequence[float], named: Collection[int]) -> dict[int, float]:
        """Shares by leaf, as parts of the mix; none where they do not come to the whole."""
        parts: dict[int, float] = {}
        for place, (entry, (low, high)) in enumerate(zip(self._top, self._ends, strict=True)):
            if entry.any_of:
                parts[place] = low
            elif entry.at_most is not None:
                wanted = any(index in named for index in self.tree.under[entry.path])
                parts[place] = max(low, high * (1.0 if wanted else 0.1) if sizes[place] else 0.0)
        ranked = [place for place in range(len(self._top)) if place not in parts]
        rest = 1 - sum(parts.values())
        filled = _filled([sizes[p] for p in ranked], [self._ends[p] for p in ranked], rest)
        parts.update(zip(ranked, filled, strict=False))
        shares: dict[int, float] = {}
        if len(parts) == len(self._top):
            for place, entry in enumerate(self._top):
                self._spread(entry, parts[place], shares)
        return shares

    def _spread(self, entry: Ingredient, part: float, into: dict[int, float]) -> None:
        inside = self._named_in(entry, part)
        if entry.partial or not entry.members:
            into[self.tree.under[entry.path][0]] = part - sum(inside)
        else:
            sizes = [RATIOS[0] ** place for place in range(len(entry.members))]
            inside = [part * size / sum(sizes) for size in sizes]
        for member, share in zip(entry.members, inside, strict=True):
            self._spread(member, share, into)

    # ---- guarantees ----

    def fits(self, shares: Mapping[int, float], limits: PartRange | None = None) -> bool:
        """Whether the ingredients can be such, and so much water leave, that every guarantee is
        met. `shares` as parts of the mix by leaf; `limits` of the parts by default as
        guaranteed."""
        limits = limits or self.limits
        if limits is None or min(shares.values()) < 0 or abs(sum(shares.values()) - 1) > 1e-6:
            return False
        return all(self._holds(shares, guarantee) for guarantee in self._guarantees) and any(
            self._fits(shares, limits, lost) for lost in self._losses(shares, limits)
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

    def _fits(self, shares: Mapping[int, float], limits: PartRange, lost: float) -> bool:
        food = 1 - lost
        least = {part: value * food for part, value in limits.low.items()}
        most = {part: value * food for part, value in limits.high.items()}
        # What leaves is moisture, and no more of it than there is.
        least["moisture"] = least.get("moisture", 0.0) + lost
        if "moisture" in most:
            most["moisture"] += lost
        least = {part: value for part, value in least.items() if value > 0}
        return all(
            sum(least[part] for part in some) <= self._most(shares, some) + SLACK
            for some in _subsets(least)
        ) and all(
            sum(most[part] for part in some) >= self._least(shares, some) - SLACK
            for some in _subsets(most)
        )

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

    def _least(self, shares: Mapping[int, float], some: tuple[str, ...]) -> float:
        return sum(shares.values()) - self._most(shares, tuple(p for p in PARTS if p not in some))

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


def _is_ranked(entry: Ingredient) -> bool:
    return entry.at_most is None and not entry.any_of


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


#: Tells whether a formula was found that keeps one of the alternatives.
Finder = Callable[[Sequence[Sequence[Condition]]], bool]


def _subsets(parts: Iterable[str]) -> Iterator[tuple[str, ...]]:
    names = sorted(parts)
    for size in range(1, len(names) + 1):
        yield from combinations(names, size)
