"""What is in the food: every entry with its share, animal and plant, families, fresh meat."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from panellint.catalogue.model import CatalogueEntry
from panellint.core.numbers import number
from panellint.ingredients.model import Ingredient
from panellint.label.model import Bound
from panellint.report.model import Content, Fresh, Kin, Proof, Row, Side
from panellint.report.saying import percent, shown, spread
from panellint.shares.model import Bounds, Path
from panellint.shares.premises import Premise
from panellint.shares.unlisted import is_unlisted

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.results.shares import FamilyData, RankData, ShareData, Shares
    from panellint.shares.solver.formula_set import Formulas
    from panellint.shares.tree import Leaf

#: Sides in the order in which they are told: title and the catalogue's origins.
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


def content(context: LabelContext, proven: Shares) -> Content:
    """The declaration; `proven` is what `shares_of.shares` found of it."""
    if not proven["consistent"]:
        clash = tuple(line["words"] for line in proven["clash"])
        rows = tuple(
            _row(context, entry, None, None, {}, "") for entry in context.declaration.walk()
        )
        return Content(rows, (), (), (), clash, tuple(proven["notes"]))
    formulas = context.formulas
    usual = _usual(context, formulas)
    families = tuple(_families(proven["families"]))
    estimates = {tuple(one["path"]): one["estimate"] for one in proven["ingredients"]}
    marks = _marks(context, families)
    rows = tuple(
        _row(context, entry, formulas, usual, estimates, marks.get(entry.path, ""))
        for entry in context.declaration.walk()
    )
    return Content(
        rows,
        tuple(_sides(formulas, usual)),
        families,
        tuple(_fresh(formulas, proven["ingredients"])),
        (),
        tuple(proven["notes"]),
    )


def _usual(context: LabelContext, formulas: Formulas) -> Formulas | None:
    """The formulas that also keep to the custom of the trade; None where there are none."""
    names = [str(one) for one in (*formulas.premises, Premise.PRACTICE)]
    usual = context.formulas_under(tuple(names))
    return usual if usual.consistent else None


def _row(
    context: LabelContext,
    entry: Ingredient,
    formulas: Formulas | None,
    usual: Formulas | None,
    estimates: dict[Path, float | None],
    family: str,
) -> Row:
    known = entry.match.known if entry.match else None
    low = high = custom = None
    proofs: tuple[Proof, ...] = ()
    if formulas is not None:
        bounds = formulas.bounds({entry.path: 1})
        low, high = bounds.low, bounds.high
        proofs = _proofs(bounds)
        custom = _custom(bounds, usual.bounds({entry.path: 1}) if usual else None)
    group = bool(entry.members)
    return Row(
        place=".".join(str(step + 1) for step in entry.path),
        depth=len(entry.path) - 1,
        name=entry.name,
        what=_what(known, group),
        said=tuple(_said(entry)),
        low=low,
        high=high,
        usual=custom,
        estimate=None if group else estimates.get(entry.path),
        words=spread(low, high),
        family=family,
        group=group,
        proofs=proofs,
    )


def _what(known: CatalogueEntry | None, group: bool) -> str:
    """ "grain, plant": the kind, and the origin where the kind does not say it."""
    inside = "its members stand below" if group else ""
    if known is None:
        return inside or "not known to the catalogue"
    kind = known.kind.replace("-", " ")
    return ", ".join(filter(None, dict.fromkeys((kind, known.origin, inside))))


def _said(entry: Ingredient) -> Iterator[str]:
    """What the label itself adds to a name: a percentage, a cap, notes."""
    if entry.percent:
        amount = f"{_BOUNDS.get(entry.percent.bound, '')}{number(entry.percent.value)} %"
        yield f"printed: {amount}{_OF.get(entry.percent.of.value, '')}"
    if entry.at_most is not None:
        yield f"stands in the line “{number(entry.at_most)} % or less”"
    if entry.any_of:
        yield "one or more of these; may be absent"
    yield from (note for note in entry.notes if note)


def _proofs(bounds: Bounds) -> tuple[Proof, ...]:
    most = shown(f"Why at most {percent(bounds.high)} %", bounds.high_proof)
    least = shown(f"Why at least {percent(bounds.low)} %", bounds.low_proof)
    return (*most, *least)


def _custom(bounds: Bounds, usual: Bounds | None) -> tuple[float, float] | None:
    """The customary range where it is worth telling beside what the label proves."""
    if usual is None or not usual.sure:
        return None
    low, high = max(bounds.low, usual.low), min(bounds.high, usual.high)
    if low > high or (low - bounds.low) + (bounds.high - high) < _NARROWER:
        return None
    return low, high


# Sides ---------------------------------------------------------------------------------------


def _weights(leaf: Leaf) -> dict[Path, int]:
    """A leaf's own weight; of a partial group, what its named members leave of it."""
    members = leaf.ingredient.members if leaf.rest else ()
    return {leaf.path: 1, **{member.path: -1 for member in members}}


