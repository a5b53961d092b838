"""The least change over the alternatives that a name allows, as plain data."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from panellint.catalogue import load
from panellint.core.errors import PanellintError
from panellint.core.numbers import number
from panellint.core.records import to_data
from panellint.label.statements import species_in
from panellint.maker.balance import balance, check
from panellint.maker.declare import Product, declare
from panellint.maker.formula import Formula
from panellint.maker.model import Batch
from panellint.maker.reconcile.data import sheet_read
from panellint.maker.reformulate.limits import (
    basis_of,
    kept_rows,
    limits_of,
    name_rows,
    shared_rows,
    target_row,
    usual_limits,
)
from panellint.maker.reformulate.program import Clash, NewFormula, TargetRow, solve
from panellint.maker.sheet.cells import csv_text
from panellint.maker.sheet.table import rewritten
from panellint.nutrition.targets import Target
from panellint.output.render_options import CAUTION
from panellint.results.batch import CostChange, LabelSide, Reformulation
from panellint.rulepacks.settings import Settings

_GRAMS_PER_KG = 1000


def _sheet(batch: Batch, shares: Sequence[Fraction]) -> str:
    """The batch with its new shares as a CSV sheet; of a recipe, a plain table."""
    if batch.table is not None:
        return csv_text(rewritten(batch, shares), batch.table.delimiter or ",")
    rows = [
        (line.name, f"{float(share):.6g}") for line, share in zip(batch.lines, shares, strict=True)
    ]
    return csv_text([("Ingredient", "%"), *rows])


def reformulate(
    batch: Batch,
    settings: Settings,
    name: str = "",
    targets: Sequence[Target] = (),
    limits: Sequence[str] = (),
    hold: Sequence[str] = (),
    species: str = "",
    worst: bool = False,
    cheapest: bool = False,
) -> Reformulation:
    """Returns the least change of weights that keeps the promise of `name` and meets `targets`, or
    with `cheapest` the least cost; `panellint.api.reformulate` says the rest."""
    settings = settings.with_market(settings.market_for(batch.facts.get("market")))
    market = settings.market_for()
    formula = _formula(batch, settings)
    check(formula)
    animal = species or species_in(batch.facts.get("species", "")) or ""
    own = limits_of(batch, limits, hold)
    bounds = usual_limits(formula, own, market, animal)
    wanted = tuple(target_row(formula, target, worst) for target in targets)
    kept = (
        *shared_rows(batch, limits),
        *kept_rows(formula, market, animal, batch.facts.get("life_stage", "")),
    )
    alternatives = name_rows(formula, name, settings, animal) if name else [()]
    best: tuple[NewFormula | Clash, tuple[TargetRow, ...]] | None = None
    for rows in alternatives:
        every = (*rows, *wanted)
        outcome = solve(batch, (*every, *kept), bounds, cheapest)
        if best is None or _worth(outcome, cheapest) < _worth(best[0], cheapest):
            best = outcome, every
    if best is None:
        raise PanellintError("there is no name and no target to reach")
    outcome, every = best
    shares = outcome.shares if isinstance(outcome, NewFormula) else outcome.nearest
    new = _formula(_with_shares(batch, shares) if any(shares) else batch, settings)
    answer: Reformulation = {
        "path": batch.path,
        "read": sheet_read(batch),
        "possible": isinstance(outcome, NewFormula),
        "targets": [row.words for row in every],
        "balance": balance(new),
    }
    if isinstance(outcome, Clash):
        return {
            **answer,
            "clash": list(outcome.words),
            "certified": outcome.certified,
            "nearest": [_reached(new, target) for target in targets],
            "limits_cost": [{"limit": held, "percent": percent} for held, percent in outcome.costs],
        }
    pairs = list(zip(batch.lines, shares, strict=True))
    kilograms = batch.total / (100 * _GRAMS_PER_KG) if batch.unit == "g" else None
    unknown = (
        (str(target), formula.content(target.part, basis_of(target)).unknown) for target in targets
    )
    return {
        **answer,
        "caution": CAUTION,
        "kept": [row.words for row in kept],
        "bound_by": [
            limit.words
            for (line, share), limit in zip(pairs, bounds, strict=True)
            if limit.words and share in (limit.low, limit.high) and share
        ],
        "before": _side(batch, settings, animal),
        "after": _side(new.batch, settings, animal),
        "change": float(outcome.change),
        "goal": "cost" if cheapest else "change",
        "least_change": None if cheapest else float(outcome.least_change),
        "least_cost": float(outcome.least_change) if cheapest else None,
        "gone": [line.name for line, share in pairs if not share and batch.share(line)],
        "cost_per_kg": to_data(CostChange, before=outcome.cost_before, after=outcome.cost_after),
        "without_cost": [line.name for line in batch.lines if line.cost is None],
        "sheet": _sheet(batch, shares),
        "unknown": [
            {"target": words, "ingredients": list(names)} for words, names in unknown if names
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


def _formula(batch: Batch, settings: Settings) -> Formula:
    return Formula.of(batch, load(settings.ingredients), market=settings.market_for())


def _with_shares(batch: Batch, shares: Sequence[Fraction]) -> Batch:
    """The batch with new shares, in percent; it stays as heavy."""
    weights = [share * batch.total / 100 for share in shares]
    lines = [replace(line, weight=w) for line, w in zip(batch.lines, weights, strict=True)]
    return replace(batch, lines=tuple(lines))


def _side(batch: Batch, settings: Settings, species: str) -> LabelSide | None:
    """What a label of the batch says; None where species or finished weight are not known, so that
    no label can be written."""
    try:
        declared = declare(batch, Product(species=species), settings, force=True)
    except PanellintError:
        return None
    return {
        "names": [name["name"] for name in declared.tiers if name["earned"]],
        "declaration": [entry.name for entry in declared.context.declaration.ingredients],
        "guarantees": [
            f"{guarantee.printed} {guarantee.bound} {guarantee.value} {guarantee.unit}"
            for guarantee in declared.label.guarantees
        ],
        "claims_lost": list(declared.faults),
    }


def _reached(formula: Formula, target: Target) -> str:
    """What the nearest formula comes to, beside what is asked for."""
    if target.part == "energy":
        return f"{target}: {number(round(formula.energy().middle), 6)} kcal/kg can be reached"
    content = formula.content(target.part, basis_of(target))
    return f"{target}: {number(round(content.middle, 3), 5)} {content.unit} can be reached"


def _worth(outcome: NewFormula | Clash, cheapest: bool) -> float:
    """The change in percentage points, or the cost; that of a clash is without limit."""
    if isinstance(outcome, Clash):
        return float("inf")
    return float((outcome.cost_after or 0) if cheapest else outcome.change)
