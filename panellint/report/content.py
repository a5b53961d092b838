"""What is in the food: every entry with its share, animal and plant, families, fresh meat."""

from collections import Counter
from collections.abc import Iterator

from panellint.analysis.context import LabelContext
from panellint.catalogue.model import CatalogueEntry
from panellint.core.numbers import number
from panellint.core.phrases import capital
from panellint.ingredients.model import Ingredient
from panellint.label.model import Bound
from panellint.output.document import Printed, Proof, RangeRow, joined
from panellint.report.blocks import estimate_words, percent, proof_of, range_words
from panellint.results.shares import FamilyData, RankData, ShareData, Shares
from panellint.shares.model import Bounds, Path
from panellint.shares.premises import Premise
from panellint.shares.solver.formula_set import Formulas
from panellint.shares.tree import Leaf, is_water
from panellint.shares.unlisted import is_unlisted

#: Sides in the order in which they are said: title and the catalogue's origins.
_SIDES = (
    ("of animals", ("animal",)),
    ("of plants", ("plant",)),
    ("minerals, vitamins and other additions", ("mineral", "microbial", "synthetic")),
    ("not known", ("unknown", "")),
)
_BOUNDS = {Bound.MIN: "at least ", Bound.MAX: "at most ", Bound.ABOUT: "about "}
_OF = {"parent": " of that entry", "component": " of its part", "rehydrated": " once rehydrated"}
_NARROWER = 0.5
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


class Content:
    """The declaration with its shares: `rows` are its entries in printed order, `sides` what comes
    of animals and plants, `families` kinds that stand apart in the list, `fresh` meat and fish with
    and without water; `clash` are the lines of the label that cannot all be true."""

    def __init__(self, context: LabelContext, shares: Shares) -> None:
        self._context, self._shares = context, shares
        self.clash = tuple(line["words"] for line in shares["clash"])
        self._formulas = context.formulas if shares["consistent"] else None
        self._usual = _usual(context, self._formulas)
        self._estimates = {tuple(row["path"]): row["estimate"] for row in shares["ingredients"]}
        self._letters = {
            family["family"]: _LETTERS[at % len(_LETTERS)]
            for at, family in enumerate(shares["families"])
        }
        self.rows = tuple(map(self._row, context.declaration.walk()))
        self.sides = tuple(self._sides())
        self.families = tuple(map(self._family, shares["families"]))
        self.fresh = tuple(self._fresh())
        self.notes = shares["notes"]

    def _row(self, entry: Ingredient) -> RangeRow:
        known = entry.match.known if entry.match else None
        bounds, usual = self._bounds({entry.path: 1})
        estimate = None if entry.members else self._estimates.get(entry.path)
        language = self._context.language
        remarks = [f"by custom {range_words(*usual)}"] if usual else []
        return RangeRow(
            Printed(entry.name, language),
            bounds.low if bounds else None,
            bounds.high if bounds else None,
            range_words(bounds.low, bounds.high) if bounds else "",
            (_what(known, bool(entry.members)), *_printed(entry, language)),
            (*remarks, *([] if estimate is None else [estimate_words(estimate)])),
            usual,
            estimate,
            _proofs(bounds) if bounds else (),
            ".".join(str(step + 1) for step in entry.path),
            "" if known is None or entry.members else self._letters.get(known.family, ""),
            len(entry.path) - 1,
            bool(entry.members),
        )

    def _bounds(self, weights: dict[Path, int]) -> tuple[Bounds | None, tuple[float, float] | None]:
        """Returns what the label proves of a sum of shares, and its range by custom."""
        if self._formulas is None:
            return None, None
        bounds = self._formulas.bounds(weights)
        return bounds, _custom(bounds, self._usual.bounds(weights) if self._usual else None)

    def _sides(self) -> Iterator[RangeRow]:
        every = self._formulas.tree.leaves if self._formulas else ()
        for title, origins in _SIDES:
            leaves = [leaf for leaf in every if _origin(leaf) in origins]
            weights: Counter[Path] = Counter()
            for leaf in leaves:
                weights.update(leaf.weights)
            weights = Counter({path: factor for path, factor in weights.items() if factor})
            bounds, usual = self._bounds(weights) if weights else (None, None)
            if bounds is None:
                continue
            names = dict.fromkeys(Printed(leaf.name, self._context.language) for leaf in leaves)
            yield RangeRow(
                capital(title),
                bounds.low,
                bounds.high,
                range_words(bounds.low, bounds.high),
                (joined(names),),
                (f"by custom {range_words(*usual)}",) if usual else (),
                usual,
                proofs=_proofs(bounds),
            )

    def _family(self, family: FamilyData) -> RangeRow:
        words = range_words(family["low"], family["high"])
        ranked = _ranked(family["rank_as_one"])
        names = joined(Printed(name, self._context.language) for name in family["members"])
        return RangeRow(
            family["family"].replace("-", " "),
            family["low"],
            family["high"],
            f"together: {words}. Declared as one it would stand {ranked}.",
            (("[", *names, "]"),),
            family=self._letters[family["family"]],
        )

    def _fresh(self) -> Iterator[RangeRow]:
        """Yields fresh meat and fish, with and without water."""
        for row in self._shares["ingredients"]:
            if row["rank_without_water"] and self._formulas is not None:
                yield from self._fresh_ranges(row, self._formulas)

    def _fresh_ranges(self, row: ShareData, formulas: Formulas) -> Iterator[RangeRow]:
        path, rank = tuple(row["path"]), row["rank_without_water"]
        name = Printed(row["name"], self._context.language)
        leaf = next(leaf for leaf in formulas.tree.leaves if leaf.path == path)
        dry = formulas.dry_weight({path: 1})
        low, high = max(0.0, dry.low), min(100.0, dry.high)
        match = leaf.ingredient.match
        water = match.known.range_of("moisture") if match else None
        holds = f"It holds {percent(water.low)} to {percent(water.high)} % water. " if water else ""
        ranked = _ranked(rank) if rank else ""
        yield RangeRow(
            (name, " with its water"), row["low"], row["high"], range_words(row["low"], row["high"])
        )
        yield RangeRow(
            (name, ", its dry matter alone"),
            low,
            high,
            f"{range_words(low, high)}. {holds}Among all single ingredients, each without its "
            f"water, it would stand {ranked}.",
        )


