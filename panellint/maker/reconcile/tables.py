"""What the batch comes to beside what the label says: the tables and the data of `reconcile`."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite
from typing import TYPE_CHECKING, cast

from panellint.analysis.context import LabelContext
from panellint.core.errors import NotComputable
from panellint.core.numbers import number
from panellint.core.phrases import listed
from panellint.maker.context import weighed
from panellint.maker.formula import DRY_MATTER, ENERGY, FINISHED, REHYDRATED, BatchContent
from panellint.maker.reconcile.adequacy import adequacy_of
from panellint.maker.reconcile.guarantees import Compared, compared, energy_content
from panellint.nutrition.bases import PARTS
from panellint.output.columns import Table

if TYPE_CHECKING:
    from panellint.results.batch import (
        BatchAdequacy,
        BatchAnalysis,
        BatchData,
        ComparedGuarantee,
        ContentData,
        SheetData,
    )

_FEW = 5


def batch_data(context: LabelContext) -> BatchData:
    """Returns weights matched to entries, the computed analysis on its bases, guarantees with their
    margins, energy and adequacy."""
    return {
        "sheet": sheet_data(context),
        "analysis": analysis_data(context),
        "guarantees": [_guarantee_data(one) for one in compared(context)]
        if weighed(context).finished_known
        else [],
        "adequacy": adequacy_data(context),
    }


def sheet_data(context: LabelContext) -> SheetData:
    """Returns how the sheet was read and matched."""
    batch, matching = weighed(context).batch, weighed(context).matching
    entries = {entry.path: entry for entry in context.declaration.walk()}
    return {
        "path": batch.path,
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
        "water": weighed(context).formula.water.told if weighed(context).finished_known else None,
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


def tables(context: LabelContext) -> Iterator[Table]:
    """The tables that stand before the findings on a terminal."""
    if not weighed(context).finished_known:
        yield Table(
            "",
            ("What the finished food holds is not known",),
            (),
            notes=(
                "State the finished moisture or the yield above the table of the sheet "
                "(Finished moisture: 8 %), or print a moisture on the label.",
            ),
        )
        return
    yield _analysis(context)
    rows = tuple(_guarantee_row(one) for one in compared(context))
    if rows:
        yield Table(
            "Guarantees",
            ("nutrient", "label", "estimate", "by the tables", "tolerance", "margin", ""),
            rows,
            frozenset({1, 2, 3, 4, 5}),
        )
    adequacy = _adequacy(context)
    if adequacy:
        yield adequacy


def _span(low: float, high: float) -> str:
    most = number(round(high, 2), 4) if isfinite(high) else "any"
    return number(round(low, 2), 4) if low == high else f"{number(round(low, 2), 4)} to {most}"


def _analysis(context: LabelContext) -> Table:
    rows = []
    for part in PARTS:
        fed = weighed(context).content(part)
        row = [part, _figure(fed.middle), _span(fed.low, fed.high)]
        if part == "moisture":
            row += ["", ""]
        else:
            row += [
                _figure(weighed(context).content(part, DRY_MATTER).middle),
                _figure(weighed(context).content(part, ENERGY).middle),
            ]
        if weighed(context).formula.added is not None:
            row.append(_figure(weighed(context).content(part, REHYDRATED).middle))
        rows.append(tuple(row))
    notes = [f"Finished food: {weighed(context).formula.water.told}."]
    energy = energy_content(context)
    if energy:
        content, method = energy
        notes.append(
            f"Energy about {number(round(content.middle))} kcal/kg as fed "
            f"({method.replace('-', ' ')}), by the "
            f"tables {number(round(content.low))} to {number(round(content.high))}."
        )
    unknown = [c.name for c in weighed(context).formula.components if c.known is None and c.share]
    if unknown:
        notes.append(f"Nothing is known of {listed(unknown)}: anything is possible there.")
    headings = ["by the batch", "% as fed", "by the tables", "% dry matter", "g/1000 kcal"]
    if weighed(context).formula.added is not None:
        headings.append("% rehydrated")
    return Table("", tuple(headings), tuple(rows), frozenset(range(1, len(headings))), tuple(notes))


def _figure(value: float) -> str:
    return number(round(value, 2), 4) if isfinite(value) else "unknown"


def _guarantee_row(one: Compared) -> tuple[str, ...]:
    guarantee, content = one.guarantee, one.content
    bound = {"min": "min ", "max": "max "}.get(str(guarantee.bound), "")
    known = not content.unknown or isfinite(content.high)
    sides = [
        f"{sign}{number(round(width, 2))}"
        for sign, width in (("-", one.below), ("+", one.above))
        if width is not None
    ]
    return (
        guarantee.nutrient or guarantee.printed,
        f"{bound}{guarantee.value} {guarantee.unit}",
        _figure(content.middle) if known else "unknown",
        _span(content.low, content.high),
        " ".join(sides) or "none known",
        "" if one.margin is None else f"{one.margin:+.2f}",
        one.verdict,
    )


def _adequacy(context: LabelContext) -> Table | None:
    try:
        found = adequacy_of(context)
    except NotComputable:
        return None
    if found is None:
        return None
    prof, limits = found
    rows = tuple(
        (
            one.limit.nutrient.replace("-", " "),
            f"{'min' if one.side == 'minimum' else 'max'} {number(one.line)} {one.limit.unit}",
            _figure(one.middle) if not one.unknown else "",
            _span(one.low, one.high),
            one.verdict,
        )
        for one in limits
        if one.verdict != "unknown"
    )
    open_ = [one for one in limits if one.verdict == "unknown"]
    notes = []
    if open_:
        judged = {one.limit.nutrient for one in limits if one.verdict != "unknown"}
        names = dict.fromkeys(
            one.limit.nutrient.replace("-", " ")
            + (f" (the {one.side})" if one.limit.nutrient in judged else "")
            for one in open_
        )
        without = dict.fromkeys(name for one in open_ for name in one.unknown)
        notes.append(
            f"Not judged, for want of figures: {listed(names)}. "
            f"Without a figure for some of these: {_some(tuple(without))}."
        )
    return Table(
        f"{prof.title}, {prof.stage}",
        ("nutrient", "limit", "estimate", "by the tables", ""),
        rows,
        frozenset({1, 2, 3}),
        tuple(notes),
    )


def _some(names: tuple[str, ...]) -> str:
    if len(names) <= _FEW:
        return listed(names)
    return f"{', '.join(names[:_FEW])} and {len(names) - _FEW} more"
