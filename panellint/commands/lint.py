"""`panellint lint`: find the labels, lint them, tell the findings."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator

import click

from panellint.checker import Checker
from panellint.commands import options
from panellint.errors import Fault
from panellint.exits import Exit, Terminated
from panellint.files import STANDARD_INPUT, Found, Ignored, find
from panellint.findings import Severity
from panellint.jobs import Progress, run
from panellint.output import FORMATS, writer
from panellint.output.files import opened
from panellint.output.look import Look, wants_colour, width_of
from panellint.run import Checked, Tally

EPILOG = """PATH is a panel file, a folder (its *.panel files), a glob in quotes, or - for standard
input; without one, the folder you are in."""


@click.command(epilog=EPILOG)
@click.argument("paths", metavar="[PATH]...", nargs=-1)
@options.form(list(FORMATS))
@options.output
@options.market
@options.named
@click.option(
    "--fail-at",
    type=click.Choice([*(word.value for word in Severity), "never"]),
    help="The mildest severity that makes the exit status 1 (settings, else warning).",
)
@click.option("--summary", is_flag=True, help="Only count the findings of each label.")
@click.option("--quick", is_flag=True, help="Leave out the rules that need the solver.")
@click.option(
    "--jobs",
    metavar="N",
    type=click.IntRange(min=0),
    default=1,
    help="Work in N processes; 0 takes as many as there are cores.",
)
@click.option("--since", metavar="REV", help="Only labels that changed since that git revision.")
@click.option(
    "--baseline", metavar="FILE", help="Findings to take as known; only new ones are told."
)
@click.option(
    "--write-baseline", is_flag=True, help="Take all findings of now as known, in that file."
)
@click.option("--no-ignore", is_flag=True, help="Lint what ignore files and settings leave out.")
@click.pass_context
def lint(
    ctx: click.Context,
    paths: tuple[str, ...],
    form: str,
    output: str | None,
    market: str | None,
    named: str | None,
    fail_at: str | None,
    summary: bool,
    quick: bool,
    jobs: int,
    since: str | None,
    baseline: str | None,
    write_baseline: bool,
    no_ignore: bool,
) -> None:
    """Say what is wrong or doubtful in labels."""
    if named is not None and STANDARD_INPUT not in paths:
        raise click.UsageError("--as names standard input: give - as PATH.")
    if write_baseline and baseline is None:
        raise click.UsageError("--write-baseline needs --baseline FILE to say where.")
    found = find(paths or (".",), None if no_ignore else Ignored())
    for path, reason in found.left_out:
        click.echo(f"panellint: {path}: left out by {reason} (--no-ignore lints it)", err=True)
    checker = Checker(market, fail_at, named, quick)
    tally = Tally()
    stream = tally.over(_one_by_one(found, checker, jobs or os.cpu_count() or 1, output))
    with opened(output) as target:
        look = Look(
            colour=wants_colour(sys.stdout) and target is sys.stdout,
            width=width_of(target),
            summary_only=summary,
        )
        for piece in writer(form)(_faults_told(stream), look):
            target.write(piece)
        target.flush()
    ctx.exit(Exit.UNUSABLE if tally.unusable else Exit.FINDINGS if tally.failing else Exit.CLEAN)


def _one_by_one(found: Found, checker: Checker, jobs: int, output: str | None) -> Iterator[Checked]:
    """Each file of the run as it is done, with a line of progress where that takes long."""
    for fault in found.faults:
        yield Checked(fault.path, faults=(fault,))
    progress = Progress(len(found.paths))
    try:
        for checked in run(checker, found.paths, jobs):
            progress.step()
            if output is None:
                progress.hide()
            yield checked
        progress.hide()
    except (KeyboardInterrupt, Terminated):
        progress.hide()
        kept = f"; {output} is as it was" if output else ""
        click.echo(
            f"panellint: stopped after {progress.done:,} of {progress.total:,} labels{kept}",
            err=True,
        )
        raise


def _faults_told(stream: Iterable[Checked]) -> Iterator[Checked]:
    """The same stream; each fault is told on standard error, once."""
    told: set[Fault] = set()
    for checked in stream:
        for fault in checked.faults:
            if fault not in told:
                told.add(fault)
                click.echo(f"panellint: {fault}", err=True)
        yield checked
