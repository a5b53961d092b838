"""`panellint trace`: every label and batch that a recalled ingredient reaches."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import click

from panellint.commands import options, sheets
from panellint.core.errors import Fault, InputError, PanellintError
from panellint.core.exit_codes import Exit
from panellint.lint.runner.files import Ignored, find
from panellint.output.atomic_file import opened
from panellint.output.cells import harmless, wrap
from panellint.output.render_options import width_of

if TYPE_CHECKING:
    from panellint.tasks.trace import TraceHit, TraceQuery

EPILOG = """NAME is any name of the ingredient, or * for all of a lot or a supplier. PATH is a panel
file, a folder (its *.panel files), a glob in quotes, or a batch sheet (CSV, XLSX). The batch
sheets that labels name are read too."""


@click.command(epilog=EPILOG)
@click.argument("name")
@click.argument("paths", metavar="PATH...", nargs=-1, required=True)
@options.form(["terminal", "csv", "json"])
@options.output
@options.market
@click.option("--supplier", default="", help="Only what may have come from this supplier.")
@click.option("--lot", default="", help="Only what may be of this lot.")
@sheets.force
@click.pass_context
def trace(
    ctx: click.Context,
    name: str,
    paths: tuple[str, ...],
    form: str,
    output: str | None,
    market: str | None,
    supplier: str,
    lot: str,
    force: bool,
) -> None:
    """List the labels, batches and lots that an ingredient reaches, under every name and inside
    premixes, composites and broths; what may contain it stands apart."""
    from panellint.tasks.trace import ANYTHING, TraceQuery, in_order, is_sheet

    if name == ANYTHING and not (supplier or lot):
        raise click.UsageError("* asks for all of a lot or a supplier: give --lot or --supplier.")
    others = [path for path in paths if not is_sheet(path)]
    direct = [one for path in paths if is_sheet(path) for one in _matching(path)]
    sheets.guard(output, paths, force)
    found = find(others, Ignored())
    sought = TraceQuery(name)
    _tell_name(sought)
    faults: list[Fault] = list(found.faults)
    reached: list[TraceHit] = []
    for hits in _each(sought, found.paths, direct, supplier, lot, market):
        try:
            reached += hits()
        except InputError as error:
            faults += error.faults
    ordered = in_order(reached)
    if not ordered and not sought.is_known:
        raise PanellintError(_unknown(sought))
    with opened(output) as stream:
        if form == "json":
            stream.write(json.dumps(_data(sought, ordered, faults), indent=1) + "\n")
        elif form == "csv":
            from panellint.maker.sheet.cells import csv_text

            stream.write(csv_text([_HEADINGS, *(_row(one) for one in ordered)]))
        else:
            stream.write(_told(sought, ordered, len(found.paths), len(direct), width_of(stream)))
    for fault in dict.fromkeys(faults):
        click.echo(f"panellint: {fault}", err=True)
    ctx.exit(Exit.UNUSABLE if faults else Exit.CLEAN)


def _matching(path: str) -> list[str]:
    """The sheets of a glob, or the path itself."""
    from glob import has_magic, iglob

    named = os.path.exists(path) or not has_magic(path)
    return [path] if named else sorted(iglob(path, recursive=True)) or [path]


def _each(
    sought: TraceQuery,
    labels: list[str],
    direct: list[str],
    supplier: str,
    lot: str,
    market: str | None,
) -> Iterator[Callable[[], list[TraceHit]]]:
    """One piece of work for each file, so that a fault in one keeps none of the others back."""
    from functools import partial

    from panellint.tasks.trace import trace_label, trace_sheet

    def of_label(path: str) -> list[TraceHit]:
        return list(trace_label(sought, path, supplier=supplier, lot=lot, market=market))

    def of_sheet(path: str) -> list[TraceHit]:
        return list(trace_sheet(sought, path, supplier=supplier, lot=lot))

    for path in labels:
        yield partial(of_label, path)
    for path in direct:
        yield partial(of_sheet, path)


def _tell_name(sought: TraceQuery) -> None:
    from panellint.tasks.trace import ANYTHING

    if sought.known is not None:
        first, *others = sought.names[:8]
        also = f", also called {', '.join(others)}" if others else ""
        click.echo(f"panellint: looking for {first}{also}", err=True)
    elif sought.name != ANYTHING:
        words = f"{sought.name!r} is not known to the catalogue and is compared by its name alone"
        click.echo(f"panellint: {words}{_near(sought)}", err=True)


def _unknown(sought: TraceQuery) -> str:
    return f"no file has {sought.name!r}, and the catalogue does not know it{_near(sought)}"


def _near(sought: TraceQuery) -> str:
    near = sought.catalogue.suggest(sought.name)
    return f"; near names: {', '.join(near)}" if near else ""


CAUTION = (
    "This is what labels and sheets say. A recall's reach is settled by the maker's own records "
    "and by the competent authority; what lists no lot is not cleared by it."
)

_HEADINGS = [
    "label", "product", "level", "printed", "why", "inside", "sheet", "row or line", "column",
    "supplier", "lot",
]  # fmt: skip


def _row(one: TraceHit) -> list[str]:
    return [
        one.label,
        one.product,
        str(one.level),
        one.printed,
        one.how,
        " > ".join(one.inside),
        one.sheet,
        str(one.line),
        str(one.column),
        one.supplier,
        one.lot if one.lot_known else "not known",
    ]


def _told(sought: TraceQuery, found: list[TraceHit], labels: int, direct: int, width: int) -> str:
    from panellint.tasks.trace import Level

    lines: list[str] = []
    for level, title in ((Level.CONTAINS, "Contains it"), (Level.MAY, "May contain it")):
        before = ""
        for one in found:
            if one.level is not level:
                continue
            where = one.label or one.sheet
            if where != before:
                # A path stays whole, so that it can be copied.
                lines += ["", f"{title}: {harmless(where)}"]
                lines += _wrapped(one.product, width)
            before = where
            lines += _wrapped(_hit(one), width)
    reached = {one.label or one.sheet for one in found}
    sure = {one.label or one.sheet for one in found if one.level is Level.CONTAINS}
    only = len(reached - sure)
    lines += [
        "",
        f"{labels + direct} read: {len(sure)} contain {sought.name}, {only} more may contain it.",
        "",
        *wrap(CAUTION, width),
    ]
    return "\n".join(lines).lstrip("\n") + "\n"


def _hit(one: TraceHit) -> str:
    """One place in words: where, under what name, inside what, why, by whom and of which lot."""
    place = f"row {one.line}" if one.sheet else f"{one.line}:{one.column}"
    sheet = f"{one.sheet} " if one.sheet and one.label else ""
    inside = f", inside {' > '.join(one.inside)}" if one.inside else ""
    whose = f"; {one.supplier}" if one.supplier else ""
    lot = f", lot {one.lot}" if one.lot_known else "; lot not known"
    return f"{sheet}{place} {one.printed}{inside}: {one.how}{whose}{lot}"


def _wrapped(words: str, width: int) -> list[str]:
    return wrap(words, width, "    ", "      ") if words else []


def _data(sought: TraceQuery, found: list[TraceHit], faults: list[Fault]) -> dict[str, Any]:
    return {
        "name": sought.name,
        "known_as": sought.known.id if sought.known else None,
        "reached": [
            {
                "label": one.label or None,
                "product": one.product,
                "level": str(one.level),
                "printed": one.printed,
                "why": one.how,
                "inside": list(one.inside),
                "sheet": one.sheet or None,
                "line": one.line,
                "column": one.column,
                "supplier": one.supplier or None,
                "lot": one.lot or None,
                "lot_known": one.lot_known,
            }
            for one in found
        ],
        "unusable": [str(fault) for fault in faults],
        "caution": CAUTION,
    }
