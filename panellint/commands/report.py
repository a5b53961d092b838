"""`panellint report`: the reading of one food, or of several side by side."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, TextIO

import click

from panellint.commands import animal, options
from panellint.core.errors import Fault, InputError
from panellint.lint.runner.files import Ignored, find, source_of
from panellint.output.atomic_file import opened
from panellint.output.render_options import look_of
from panellint.rulepacks.settings import Settings

if TYPE_CHECKING:
    from collections.abc import Iterator

    from panellint.nutrition.requirements import Need
    from panellint.report.blocks import Block
    from panellint.report.reading import Read

EPILOG = """PATH is a panel file, a folder (its *.panel files), a glob in quotes, or - for standard
input. One food is read from top to bottom; several are put side by side, each in short."""


@click.command(epilog=EPILOG)
@click.argument("paths", metavar="PATH...", nargs=-1, required=True)
@options.form(["text", "markdown", "html"])
@options.output
@options.market
@options.named
@animal.of_body_weight
def report(
    paths: tuple[str, ...],
    form: str,
    output: str | None,
    market: str | None,
    named: str | None,
    body_weight: float | None,
    species: str | None,
    life: str,
) -> None:
    """Explain one food, or several, from the label to people who are no specialists: what it
    is, what its name promises, what is in it, what it feeds, what is wrong or doubtful. The
    HTML page needs nothing beside itself, and prints."""
    reads = _reads(paths, market, named)
    today = date.today()
    day = f"{today.day} {today:%B %Y}"
    animals = [one.reading.species for one in reads]
    need = animal.need_of(body_weight, species, life, animals)
    with opened(output) as stream:
        if len(reads) == 1 and need is None:
            _write_one(reads[0], form, day, stream)
        else:
            _write_several(reads, form, day, need, stream)


def _reads(paths: tuple[str, ...], market: str | None, named: str | None) -> list[Read]:
    """Every label read, in the order of the arguments; every fault is told at once."""
    from panellint.lint.runner.parallel import Progress

    found = find(paths, Ignored())
    for path, reason in found.left_out:
        click.echo(f"panellint: {path}: left out by {reason}", err=True)
    progress = Progress(len(found.paths))
    faults: list[Fault] = list(found.faults)
    reads = []
    try:
        for path in found.paths:
            try:
                reads.append(_read(path, market, named))
            except InputError as error:
                faults += error.faults
            progress.step()
    finally:
        progress.hide()
    if not (reads or faults):
        faults.append(Fault(paths[0], None, None, "no label is left to read"))
    if faults:
        raise InputError(*faults)
    return reads


def _read(path: str, market: str | None, named: str | None) -> Read:
    from panellint.analysis.context import LabelContext
    from panellint.report.reading import read

    source = source_of(path, named)
    settings = Settings.for_path(source.path).with_market(market)
    return read(LabelContext.of(source, settings))


def _write_one(one: Read, form: str, day: str, stream: TextIO) -> None:
    if form == "html":
        from panellint.report.page import one_page

        stream.write(one_page(one.reading, day))
        return
    from panellint.report import blocks

    _write_blocks(blocks.one(one.reading, day), form, stream)


def _write_several(
    reads: list[Read], form: str, day: str, need: Need | None, stream: TextIO
) -> None:
    from panellint.report.several import several

    foods = several(reads, need)
    if form == "html":
        from panellint.report.page import several_page

        stream.write(several_page(foods, day))
        return
    from panellint.report import blocks

    _write_blocks(blocks.several(foods, day), form, stream)


def _write_blocks(found: Iterator[Block], form: str, stream: TextIO) -> None:
    if form == "markdown":
        from panellint.report import markdown

        stream.writelines(markdown.write(found))
    else:
        from panellint.report import text

        text.write(found, stream, look_of(stream))