def _sides(formulas: Formulas, usual: Formulas | None) -> Iterator[Side]:
    for title, origins in _SIDES:
        weights: dict[Path, int] = {}
        names = []
        for leaf in formulas.tree.leaves:
            match = leaf.ingredient.match
            origin = match.known.origin if match else ""
            if is_unlisted(leaf.ingredient):
                origin = "mineral"
            if origin in origins and not leaf.is_water:
                names.append(leaf.name)
                for path, factor in _weights(leaf).items():
                    weights[path] = weights.get(path, 0) + factor
        weights = {path: factor for path, factor in weights.items() if factor}
        if not weights:
            continue
        bounds = formulas.bounds(weights)
        yield Side(
            title,
            tuple(dict.fromkeys(names)),
            bounds.low,
            bounds.high,
            _custom(bounds, usual.bounds(weights) if usual else None),
            spread(bounds.low, bounds.high),
            _proofs(bounds),
        )


# Families and fresh meat ---------------------------------------------------------------------


def _families(found: Sequence[FamilyData]) -> Iterator[Kin]:
    for number_, one in enumerate(found):
        rank = one["rank_as_one"]
        yield Kin(
            _LETTERS[number_ % len(_LETTERS)],
            one["family"].replace("-", " "),
            tuple(one["members"]),
            one["low"],
            one["high"],
            f"together: {spread(one['low'], one['high'])}. Declared as one it would stand "
            f"{_ranked(rank)}.",
        )


def _marks(context: LabelContext, families: Sequence[Kin]) -> dict[Path, str]:
    """The mark of its family, by the place of an entry."""
    marks = {one.family: one.mark for one in families}
    return {
        entry.path: marks[name]
        for entry in context.leaves
        if entry.match and (name := entry.match.known.family.replace("-", " ")) in marks
    }


def _ranked(rank: RankData) -> str:
    best, worst, of = rank["best"], rank["worst"], rank["of"]
    if best == worst:
        return f"in place {best} of {of}"
    return (
        f"anywhere in the list of {of}"
        if (best, worst) == (1, of)
        else (f"between place {best} and place {worst} of {of}")
    )


def _fresh(formulas: Formulas, rows: Sequence[ShareData]) -> Iterator[Fresh]:
    by_path = {leaf.path: leaf for leaf in formulas.tree.leaves}
    for row in rows:
        rank = row["rank_without_water"]
        if rank is None:
            continue
        path = tuple(row["path"])
        leaf = by_path[path]
        dry = formulas.dry_weight({path: 1})
        match = leaf.ingredient.match
        water = match.known.range_of("moisture") if match else None
        holds = f"It holds {percent(water.low)} to {percent(water.high)} % water. " if water else ""
        yield Fresh(
            row["name"],
            (row["low"], row["high"]),
            (max(0.0, dry.low), min(100.0, dry.high)),
            f"{holds}Among all single ingredients, each without its water, it would stand "
            f"{_ranked(rank)}.",
        )
