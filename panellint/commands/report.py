"""`panellint report`: the review of one food, or of several side by side."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, TextIO

import click

from panellint.commands import options
from panellint.commands.options import Request, request
from panellint.lint.runner.parallel import Progress
from panellint.output.atomic_file import opened
from panellint.output.render_options import look_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from panellint.nutrition.requirements import DailyNeed
    from panellint.report.blocks import Block
    from panellint.report.reading import Read

EPILOG = """PATH is a panel file, a folder (its *.panel files), a glob in quotes, or - for standard
input. One food is read from top to bottom; several are put side by side, each in short."""


@click.command(epilog=EPILOG)
@click.argument("paths", metavar="PATH...", nargs=-1, required=True)
@request("text", "markdown", "html", named=True)
@options.animal
def report(
    paths: tuple[str, ...],
    request: Request,
    body_weight: float | None,
    species: str | None,
    life: str,
) -> None:
    """Explain one food, or several, from the label to people who are no specialists: what it
    is, what its name promises, what is in it, what it feeds, what is wrong or doubtful. The
    HTML page needs nothing beside itself, and prints."""
    from panellint.tasks.animal import need_of

    reads = _reads(paths, request)
    today = date.today()
    day = f"{today.day} {today:%B %Y}"
    need = need_of(body_weight, species, life, [one.reading.species for one in reads])
    with opened(request.output) as stream:
        if len(reads) == 1 and need is None:
            _write_one(reads[0], request.form, day, stream)
        else:
            _write_several(reads, request.form, day, need, stream)


def _reads(paths: tuple[str, ...], request: Request) -> list[Read]:
    """Returns every label read, in the order of the arguments."""
    from panellint.analysis.context import LabelContext
    from panellint.core.source import Source
    from panellint.report.reading import read
    from panellint.rulepacks.settings import Settings

    labels = request.labels(paths)
    progress = Progress(len(labels))
    reads = []
    try:
        for text, path, settings in labels:
            context = LabelContext.of(Source(text, path), settings or Settings.for_path(path))
            reads.append(read(context))
            progress.step()
    finally:
        progress.hide()
    return reads


def _write_one(one: Read, form: str, day: str, stream: TextIO) -> None:
    if form == "html":
        from panellint.report.page import one_page

        stream.write(one_page(one.reading, day))
        return
    from panellint.report import blocks

    _write_blocks(blocks.one(one.reading, day), form, stream)


def _write_several(
    reads: list[Read], form: str, day: str, need: DailyNeed | None, stream: TextIO
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
