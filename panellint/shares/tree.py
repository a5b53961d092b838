"""The declaration as weights: which entries weigh something, and which stand in order."""

from collections.abc import Iterator
from fractions import Fraction
from functools import cached_property
from itertools import pairwise
from math import lcm
from typing import NamedTuple

from panellint.ingredients.model import Declaration, Ingredient
from panellint.label.model import PercentOf
from panellint.shares.model import Base, Path, Weights
from panellint.shares.premises import Premise, Reading

#: The kind in `rules/ingredients/kinds.yaml` that is left out "without processing water".
WATER_KIND = "water"
#: With how many entries before it each is compared where a list can be read in two ways: of a list
#: that is longer than any label's, not with all, which proves less.
REACH = 60


def is_water(entry: Ingredient) -> bool:
    """True for what is named as water."""
    return entry.match is not None and entry.match.known.kind == WATER_KIND


class Leaf:
    """An entry with a weight of its own.

    `rest` is True for a partial group: the leaf is what its named members leave of it.
    """

    __slots__ = ("index", "ingredient", "path", "rest")

    def __init__(self, index: int, ingredient: Ingredient) -> None:
        self.index = index
        self.ingredient = ingredient
        self.path: Path = ingredient.path
        self.rest = bool(ingredient.members)

    @property
    def name(self) -> str:
        """As printed; "rest of ..." for what a partial group does not name."""
        name = self.ingredient.name
        return f"rest of {name}" if self.rest else name

    @property
    def weights(self) -> dict[Path, int]:
        """Its own weight; of a partial group, what its named members leave of it."""
        members = self.ingredient.members if self.rest else ()
        return {self.path: 1, **{member.path: -1 for member in members}}


class Chain(NamedTuple):
    """Entries that stand in descending order of weight, and what says so."""

    premise: Premise
    entries: tuple[Ingredient, ...]
    parent: Ingredient | None = None


class Beside(NamedTuple):
    """`before` weighs at least as much as each of `after`, though one of them is (in) a group
    whose place may be that of its total weight or that of its heaviest member. `place` counts
    the single entries that weigh at least as much, `after` included."""

    before: Ingredient
    after: tuple[Ingredient, ...]
    place: int


