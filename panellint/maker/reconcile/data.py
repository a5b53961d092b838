"""What a batch comes to beside what its label says, as plain data."""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING, cast

from panellint.analysis.context import LabelContext
from panellint.maker.balance import balance
from panellint.maker.content import DRY_MATTER, ENERGY, FINISHED, REHYDRATED, BatchContent
from panellint.maker.context import weighed
from panellint.maker.model import Batch
from panellint.maker.reconcile.adequacy import adequacy_of
from panellint.maker.reconcile.guarantees import Compared, compared, energy_content
from panellint.nutrition.bases import PARTS

if TYPE_CHECKING:
    from panellint.results.batch import (
        BatchAdequacy,
        BatchAnalysis,
        BatchData,
        ComparedGuarantee,
        ContentData,
        SheetData,
        SheetRead,
    )


def batch_data(context: LabelContext) -> BatchData:
    """Returns weights matched to entries, the computed analysis on its bases, guarantees with their
    margins, energy and adequacy."""
    return {
        "sheet": sheet_data(context),
        "analysis": analysis_data(context),
        "unknown": [
            one.name
            for one in weighed(context).formula.components
            if one.known is None and one.share
        ],
        "guarantees": [_guarantee_data(one) for one in compared(context)]
        if weighed(context).finished_known
        else [],
        "adequacy": adequacy_data(context),
    }


def sheet_read(batch: Batch) -> SheetRead:
    """Returns how a sheet was read."""
    return {
        "path": batch.path,
        "worksheet": batch.worksheet or None,
        "headings": [
            {"printed": h.printed, "taken_for": h.taken_for or None, "unit": h.unit or None}
            for h in batch.headings
        ],
        "remarks": [
            {
                "sheet": r.place.sheet,
                "row": r.place.row,
                "column": r.place.column,
                "message": r.message,
            }
            for r in batch.remarks
        ],
    }


def sheet_data(context: LabelContext) -> SheetData:
    """Returns how the sheet was read and matched."""
    batch, matching = weighed(context).batch, weighed(context).matching
    known = weighed(context).finished_known
    entries = {entry.path: entry for entry in context.declaration.walk()}
    return {
        **sheet_read(batch),
        "matched": [
            {
                "entry": entries[path].name,
                "path": list(path),
                "ingredients": [
                    {"name": c.name, "percent": float(100 * c.share), "inside": list(c.inside)}
                    for c in components
                ],
            }
            for path, components in sorted(matching.own.items())
        ],
        "water": weighed(context).formula.water.origin if known else None,
        "balance": balance(weighed(context).formula) if known else None,
    }


def _content(content: BatchContent) -> ContentData:
    def finite(value: float) -> float | None:
        return round(value, 6) if isfinite(value) else None

    return {
        "low": finite(content.low),
        "high": finite(content.high),
        "estimate": finite(content.middle),
        "unit": content.unit,
        "unknown": list(content.unknown),
    }


def analysis_data(context: LabelContext) -> BatchAnalysis:
    """Returns the six parts on every basis that can be told, and the energy."""
    batch = weighed(context)
    bases = [DRY_MATTER, ENERGY]
    if batch.finished_known:
        bases = [FINISHED, *([REHYDRATED] if batch.formula.added is not None else []), *bases]
    parts = {
        basis.replace(" ", "_"): {
            part: _content(batch.content(part, basis))
            for part in PARTS
            if part != "moisture" or basis not in (DRY_MATTER, ENERGY)
        }
        for basis in bases
    }
    analysis = cast("BatchAnalysis", parts)
    energy = energy_content(context) if batch.finished_known else None
    if energy:
        analysis["energy"] = {**_content(energy[0]), "method": energy[1]}
    return analysis


def _guarantee_data(one: Compared) -> ComparedGuarantee:
    guarantee = one.guarantee
    return {
        "nutrient": guarantee.nutrient,
        "printed": guarantee.printed,
        "bound": str(guarantee.bound),
        "value": float(guarantee.value),
        "unit": guarantee.unit,
        "basis": guarantee.basis,
        "computed": _content(one.content),
        "tolerance": {"below": one.below, "above": one.above, "source": one.tolerance_source},
        "margin": one.margin,
        "verdict": one.verdict,
    }


def adequacy_data(context: LabelContext) -> BatchAdequacy | None:
    """Returns the profile, nutrient by nutrient; None where none applies."""
    found = adequacy_of(context) if weighed(context).finished_known else None
    if found is None:
        return None
    prof, limits = found
    return {
        "profile": prof.title,
        "stage": prof.stage,
        "basis": prof.basis,
        "limits": [
            {
                "nutrient": one.limit.nutrient,
                "side": one.side,
                "limit": one.line,
                "unit": one.limit.unit,
                "low": one.low if isfinite(one.low) else None,
                "high": one.high if isfinite(one.high) else None,
                "estimate": one.middle if isfinite(one.middle) else None,
                "verdict": one.verdict,
                "unknown": list(one.unknown),
                "confirmed": one.limit.confirmed,
            }
            for one in limits
        ],
    }
