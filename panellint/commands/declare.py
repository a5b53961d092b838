"""`panellint declare`: the label that a batch sheet supports."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click

from panellint.commands import options, sheets
from panellint.core.exit_codes import Exit
from panellint.output.atomic_file import opened
from panellint.output.render_options import CAUTION

if TYPE_CHECKING:
    from panellint.maker.declare import Declared
    from panellint.maker.model import Batch


@click.command()
@click.argument("batch")
@options.form(["panel", "json"])
@options.output
@options.market
@click.option("--name", help="The product's name (else the best that the formula earns).")
@click.option("--species", type=click.Choice(["dog", "cat"]), help="The animal it is for.")
@click.option("--food-form", metavar="FORM", help="Kibble, canned, freeze-dried...")
@click.option("--stage", help="Life stage: maintenance, growth, all life stages...")
@click.option("--complete", is_flag=True, help="Claim the nutrient profile of that stage.")
@click.option("--unit", metavar="UNIT", help="A familiar unit with its weight: 'cup 110 g'.")
@click.option("--moisture", type=float, metavar="PERCENT", help="Moisture of the finished food.")
@click.option(
    "--yield", "yield_", type=float, metavar="PERCENT", help="Finished food, of the mix's weight."
)
@click.option(
    "--margin",
    type=click.FloatRange(0, 10),
    default=1.0,
    show_default=True,
    help="Safety margins, as a multiple of the usual ones.",
)
@click.option("--worst", is_flag=True, help="Guarantee at the ends of the composition ranges.")
@click.option(
    "--percentages",
    type=click.Choice(["named", "all", "none"]),
    help="Which ingredients carry a percentage (else what the market wants).",
)
@sheets.force
@sheets.quiet
@click.pass_context
def declare(
    ctx: click.Context,
    batch: str,
    form: str,
    output: str | None,
    market: str | None,
    name: str | None,
    species: str | None,
    food_form: str | None,
    stage: str | None,
    complete: bool,
    unit: str | None,
    moisture: float | None,
    yield_: float | None,
    margin: float,
    worst: bool,
    percentages: str | None,
    force: bool,
    quiet: bool,
) -> None:
    """Write the panel file that a batch sheet supports: declaration, guarantees with a safety
    margin, calorie line; and say which names the formula earns."""
    from panellint.maker.declare import Product
    from panellint.maker.declare import declare as declared_of
    from panellint.rulepacks.settings import Settings

    sheets.guard(output, (batch,), force)
    read = sheets.with_water(sheets.batch_of(batch, quiet=quiet), moisture, yield_)
    settings = Settings.for_path(batch).with_market(market)
    product = Product(name or "", species or "", food_form or "", stage or "", unit or "", complete)
    path = output if output and output != "-" else "-"
    found = declared_of(
        read,
        product,
        settings,
        margin=margin,
        worst=worst,
        percentages=percentages or "",
        path=path,
    )
    with opened(output) as stream:
        if form == "json":
            stream.write(json.dumps(_data(read, found), allow_nan=False, indent=1) + "\n")
        else:
            stream.write(found.text)
    if form != "json":
        _tell(found)
    ctx.exit(Exit.CLEAN)


def _tell(found: Declared) -> None:
    from panellint.lint.runner.results import Checked, Tally

    for note in found.notes:
        click.echo(f"panellint: {note}", err=True)
    tally = Tally()
    result = found.findings()
    tally.add(Checked("-", result))
    if tally.findings:
        for finding in result.findings:
            click.echo(f"panellint: lint: {finding.severity}: {finding.message}", err=True)
    else:
        click.echo("panellint: lint finds nothing in this panel file", err=True)
    click.echo(f"panellint: {CAUTION}", err=True)


def _data(batch: Batch, found: Declared) -> dict[str, Any]:
    from panellint.maker.reconcile.tables import analysis_data, sheet_data
    from panellint.output.findings.json import file_data

    return {
        "panel": found.text,
        "names": [
            {
                "named": list(one.named),
                "tier": one.tier,
                "name": one.name,
                "earned": one.earned,
                "why": one.why or None,
                "rule": one.rule or None,
            }
            for one in found.tiers
        ],
        "notes": list(found.notes),
        "caution": CAUTION,
        "analysis": analysis_data(found.context),
        "sheet": sheet_data(found.context),
        "lint": file_data(found.findings())["findings"],
    }