class Tree:
    """A declaration with its leaves numbered in printed order.

    `groups_ranked`: a full group takes its place from the weight of all its members.
    `groups_ordered`: the members of a full group stand in descending order.
    `groups_beside`: a full group without such a place still stands between its neighbours.
    `reading`: what weight the order goes by. `as_listed`: shares are of the weights that the list
    counts, whatever these are, and not of the mix.
    """

    def __init__(
        self,
        declaration: Declaration,
        *,
        groups_ranked: bool = True,
        groups_ordered: bool = True,
        groups_beside: bool = False,
        reading: Reading = Reading.MIXED,
        as_listed: bool = False,
    ) -> None:
        self.declaration = declaration
        self.reading = reading
        self.as_listed = as_listed
        self.whole = f"the {Base.LISTED if as_listed else Base.MIX}"
        self.groups_beside = groups_beside and not groups_ranked
        self.groups_ranked = groups_ranked
        self.groups_ordered = groups_ordered
        self.entries: dict[Path, Ingredient] = {}
        self.under: dict[Path, range] = {}
        self._leaves: list[Ingredient] = []
        entries, under, leaves = self.entries, self.under, self._leaves
        for entry in declaration.walk():
            path = entry.path
            entries[path] = entry
            number = len(leaves)
            if entry.members and not entry.partial:
                under[path] = range(number, number)
                continue
            under[path] = range(number, number + 1)
            leaves.append(entry)
            # What an entry holds follows it at once.
            for depth in range(1, len(path)):
                under[path[:depth]] = range(under[path[:depth]].start, number + 1)

    @property
    def size(self) -> int:
        """How many leaves there are."""
        return len(self._leaves)

    def place_of(self, leaf: int) -> int:
        """The place of the top entry that a leaf stands in."""
        return self._leaves[leaf].path[0]

    @cached_property
    def leaves(self) -> tuple[Leaf, ...]:
        """The entries with a weight of their own, in printed order."""
        return tuple(Leaf(index, entry) for index, entry in enumerate(self._leaves))

    @cached_property
    def water(self) -> frozenset[int]:
        """The leaves that are water added in processing."""
        return frozenset(
            index
            for index, entry in enumerate(self._leaves)
            if is_water(entry) and not entry.members
        )

    def leaf_weights(self, weights: Weights) -> dict[int, Fraction]:
        """Factors by leaf. A group counts with all that is in it.

        Raises KeyError for a path that the declaration does not have.
        """
        scale, sums = self.scaled_weights(weights)
        return {index: Fraction(number, scale) for index, number in sums.items()}

    def scaled_weights(self, weights: Weights) -> tuple[int, dict[int, int]]:
        """Factors by leaf as whole numbers over one denominator, which comes first; else as
        `leaf_weights`."""
        factors = [
            weight if isinstance(weight, int) else Fraction(weight) for weight in weights.values()
        ]
        scale = lcm(*(fraction.denominator for fraction in factors))
        sums: dict[int, int] = {}
        for path, factor in zip(weights, factors, strict=True):
            if path not in self.under:
                raise KeyError(f"no ingredient at {path}")
            number = factor.numerator * (scale // factor.denominator)
            for index in self.under[path]:
                sums[index] = sums.get(index, 0) + number
        return scale, {index: number for index, number in sums.items() if number}

    @cached_property
    def chains(self) -> tuple[Chain, ...]:
        """Every run of entries that stands in descending order.

        Outside any order stand: entries of a "2 % or less" tail, "and/or" entries, and
        components with a heading of their own. A partial group orders none of its members.
        """
        return tuple(self._each_chain())

    def _each_chain(self) -> Iterator[Chain]:
        yield Chain(Premise.ORDER, self._ordered(self.declaration.ingredients))
        for entry in self.entries.values():
            if entry.members and not entry.partial and not entry.any_of:
                if entry.component:
                    yield Chain(Premise.ORDER, self._ordered(entry.members), entry)
                elif self.groups_ordered:
                    yield Chain(Premise.GROUPS, self._ordered(entry.members), entry)

    def compared(self, chain: Chain) -> Iterator[tuple[Ingredient, Ingredient]]:
        """Every two entries of a chain of which the first weighs no less, as far as needed.

        Neighbours are enough where all go by one weight; where each may go by another, what holds
        of neighbours does not pass on.
        """
        if self.reading is not Reading.EITHER:
            yield from pairwise(chain.entries)
            return
        for place, after in enumerate(chain.entries):
            for before in chain.entries[max(place - REACH, 0) : place]:
                yield before, after

    def beside(self) -> Iterator[Beside]:
        """What order says of groups that have no sure place of their own.

        Where a text does not say what gives a group its place, a maker may have taken the
        weight of the whole or that of its heaviest member. Either way nothing in the group
        weighs more than an entry before it, and the whole group no less than what follows.
        """
        if not self.groups_beside:
            return
        lists = [self.declaration.ingredients]
        lists += [e.members for e in self.entries.values() if e.component and not e.partial]
        for entries in lists:
            yield from self._beside_in(entries)

    def _beside_in(self, entries: tuple[Ingredient, ...]) -> Iterator[Beside]:
        single: Ingredient | None = None
        group: Ingredient | None = None
        place = 1
        every: list[Ingredient] = []
        for entry in entries:
            if entry.at_most is not None or entry.any_of or entry.component:
                continue
            if self.reading is Reading.EITHER:
                after = (entry,) if entry.is_leaf else self._inside(entry)
                for before in every[-REACH:]:
                    if not (before.is_leaf and entry.is_leaf):
                        yield Beside(before, after, 1)
                every.append(entry)
                continue
            if entry.is_leaf:
                if group is not None:
                    yield Beside(group, (entry,), 1)
                single, group = entry, None
                place += 1
                continue
            inside = self._inside(entry)
            if group is not None and inside:
                yield Beside(group, inside, 1)
            if single is not None and inside:
                yield Beside(single, inside, place)
            group = entry

    def _inside(self, group: Ingredient) -> tuple[Ingredient, ...]:
        """The single entries of a full group, however deep."""
        leaves = [self._leaves[index] for index in self.under[group.path]]
        return tuple([leaf for leaf in leaves if leaf.at_most is None])

    def ranks_by_group(self, chain: Chain, *entries: Ingredient) -> Premise | None:
        """`groups`, where the place of a full group in the outer order is made use of."""
        if chain.premise is Premise.ORDER and not all(entry.is_leaf for entry in entries):
            return Premise.GROUPS
        return None

    def _ordered(self, entries: tuple[Ingredient, ...]) -> tuple[Ingredient, ...]:
        ordered = [
            entry
            for entry in entries
            if entry.at_most is None
            and not entry.any_of
            and not entry.component
            and (self.groups_ranked or not entry.members or entry.partial)
        ]
        return tuple(ordered)

    def base_of(self, path: Path, of: PercentOf) -> Path | None:
        """What a percentage of an entry counts in, () being all; None where that is not certain."""
        if of is PercentOf.FOOD:
            return ()
        around = None
        if of is PercentOf.PARENT:
            around = self.parent(path)
        elif of is PercentOf.COMPONENT:
            around = self.component(path)
        return around.path if around else None

    def name_of(self, path: Path) -> str:
        """The entry as printed; for () what the shares are parts of."""
        return self.entries[path].name if path else self.whole

    def parent(self, path: Path) -> Ingredient | None:
        """The group an entry stands in, or None at the top."""
        return self.entries.get(path[:-1]) if len(path) > 1 else None

    def component(self, path: Path) -> Ingredient | None:
        """The nearest component around an entry, or None."""
        for depth in range(len(path) - 1, 0, -1):
            entry = self.entries[path[:depth]]
            if entry.component:
                return entry
        return None

    @cached_property
    def may_be_all_first(self) -> bool:
        """True where a food may be all of its first entry and nothing else, so that nothing in
        the declaration contradicts it: no percentage is printed and that entry has no cap."""
        if not self.entries or any(entry.percent is not None for entry in self.entries.values()):
            return False
        first = self.declaration.ingredients[0]
        while first.at_most is None and not first.any_of:
            if first.is_leaf:
                return True
            first = first.members[0]
        return False

    @cached_property
    def is_plain(self) -> bool:
        """True for a list that order alone describes: no groups, tails, percentages, any-of."""
        return all(
            not entry.members
            and entry.at_most is None
            and not entry.any_of
            and not entry.component
            and entry.percent is None
            for entry in self.declaration.ingredients
        )
