"""What is in the food: every entry with its share, animal and plant, fresh meat."""

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.catalogue.model import Range
from panellint.ingredients.model import Ingredient
from panellint.output.document import Proof
from panellint.report.blocks import percent, proof_of, range_words
from panellint.results.shares import ShareData, Shares
from panellint.shares.model import Bounds, Path
from panellint.shares.premises import Premise
from panellint.shares.solver.formula_set import Formulas
from panellint.shares.tree import Leaf, is_water
from panellint.shares.unlisted import is_unlisted

#: Sides in the order in which they are said: title and the catalogue's origins.
_SIDES = (
    ("Of animals", ("animal",)),
    ("Of plants", ("plant",)),
    ("Minerals, vitamins and other additions", ("mineral", "microbial", "synthetic")),
    ("Not known", ("unknown", "")),
)
_NARROWER = 0.5
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


class Proven(NamedTuple):
    """What the label proves of a sum of shares, and why, None where no formula fits; and its range
    by custom, where that adds to it."""

    bounds: Bounds | None = None
    usual: tuple[float, float] | None = None
    proofs: tuple[Proof, ...] = ()

    @property
    def by_custom(self) -> tuple[str, ...]:
        """Returns the range by custom in words; none where it adds nothing."""
        return (f"by custom {range_words(*self.usual)}",) if self.usual else ()


class Content:
    """The declaration with its shares: `entries` in printed order, `sides` what comes of animals
    and plants, with the leaves of each, `fresh` meat and fish with the least and most of their dry
    matter and their range of water; `letters` mark kinds that stand apart in the list."""

    def __init__(self, context: LabelContext, shares: Shares) -> None:
        self.shares = shares
        self._formulas = context.formulas if shares["consistent"] else None
        self._usual = _usual(context, self._formulas)
        self.estimates = {tuple(row["path"]): row["estimate"] for row in shares["ingredients"]}
        self.letters = {
            family["family"]: _LETTERS[at % len(_LETTERS)]
            for at, family in enumerate(shares["families"])
        }
        self.entries: list[tuple[Ingredient, Proven]] = [
            (entry, self._proven({entry.path: 1})) for entry in context.declaration.walk()
        ]
        self.sides = list(self._sides())
        self.fresh = list(self._fresh())

    def number_of(self, entry: Ingredient) -> str:
        """Returns such as "2.1", the place of an entry in the list."""
        return ".".join(str(step + 1) for step in entry.path)

    def _proven(self, weights: Mapping[Path, int]) -> Proven:
        if self._formulas is None:
            return Proven()
        bounds = self._formulas.bounds(weights)
        usual = _custom(bounds, self._usual.bounds(weights) if self._usual else None)
        most = proof_of(f"Why at most {percent(bounds.high)} %", bounds.high_proof)
        least = proof_of(f"Why at least {percent(bounds.low)} %", bounds.low_proof)
        return Proven(bounds, usual, (*most, *least))

    def _sides(self) -> Iterator[tuple[str, Proven, list[Leaf]]]:
        every = self._formulas.tree.leaves if self._formulas else ()
        for title, origins in _SIDES:
            leaves = [leaf for leaf in every if _origin(leaf) in origins]
            weights: Counter[Path] = Counter()
            for leaf in leaves:
                weights.update(leaf.weights)
            weights = Counter({path: factor for path, factor in weights.items() if factor})
            if weights:
                yield title, self._proven(weights), leaves

    def _fresh(self) -> Iterator[tuple[ShareData, tuple[float, float], Range | None]]:
        for row in self.shares["ingredients"]:
            if row["rank_without_water"] and self._formulas is not None:
                path = tuple(row["path"])
                leaf = next(leaf for leaf in self._formulas.tree.leaves if leaf.path == path)
                dry = self._formulas.dry_weight({path: 1})
                match = leaf.ingredient.match
                water = match.known.range_of("moisture") if match else None
                yield row, (max(0.0, dry.low), min(100.0, dry.high)), water


def _usual(context: LabelContext, formulas: Formulas | None) -> Formulas | None:
    """Returns the formulas that also keep to the custom of the trade; None without any."""
    if formulas is None:
        return None
    names = [str(premise) for premise in (*formulas.premises, Premise.PRACTICE)]
    usual = context.formulas_under(tuple(names))
    return usual if usual.consistent else None


def _custom(bounds: Bounds, usual: Bounds | None) -> tuple[float, float] | None:
    """Returns the customary range where it adds to what the label proves."""
    if usual is None or not usual.sure:
        return None
    low, high = max(bounds.low, usual.low), min(bounds.high, usual.high)
    if low > high or (low - bounds.low) + (bounds.high - high) < _NARROWER:
        return None
    return low, high


def _origin(leaf: Leaf) -> str | None:
    """Returns where a leaf comes from; None for water, which has no side."""
    if is_water(leaf.ingredient):
        return None
    match = leaf.ingredient.match
    return "mineral" if is_unlisted(leaf.ingredient) else match.known.origin if match else ""
