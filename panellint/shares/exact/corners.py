"""The corners of a descending list: "the first k weigh the same, the rest nothing"."""

from collections.abc import Mapping
from fractions import Fraction
from functools import cached_property
from itertools import accumulate

from panellint.shares.tree import Tree


class Corners:
    """The corners of the outer list of a declaration.

    Every formula is a mixture of them, however each entry is made up inside, so that a sum over
    leaves is nowhere more than at the corner where it is most. `ordered` is False where the
    order is not to be used.
    """

    def __init__(self, tree: Tree, *, ordered: bool) -> None:
        self.tree = tree
        self._in_order = ordered

    @cached_property
    def _places(self) -> tuple[list[int], list[int]]:
        """The places of the top entries that stand in order, and of those that do not."""
        ordered: list[int] = []
        if self._in_order:
            ordered = [entry.path[0] for entry in self.tree.chains[0].entries]
        every = range(len(self.tree.declaration.ingredients))
        inside = set(ordered)
        return ordered, [place for place in every if place not in inside]

    def _totals(self, terms: Mapping[int, int], up: bool) -> tuple[list[int], list[int]]:
        """The most (or least) of a sum over leaves: of the first k entries in order for each k,
        and of each entry that stands in none."""
        pick = max if up else min
        best = [0] * len(self.tree.declaration.ingredients)
        seen: dict[int, int] = {}
        for leaf, number in terms.items():
            place = self.tree.place_of(leaf)
            best[place] = pick(best[place], number) if place in seen else number
            seen[place] = seen.get(place, 0) + 1
        for place, count in seen.items():
            if count < len(self.tree.under[(place,)]):
                best[place] = pick(best[place], 0)
        ordered, loose = self._places
        return list(accumulate(best[place] for place in ordered)), [best[place] for place in loose]

    def values(self, scale: int, terms: Mapping[int, int], up: bool) -> list[Fraction]:
        """The most (or least) of a sum over leaves at every corner, per unit of the mix. `terms`
        are whole numbers over `scale`."""
        running, single = self._totals(terms, up)
        return [
            *(Fraction(total, scale * k) for k, total in enumerate(running, start=1)),
            *(Fraction(number, scale) for number in single),
        ]

    def most(self, terms: Mapping[int, int]) -> tuple[int, int]:
        """The most of a sum over leaves at any corner, as a total and how many entries share
        it: total / entries per unit of the mix."""
        running, single = self._totals(terms, True)
        total, size = max(single, default=None), 1
        for k, other in enumerate(running, start=1):
            if total is None or other * size > total * k:
                total, size = other, k
        if total is None:
            raise ValueError("a declaration without entries has no corners")
        return total, size

    def ratio(
        self, scale: int, terms: Mapping[int, int], base: Mapping[int, int], up: bool
    ) -> Fraction | None:
        """The most (least) of a ratio over the corners; None where it has no bound. `terms` are
        whole numbers over `scale`, those of `base` over 1."""
        signed = terms if up else {leaf: -number for leaf, number in terms.items()}
        # Sum and base are of the same entries, so their number cancels out.
        thick, thin = self._sums(base, True), self._sums(base, False)
        best: tuple[int, int] | None = None
        for place, top in enumerate(self._sums(signed, True)):
            bottom = thin[place] if top > 0 else thick[place]
            if bottom == 0:
                if top > 0:
                    return None
            elif best is None or top * best[1] > best[0] * bottom:
                best = top, bottom
        if best is None:
            return None
        return Fraction(best[0] if up else -best[0], scale * best[1])

    def _sums(self, terms: Mapping[int, int], up: bool) -> list[int]:
        running, single = self._totals(terms, up)
        return running + single
