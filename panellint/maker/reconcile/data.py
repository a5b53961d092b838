"""What a batch comes to beside what its label says, as plain data."""

from typing import cast

from panellint.analysis.context import LabelContext
from panellint.core.records import to_data
from panellint.maker.balance import balance
from panellint.maker.component import DRY_MATTER, ENERGY, FINISHED, REHYDRATED, BatchContent
from panellint.maker.context import weighed
from panellint.maker.model import Batch
from panellint.maker.reconcile.adequacy import adequacy_of
from panellint.maker.reconcile.guarantees import Compared, compared, energy_content
from panellint.nutrition.bases import PARTS
from panellint.results import batch as shapes

#: Contents are rounded to this many places.
_PLACES = 6


def batch_data(context: LabelContext) -> shapes.BatchData:
    """Returns weights matched to entries, the computed analysis on its bases, guarantees with their
    margins, energy and adequacy."""
    batch = weighed(context)
    return {
        "sheet": sheet_data(context),
        "analysis": analysis_data(context),
        "unknown": [c.name for c in batch.formula.components if c.known is None and c.share],
        "guarantees": list(map(_compared, compared(context))) if batch.finished_known else [],
        "adequacy": adequacy_data(context),
    }


def _compared(figure: Compared) -> shapes.ComparedGuarantee:
    return to_data(
        shapes.ComparedGuarantee,
        figure.guarantee,
        computed=_content(figure.content, figure.margin is None),
        tolerance=to_data(shapes.ToleranceData, figure, source=figure.tolerance_source),
        margin=figure.margin,
        verdict=figure.verdict,
    )


def sheet_read(batch: Batch) -> shapes.SheetRead:
    """Returns how a sheet was read."""
    return to_data(
        shapes.SheetRead,
        batch,
        remarks=[
            to_data(shapes.RemarkData, remark.place, message=remark.message)
            for remark in batch.remarks
        ],
    )


def sheet_data(context: LabelContext) -> shapes.SheetData:
    """Returns how the sheet was read and matched."""
    batch = weighed(context)
    known, formula = batch.finished_known, batch.formula
    names = {entry.path: entry.name for entry in context.declaration.walk()}
    return {
        **sheet_read(batch.batch),
        "matched": [
            {
                "entry": names[path],
                "path": list(path),
                "ingredients": [
                    to_data(shapes.WeighedPart, c, percent=100 * c.share) for c in components
                ],
            }
            for path, components in sorted(batch.matching.own.items())
        ],
        "water": formula.water.origin if known else None,
        "balance": balance(formula) if known else None,
    }


def _content(content: BatchContent, vague: bool = False) -> shapes.ContentData:
    """A content; where it is `vague`, without an estimate."""
    middle = None if vague else content.middle
    return to_data(shapes.ContentData, content, _PLACES, estimate=middle)


def analysis_data(context: LabelContext) -> shapes.BatchAnalysis:
    """Returns the six parts on every basis that can be told, and the energy."""
    batch = weighed(context)
    bases = [DRY_MATTER, ENERGY]
    if batch.finished_known:
        bases = [FINISHED, *([REHYDRATED] if batch.formula.added is not None else []), *bases]
    parts = {
        basis.replace(" ", "_"): {
            part: _content(
                batch.content(part, basis), bool(batch.formula.without_figure(part, basis))
            )
            for part in PARTS
            if part != "moisture" or basis not in (DRY_MATTER, ENERGY)
        }
        for basis in bases
    }
    analysis = cast(shapes.BatchAnalysis, parts)
    energy = energy_content(context) if batch.finished_known else None
    if energy:
        analysis["energy"] = {**_content(energy[0]), "method": energy[1]}
    return analysis


def adequacy_data(context: LabelContext) -> shapes.BatchAdequacy | None:
    """Returns the profile, nutrient by nutrient; None where none applies."""
    judged_by = adequacy_of(context) if weighed(context).finished_known else None
    if judged_by is None:
        return None
    profile, limits = judged_by
    return to_data(
        shapes.BatchAdequacy,
        profile,
        profile=profile.title,
        limits=[
            to_data(
                shapes.ProfileLimit,
                limit,
                nutrient=limit.limit.nutrient,
                limit=limit.line,
                unit=limit.limit.unit,
                estimate=limit.middle,
                confirmed=limit.limit.confirmed,
            )
            for limit in limits
        ],
    )