def _usual(context: LabelContext, formulas: Formulas | None) -> Formulas | None:
    """Returns the formulas that also keep to the custom of the trade; None without any."""
    if formulas is None:
        return None
    names = [str(premise) for premise in (*formulas.premises, Premise.PRACTICE)]
    usual = context.formulas_under(tuple(names))
    return usual if usual.consistent else None


def _what(known: CatalogueEntry | None, group: bool) -> str:
    """Returns such as "grain, plant": the kind, and the origin where the kind does not say it."""
    inside = "its members stand below" if group else ""
    if known is None:
        return inside or "not known to the catalogue"
    kind = known.kind.replace("-", " ")
    return ", ".join(filter(None, dict.fromkeys((kind, known.origin, inside))))


def _printed(entry: Ingredient, language: str) -> Iterator[str]:
    """Yields what the label itself adds to a name: a percentage, a cap, notes."""
    if entry.percent:
        amount = f"{_BOUNDS.get(entry.percent.bound, '')}{number(entry.percent.value)} %"
        yield f"printed: {amount}{_OF.get(entry.percent.of.value, '')}"
    if entry.at_most is not None:
        yield f"stands in the line “{number(entry.at_most)} % or less”"
    if entry.any_of:
        yield "one or more of these; may be absent"
    yield from (Printed(note, language) for note in entry.notes if note)


def _proofs(bounds: Bounds) -> tuple[Proof, ...]:
    most = proof_of(f"Why at most {percent(bounds.high)} %", bounds.high_proof)
    least = proof_of(f"Why at least {percent(bounds.low)} %", bounds.low_proof)
    return (*most, *least)


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


def _ranked(rank: RankData) -> str:
    best, worst, of = rank["best"], rank["worst"], rank["of"]
    if best == worst:
        return f"in place {best} of {of}"
    if (best, worst) == (1, of):
        return f"anywhere in the list of {of}"
    return f"between place {best} and place {worst} of {of}"
