"""`panellint declare`: the label that a batch sheet supports."""

from typing import Any

import click

from panellint import api
from panellint.commands import options
from panellint.commands.options import Request, note, option, request
from panellint.core.errors import Exit
from panellint.core.findings import Severity
from panellint.output.atomic_file import write_whole
from panellint.results.batch import Declaration


@click.command()
@click.argument("batch")
@request("panel", "json", batch=True)
@click.option("--name", default="", help="The product's name (else the best that is earned).")
@options.species
@option("--food-form FORM", "Kibble, canned, freeze-dried...", default="")
@click.option("--stage", default="", help="Life stage: maintenance, growth, all life stages...")
@option("--complete", "Claim the nutrient profile of that stage.")
@option("--unit UNIT", "A familiar unit with its weight: 'cup 110 g'.", default="")
@options.finished_food
@click.option(
    "--margin",
    type=click.FloatRange(0, 10),
    default=1.0,
    show_default=True,
    help="Safety margins, as a multiple of the usual ones.",
)
@options.worst
@click.option(
    "--percentages",
    type=click.Choice(["named", "all", "none"]),
    help="Which ingredients carry a percentage (else what the market wants).",
)
@option("--languages CODES", "Statutory statements in these too, EU and UK: de,fr,pl.")
def declare(batch: str, request: Request, **given: Any) -> Exit:
    """Write the panel file that a batch sheet supports: declaration, guarantees with a safety
    margin, calorie line; and say which names the formula earns. Exit status 1 where lint finds an
    error in it."""
    data = api.declare(
        request.batch(batch),
        path=request.output or "-",
        settings=request.settings(batch),
        force=request.force,
        **{name: value for name, value in given.items() if value is not None},
    )
    if request.form == "json":
        request.write(data)
    else:
        write_whole(request.output, data["panel"])
        _note(data)
    errors = any(finding["severity"] == Severity.ERROR for finding in data["lint"])
    return Exit.FINDINGS if errors else Exit.CLEAN


def _note(data: Declaration) -> None:
    """Writes on standard error what the reader of the panel file must know or do yet."""
    for words in data["notes"]:
        note(words)
    for finding in data["lint"]:
        note(f"lint: {finding['severity']}: {finding['message']}")
    if not data["lint"]:
        note("lint finds nothing in this panel file")
    note(data["caution"])
