"""The least change over the alternatives that a name allows, and the answer as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from panellint.catalogue import load
from panellint.core.errors import PanellintError
from panellint.maker.formula import Formula
from panellint.maker.model import Batch
from panellint.maker.reconcile.data import sheet_read
from panellint.maker.reformulate.program import Clash, NewFormula, TargetRow, solve
from panellint.maker.reformulate.targets import basis_of, limits_of, name_rows, target_row
from panellint.maker.sheet.cells import csv_text
from panellint.maker.sheet.write import rewritten
from panellint.nutrition.targets import Target
from panellint.output.render_options import CAUTION

if TYPE_CHECKING:
    from fractions import Fraction

    from panellint.results.batch import Reformulation
    from panellint.rulepacks.settings import Settings

_GRAMS_PER_KG = 1000


@dataclass(frozen=True, slots=True)
class Reformulated:
    """The outcome for a batch: a new formula or the clash, what was asked for, and for each
    target the ingredients without a figure."""

    batch: Batch
    outcome: NewFormula | Clash
    rows: tuple[TargetRow, ...]
    unknown: tuple[tuple[str, tuple[str, ...]], ...]

    def to_dict(self) -> Reformulation:
        """Returns the object of `reformulate --format json`."""
        batch, outcome = self.batch, self.outcome
        wanted = [row.words for row in self.rows]
        if isinstance(outcome, Clash):
            return {
                "path": batch.path,
                "read": sheet_read(batch),
                "possible": False,
                "targets": wanted,
                "clash": list(outcome.words),
                "certified": outcome.certified,
            }
        pairs = list(zip(batch.lines, outcome.shares, strict=True))
        kilograms = batch.total / (100 * _GRAMS_PER_KG) if batch.unit == "g" else None
        return {
            "path": batch.path,
            "read": sheet_read(batch),
            "possible": True,
            "caution": CAUTION,
            "targets": wanted,
            "change": float(outcome.change),
            "least_change": float(outcome.least_change),
            "gone": [line.name for line, share in pairs if not share and batch.share(line)],
            "cost_per_kg": {
                "before": _or_none(outcome.cost_before),
                "after": _or_none(outcome.cost_after),
            },
            "without_cost": [line.name for line in batch.lines if line.cost is None],
            "sheet": _sheet(batch, outcome.shares),
            "unknown": [
                {"target": words, "ingredients": list(names)} for words, names in self.unknown
            ],
            "ingredients": [
                {
                    "name": line.name,
                    "before": float(100 * batch.share(line)),
                    "after": float(share),
                    "kilograms": None if kilograms is None else float(share * kilograms),
                    "row": line.place.row,
                }
                for line, share in pairs
            ],
        }


def _sheet(batch: Batch, shares: Sequence[Fraction]) -> str:
    """The batch with its new shares as a CSV sheet; of a recipe, a plain table."""
    if batch.table is not None:
        return csv_text(rewritten(batch, shares), batch.table.delimiter or ",")
    rows = [
        (line.name, f"{float(share):.6g}") for line, share in zip(batch.lines, shares, strict=True)
    ]
    return csv_text([("Ingredient", "%"), *rows])


def _or_none(value: Fraction | None) -> float | None:
    return None if value is None else float(value)


def reformulate(
    batch: Batch,
    settings: Settings,
    *,
    name: str = "",
    targets: Sequence[Target] = (),
    limits: Sequence[str] = (),
    hold: Sequence[str] = (),
    species: str = "",
    worst: bool = False,
) -> Reformulated:
    """Returns the least change of weights that keeps the promise of `name` and meets `targets`.

    `limits` read such as "duck=20..50" (percent of the mix), `hold` names lines that stay as
    they are; with `worst`, targets are met at the ends of the composition ranges. Raises
    PanellintError where a name, a target or a limit cannot be judged.
    """
    settings = settings.with_market(settings.market_for(batch.facts.get("market")))
    bounds = limits_of(batch, limits, hold)
    formula = Formula.of(batch, load(settings.ingredients), market=settings.market_for())
    wanted = tuple(target_row(formula, one, worst) for one in targets)
    animal = species or batch.facts.get("species", "")
    alternatives = name_rows(formula, name, settings, animal) if name else [()]
    best: tuple[NewFormula | Clash, tuple[TargetRow, ...]] | None = None
    for rows in alternatives:
        every = (*rows, *wanted)
        outcome = solve(batch, every, bounds)
        if best is None or _change(outcome) < _change(best[0]):
            best = outcome, every
    if best is None:
        raise PanellintError("there is no name and no target to reach")
    unknown = (
        (one.words, formula.content(one.part, basis_of(one)).unknown)
        for one in targets
        if isinstance(best[0], NewFormula)
    )
    return Reformulated(batch, *best, tuple((words, names) for words, names in unknown if names))


def _change(outcome: NewFormula | Clash) -> float:
    """The change in percentage points; that of a clash is without limit."""
    return float(outcome.change) if isinstance(outcome, NewFormula) else float("inf")
