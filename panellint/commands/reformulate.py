"""`panellint reformulate`: the least change of weights that reaches a target."""

from __future__ import annotations

import json
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import click

from panellint.commands import options, sheets
from panellint.core.errors import PanellintError
from panellint.core.exit_codes import Exit
from panellint.core.phrases import listed, number
from panellint.output.atomic_file import opened
from panellint.output.columns import Table, text
from panellint.output.render_options import CAUTION, width_of

if TYPE_CHECKING:
    from panellint.maker.formula import Formula
    from panellint.maker.model import Batch
    from panellint.maker.reformulate import Clash, Found, Limits, Row
    from panellint.rulepacks.settings import Settings


@click.command()
@click.argument("batch")
@options.form(["terminal", "json", "csv"])
@options.output
@options.market
@click.option("--name", help="The product's name whose promise is to be kept.")
@click.option(
    "--target",
    "targets",
    multiple=True,
    metavar="TARGET",
    help="'protein >= 26 %', 'carbohydrate at most 30 % dry matter'; several may be given.",
)
@click.option(
    "--limit",
    "limits",
    multiple=True,
    metavar="LIMIT",
    help="'duck=20..50': the least and the most of a line, in percent of the mix.",
)
@click.option("--hold", multiple=True, metavar="NAME", help="A line that stays as it is.")
@click.option("--species", type=click.Choice(["dog", "cat"]), help="The animal it is for.")
@click.option("--moisture", type=float, metavar="PERCENT", help="Moisture of the finished food.")
@click.option(
    "--yield", "yield_", type=float, metavar="PERCENT", help="Finished food, of the mix's weight."
)
@click.option("--worst", is_flag=True, help="Reach targets at the ends of composition ranges.")
@sheets.force
@sheets.quiet
@click.pass_context
def reformulate(
    ctx: click.Context,
    batch: str,
    form: str,
    output: str | None,
    market: str | None,
    name: str | None,
    targets: tuple[str, ...],
    limits: tuple[str, ...],
    hold: tuple[str, ...],
    species: str | None,
    moisture: float | None,
    yield_: float | None,
    worst: bool,
    force: bool,
    quiet: bool,
) -> None:
    """Find the least change of weights that reaches a name, a guarantee, a carbohydrate target
    or a nutrient minimum, within limits per ingredient. Exit status 1 where none does."""
    from panellint.maker.reformulate import Clash, limits_of
    from panellint.rulepacks.settings import Settings

    if not name and not targets:
        raise click.UsageError("Say what is to be reached: --name or --target.")
    sheets.guard(output, (batch,), force)
    read = sheets.with_water(sheets.batch_of(batch, quiet=quiet), moisture, yield_)
    said = Settings.for_path(batch)
    settings = said.with_market(market or said.market_for(read.facts.get("market")))
    bounds = limits_of(read, limits, hold)
    formula = _formula(read, settings)
    found, rows = _best(read, formula, settings, name, targets, bounds, species, worst)
    with opened(output) as stream:
        if form == "json":
            stream.write(json.dumps(_data(read, found, rows), allow_nan=False, indent=1) + "\n")
        elif form == "csv" and not isinstance(found, Clash):
            from panellint.maker.sheet.cells import csv_text
            from panellint.maker.sheet.write import rewritten

            stream.write(csv_text(rewritten(read, found.shares), read.delimiter or ","))
        elif form == "terminal":
            stream.write(_told(read, found, rows, width_of(stream)))
    if isinstance(found, Clash):
        if form == "csv":
            click.echo(f"panellint: {_impossible(found)}", err=True)
        ctx.exit(Exit.FINDINGS)
    if not quiet:
        _tell_unknown(formula, targets, worst)
    ctx.exit(Exit.CLEAN)


def _formula(batch: Batch, settings: Settings) -> Formula:
    from panellint.catalogue import load
    from panellint.maker.formula import Formula

    return Formula.of(batch, load(), market=settings.market_for())


