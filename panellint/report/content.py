"""What is in the food: every entry with its share, animal and plant, fresh meat."""

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.catalogue.model import Range
from panellint.ingredients.model import Ingredient
from panellint.output.document import Proof
from panellint.report.blocks import percent, proof_of
from panellint.results.shares import LikelyRange, ShareData, Shares
from panellint.shares.model import Bounds, Path
from panellint.shares.tree import Leaf, is_water
from panellint.shares.unlisted import is_unlisted

#: Sides in the order in which they are said: title and the catalogue's origins.
_SIDES = (
    ("Of animals", ("animal",)),
    ("Of plants", ("plant",)),
    ("Minerals, vitamins and other additions", ("mineral", "microbial", "synthetic")),
    ("Not known", ("unknown", "")),
)
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


class Proven(NamedTuple):
    """What the label proves of a sum of shares, and why, None where no formula fits; and its likely
    range, where there is one."""

    bounds: Bounds | None = None
    likely: LikelyRange | None = None
    proofs: tuple[Proof, ...] = ()


class Content:
    """The declaration with its shares: `entries` in printed order, `sides` what comes of animals
    and plants, with the leaves of each, `fresh` meat and fish with the least and most of their dry
    matter and their range of water; `letters` mark kinds that stand apart in the list."""

    def __init__(self, context: LabelContext, shares: Shares) -> None:
        self.shares = shares
        self._formulas = context.formulas if shares["consistent"] else None
        likely = {tuple(row["path"]): row["likely"] for row in shares["ingredients"]}
        self.letters = {
            family["family"]: _LETTERS[at % len(_LETTERS)]
            for at, family in enumerate(shares["families"])
        }
        self.entries: list[tuple[Ingredient, Proven]] = [
            (entry, self._proven({entry.path: 1}, likely.get(entry.path)))
            for entry in context.declaration.walk()
        ]
        self.sides = list(self._sides())
        self.fresh = list(self._fresh())

    def number_of(self, entry: Ingredient) -> str:
        """Returns such as "2.1", the place of an entry in the list."""
        return ".".join(str(step + 1) for step in entry.path)

    def _proven(self, weights: Mapping[Path, int], likely: LikelyRange | None) -> Proven:
        if self._formulas is None:
            return Proven()
        bounds = self._formulas.bounds(weights)
        most = proof_of(f"Why at most {percent(bounds.high)} %", bounds.high_proof)
        least = proof_of(f"Why at least {percent(bounds.low)} %", bounds.low_proof)
        return Proven(bounds, likely, (*most, *least))

    def _sides(self) -> Iterator[tuple[str, Proven, list[Leaf]]]:
        every = self._formulas.tree.leaves if self._formulas else ()
        for title, origins in _SIDES:
            leaves = [leaf for leaf in every if _origin(leaf) in origins]
            weights: Counter[Path] = Counter()
            for leaf in leaves:
                weights.update(leaf.weights)
            weights = Counter({path: factor for path, factor in weights.items() if factor})
            if weights:
                yield title, self._proven(weights, self.shares["origins"].get(origins[0])), leaves

    def _fresh(self) -> Iterator[tuple[ShareData, tuple[float, float], Range | None]]:
        for row in self.shares["ingredients"]:
            if row["rank_without_water"] and self._formulas is not None:
                path = tuple(row["path"])
                leaf = next(leaf for leaf in self._formulas.tree.leaves if leaf.path == path)
                dry = self._formulas.dry_weight({path: 1})
                match = leaf.ingredient.match
                water = match.known.range_of("moisture") if match else None
                yield row, (max(0.0, dry.low), min(100.0, dry.high)), water


def _origin(leaf: Leaf) -> str | None:
    """Returns where a leaf comes from; None for water, which has no side."""
    if is_water(leaf.ingredient):
        return None
    match = leaf.ingredient.match
    return "mineral" if is_unlisted(leaf.ingredient) else match.known.origin if match else ""
