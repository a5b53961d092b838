"""Where a recalled ingredient has gone: labels and batches, under every name and inside others.

A label or sheet *contains* it where the catalogue takes a name for the same ingredient, where a
premix or composite lists it, or where a broth is cooked from it; it *may contain* it where a name
stands for many animals or plants (poultry, meat), where a premix shows no members, or where a
meal, fat or flavour of the same animal does not say from whose delivery it was made.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from glob import has_magic, iglob
from pathlib import Path
from typing import TYPE_CHECKING

from panellint.analysis.context import LabelContext
from panellint.core.errors import InputError, PanellintError
from panellint.core.source import read
from panellint.core.text import name_key
from panellint.ingredients.model import Ingredient
from panellint.ingredients.resolve import joined_names
from panellint.lint.runner.files import Ignored, find
from panellint.maker.formula import names_of
from panellint.maker.model import Batch
from panellint.maker.sheet.locate import INLINE, named_batch, root_of
from panellint.maker.sheet.read import read_batch
from panellint.maker.sheet.workbook import is_workbook
from panellint.rulepacks.settings import Settings
from panellint.tasks.trace_query import ANYTHING, Level, TraceQuery

if TYPE_CHECKING:
    from panellint.results.trace import ReachedPlace, Trace

CAUTION = (
    "This is what labels and sheets say. A recall's reach is settled by the maker's own records "
    "and by the competent authority; what lists no lot is not cleared by it."
)


@dataclass(frozen=True, slots=True)
class TraceHit:
    """One place that the ingredient reaches.

    `label` is the panel file, "" for a sheet that no label names; `product` its name. `printed`
    is the name there, `inside` the groups and premixes around it. `how` says in words why.
    `line` and `column` count from 1: of the label, or for a `sheet` of its row and column.
    `supplier` and `lot` are the sheet's, "" where it says none; `lot_known` is False for a
    label without a sheet.
    """

    label: str
    product: str
    level: Level
    printed: str
    how: str
    line: int
    column: int
    inside: tuple[str, ...] = ()
    sheet: str = ""
    supplier: str = ""
    lot: str = ""
    lot_known: bool = False

    def to_dict(self) -> ReachedPlace:
        """Returns the place as plain data."""
        return {
            "label": self.label or None,
            "product": self.product,
            "level": str(self.level),
            "printed": self.printed,
            "why": self.how,
            "inside": list(self.inside),
            "sheet": self.sheet or None,
            "line": self.line,
            "column": self.column,
            "supplier": self.supplier or None,
            "lot": self.lot or None,
            "lot_known": self.lot_known,
        }


def trace(
    query: TraceQuery,
    paths: Iterable[str],
    *,
    supplier: str = "",
    lot: str = "",
    market: str | None = None,
) -> Trace:
    """Returns every place that the ingredient reaches: the object of `trace --format json`.

    `paths` are panel files, folders, globs and batch sheets (CSV, XLSX); the sheets that labels
    name are read too. With `supplier` or `lot`, what a sheet shows to be another's is left out.
    A file that cannot be used stands in `unusable` and keeps none of the others back.
    """
    arguments = list(paths)
    found = find([path for path in arguments if not is_sheet(path)], Ignored())
    faults = list(found.faults)
    hits: list[TraceHit] = []
    for path in found.paths:
        try:
            hits += trace_label(query, path, supplier=supplier, lot=lot, market=market)
        except InputError as error:
            faults += error.faults
    sheets = [one for path in arguments if is_sheet(path) for one in _matching(path)]
    for path in sheets:
        try:
            hits += trace_sheet(query, path, supplier=supplier, lot=lot)
        except InputError as error:
            faults += error.faults
    if not hits and not query.is_known:
        near = query.near_names()
        raise PanellintError(
            f"no file has {query.name!r}, and the catalogue does not know it{near}"
        )
    reached = {hit.label or hit.sheet for hit in hits}
    unusable = {fault.path for fault in faults}
    return {
        "name": query.name,
        "known_as": query.known.id if query.known else None,
        "reached": [hit.to_dict() for hit in in_order(hits)],
        "not_reached": [path for path in (*found.paths, *sheets) if path not in reached | unusable],
        "unusable": [str(fault) for fault in dict.fromkeys(faults)],
        "caution": CAUTION,
    }


def _matching(path: str) -> list[str]:
    """Returns the sheets of a glob, or the path itself."""
    named = os.path.exists(path) or not has_magic(path)
    return [path] if named else sorted(iglob(path, recursive=True)) or [path]


def trace_label(
    sought: TraceQuery, path: str, *, supplier: str = "", lot: str = "", market: str | None = None
) -> Iterator[TraceHit]:
    """Where the ingredient is in a label and in the batch sheet that it names.

    With `supplier` or `lot`, what a sheet shows to be another's is left out; a label without a
    sheet stays, its lot unknown. Raises InputError where label or sheet cannot be used.
    """
    source = read(path)
    context = LabelContext.of(source, Settings.for_path(path).with_market(market), quick=True)
    fact = context.label.facts.get("batch-sheet")
    batch = named_batch(source, fact) if fact else None
    product = context.label.product_name
    hits = list(_on_label(sought, context, path))
    if batch is None:
        if sought.name != ANYTHING:
            yield from hits
        return
    if sought.name != ANYTHING and not (supplier or lot):
        yield from hits
    written_out = fact is not None and fact[0].lstrip().startswith(INLINE)
    yield from _in_sheet(
        sought, batch, path, product, supplier, lot, "" if written_out else batch.path
    )


def _on_label(sought: TraceQuery, context: LabelContext, path: str) -> Iterator[TraceHit]:
    names = {entry.path: entry.name for entry in context.declaration.walk()}
    for entry in context.declaration.walk():
        inside = tuple(names[entry.path[:depth]] for depth in range(1, len(entry.path)))
        found = sought.level(
            entry.name,
            entry.match.known if entry.match else None,
            not entry.members or entry.partial,
        )
        if found is None or found[0] is Level.MAY:
            note = _in_notes(sought, entry)
            found = (Level.CONTAINS, f"stated as “{note}”") if note else found
        if found is None:
            continue
        level, how = found
        line, column = context.source.position(entry.name_span.start)
        yield TraceHit(
            path, context.label.product_name, level, entry.name, how, line, column, inside
        )
    for additive in context.label.additives:
        match = sought.catalogue.lookup(additive.printed, market=context.market)
        found = sought.level(additive.printed, match.known if match else None, False)
        if found:
            line, column = context.source.position(additive.span.start)
            yield TraceHit(
                path,
                context.label.product_name,
                found[0],
                additive.printed,
                found[1],
                line,
                column,
                ("additives",),
            )


def _in_notes(sought: TraceQuery, entry: Ingredient) -> str | None:
    """A bracket that says where something is from ("source of ...", "preserved with ...")."""
    wanted = [f" {name_key(name)} " for name in sought.names if len(name) > 2]
    for note in entry.notes:
        text = f" {name_key(note)} "
        if any(name in text for name in wanted):
            return note
    return None


def trace_sheet(
    sought: TraceQuery, path: str, *, supplier: str = "", lot: str = ""
) -> Iterator[TraceHit]:
    """Where the ingredient is in a batch sheet by itself. Raises InputError."""
    batch = read_batch(path, root_of(path))
    product = batch.facts.get("product_name", "")
    yield from _in_sheet(sought, batch, "", product, supplier, lot, path)


def _in_sheet(
    sought: TraceQuery,
    batch: Batch,
    label: str,
    product: str,
    supplier: str,
    lot: str,
    sheet: str,
) -> Iterator[TraceHit]:
    for line, inside in batch.walk():
        if not line.weight:
            continue
        if (supplier and _other(line.supplier, supplier)) or (lot and _other(line.lot, lot)):
            continue
        names = [(name, sought.catalogue.lookup(name)) for name in names_of(line)]
        if not any(match for _, match in names):
            names += [(one.name, one.match) for one in joined_names(line.name, sought.catalogue)]
        found = None
        for name, match in names:
            here = sought.level(name, match.known if match else None, not line.members)
            if found is None or (here and here[0] is Level.CONTAINS):
                found = here or found
        if found:
            yield TraceHit(
                label,
                product,
                found[0],
                line.name,
                found[1],
                line.place.row,
                line.place.column,
                inside,
                sheet,
                line.supplier,
                line.lot,
                bool(line.lot),
            )


def _other(stated: str, wanted: str) -> bool:
    """True where the sheet says another supplier or lot; silence is no other."""
    return bool(stated) and name_key(stated) != name_key(wanted)


def is_sheet(path: str) -> bool:
    """Whether an argument is a batch sheet, by its name."""
    return is_workbook(path) or Path(path).suffix.lower() in (".csv", ".tsv")


def in_order(found: Iterable[TraceHit]) -> list[TraceHit]:
    """By label, what contains it first, then by place; each once."""
    return sorted(
        dict.fromkeys(found),
        key=lambda one: (
            os.path.normpath(one.label or one.sheet),
            one.level is Level.MAY,
            one.sheet,
            one.line,
            one.column,
        ),
    )
