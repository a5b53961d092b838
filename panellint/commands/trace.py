"""`panellint trace`: every label and batch that a recalled ingredient reaches."""

import click

from panellint.commands.options import Request, note, request
from panellint.core.errors import Exit
from panellint.output.atomic_file import write_whole
from panellint.results.trace import Trace

#: The columns of a spreadsheet, by their headings.
_KEYS = (
    "label", "product", "level", "printed", "why", "inside", "sheet", "line", "column", "supplier",
    "code", "lot", "date",
)  # fmt: skip
_COLUMNS = {"row or line" if key == "line" else key: key for key in _KEYS}

EPILOG = """NAME is any name of the ingredient, or * for all of a lot or a supplier. PATH is a panel
file, a folder (its *.panel files), a glob in quotes, or a batch sheet (CSV, XLSX). The batch
sheets that labels name are read too."""


@click.command(epilog=EPILOG)
@click.argument("name")
@click.argument("paths", metavar="PATH...", nargs=-1, required=True)
@request("terminal", "csv", "json")
@click.option("--supplier", default="", help="Only what may have come from this supplier.")
@click.option("--lot", default="", help="Only what may be of this lot.")
def trace(name: str, paths: tuple[str, ...], request: Request, supplier: str, lot: str) -> Exit:
    """List the labels, batches and lots that an ingredient reaches, under every name and inside
    premixes, composites and broths; what may contain it stands apart."""
    from panellint.catalogue import load
    from panellint.maker.sheet.cells import csv_text
    from panellint.tasks.trace import trace as traced
    from panellint.tasks.trace_query import ANYTHING, TraceQuery

    if name == ANYTHING and not (supplier or lot):
        raise click.UsageError("* asks for all of a lot or a supplier: give --lot or --supplier.")
    query = TraceQuery(name, load(request.settings(".").ingredients), supplier, lot)
    if words := query.explained():
        note(words)
    data = traced(query, paths, market=request.market)
    if request.form == "csv":
        write_whole(request.output, csv_text(_rows(data)))
    else:
        request.write(data, "trace")
    for fault in data["unusable"]:
        note(fault)
    return Exit.UNUSABLE if data["unusable"] else Exit.CLEAN


def _rows(data: Trace) -> list[list[str]]:
    """Returns the places as the rows of a spreadsheet, the headings first."""
    lines = []
    for place in data["reached"]:
        row = {**place, "inside": " > ".join(place["inside"]), "lot": place["lot"] or "not known"}
        lines.append([str(row[key] or "") for key in _COLUMNS.values()])
    return [list(_COLUMNS), *lines]