def _best(
    batch: Batch,
    formula: Formula,
    settings: Settings,
    name: str | None,
    targets: tuple[str, ...],
    limits: tuple[Limits, ...],
    species: str | None,
    worst: bool,
) -> tuple[Found | Clash, tuple[Row, ...]]:
    """The least change over the alternatives that a name allows; a clash where none fits."""
    from panellint.maker.reformulate import Found, name_rows, read_target, solve, target_row

    wanted = tuple(target_row(formula, read_target(one), worst) for one in targets)
    animal = species or batch.facts.get("species", "")
    alternatives = list(name_rows(formula, name, settings, animal)) if name else [()]
    best: tuple[Found | Clash, tuple[Row, ...]] | None = None
    for rows in alternatives:
        every = (*rows, *wanted)
        found = solve(batch, every, limits)
        if (
            best is None
            or not isinstance(best[0], Found)
            or (isinstance(found, Found) and found.change < best[0].change)
        ):
            best = (found, every)
    if best is None:
        raise PanellintError("nothing to reach")
    return best


def _percent(value: Fraction) -> str:
    return f"{float(value):.3f}"


def _told(batch: Batch, found: Found | Clash, rows: tuple[Row, ...], width: int) -> str:
    from panellint.maker.reformulate import Clash

    if isinstance(found, Clash):
        return _impossible(found) + "\n"
    weighed = batch.unit == "g"
    headings = ["ingredient", "now %", "new %", "change"] + (["new kg"] if weighed else [])
    cells = []
    for line, share in zip(batch.lines, found.shares, strict=True):
        now = 100 * batch.share(line)
        row = [line.name, _percent(now), _percent(share), f"{float(share - now):+.3f}"]
        if share == now:
            row[3] = ""
        if weighed:
            row.append(number(round(float(share * batch.total / 100_000), 3), 7))
        cells.append(tuple(row))
    notes = [f"reached: {row.words}" for row in rows]
    if found.change:
        notes.append(
            f"{number(round(float(found.change), 3), 5)} percentage points of change in all; no "
            f"formula does it with less than {number(round(float(found.least_change), 3), 5)}"
        )
    else:
        notes.append("the formula reaches it as it is")
    if gone := _gone(batch, found):
        notes.append(f"nothing is left of {listed(gone)}; --hold NAME keeps a line as it is")
    if found.cost_before is not None and found.cost_after is not None:
        before, after = float(found.cost_before), float(found.cost_after)
        notes.append(f"cost per kg of the mix: {before:.4f} now, {after:.4f} new")
    elif any(line.cost is not None for line in batch.lines):
        without = [line.name for line in batch.lines if line.cost is None]
        notes.append(f"cost not told: no cost for {', '.join(without[:5])}")
    notes.append(CAUTION)
    return text(
        [
            Table(
                "",
                tuple(headings),
                tuple(cells),
                frozenset(range(1, len(headings))),
                tuple(notes),
            )
        ],
        width,
    )


def _gone(batch: Batch, found: Found) -> list[str]:
    """Lines of which the new formula has nothing left."""
    pairs = zip(batch.lines, found.shares, strict=True)
    return [line.name for line, share in pairs if not share and batch.share(line)]


def _impossible(found: Clash) -> str:
    lines = ["Impossible within the limits. These cannot all be had:"]
    lines += [f"  {word}" for word in found.words]
    if not found.certified:
        lines.append("  (the solver's word; exact arithmetic alone did not settle it)")
    return "\n".join(lines)


def _data(batch: Batch, found: Found | Clash, rows: tuple[Row, ...]) -> dict[str, Any]:
    from panellint.maker.reformulate import Clash

    wanted = [row.words for row in rows]
    if isinstance(found, Clash):
        return {
            "path": batch.path,
            "possible": False,
            "targets": wanted,
            "clash": list(found.words),
            "certified": found.certified,
        }
    return {
        "path": batch.path,
        "possible": True,
        "caution": CAUTION,
        "targets": wanted,
        "change": float(found.change),
        "least_change": float(found.least_change),
        "gone": _gone(batch, found),
        "cost_per_kg": {
            "before": None if found.cost_before is None else float(found.cost_before),
            "after": None if found.cost_after is None else float(found.cost_after),
        },
        "ingredients": [
            {
                "name": line.name,
                "before": float(100 * batch.share(line)),
                "after": float(share),
                "row": line.place.row,
            }
            for line, share in zip(batch.lines, found.shares, strict=True)
        ],
    }


def _tell_unknown(formula: Formula, targets: tuple[str, ...], worst: bool) -> None:
    from panellint.maker.reformulate import read_target

    for one in targets:
        target = read_target(one)
        unknown = formula.content(target.nutrient, target.basis).unknown
        if unknown:
            what = "counted as none" if not worst else "counted against it"
            click.echo(
                f"panellint: {target.words}: no figure for {', '.join(unknown[:6])}, {what}",
                err=True,
            )
