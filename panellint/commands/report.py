"""`panellint report`: the review of one food, or of several side by side."""

from __future__ import annotations

import json

import click

from panellint import api
from panellint.commands import options
from panellint.commands.options import Request, render_options, request
from panellint.lint.runner.parallel import Progress
from panellint.output.atomic_file import opened

EPILOG = """PATH is a panel file, a folder (its *.panel files), a glob in quotes, or - for standard
input. One food is read from top to bottom; several are put side by side, each in short."""


@click.command(epilog=EPILOG)
@click.argument("paths", metavar="PATH...", nargs=-1, required=True)
@request("text", "markdown", "html", "json", named=True)
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
    from panellint.report.blocks import flat

    labels = request.labels(paths)
    progress = Progress(len(labels))
    try:
        blocks = api.report_blocks(labels, body_weight, species, life, progress.step)
    finally:
        progress.hide()
    with opened(request.output) as stream:
        if request.form == "html":
            from panellint.report.page import page

            stream.write(page(blocks))
        elif request.form == "markdown":
            from panellint.report import markdown

            stream.writelines(markdown.write(flat(blocks)))
        elif request.form == "json":
            from panellint.output.document import to_dict

            data = {"blocks": list(map(to_dict, flat(blocks)))}
            stream.write(json.dumps(data, allow_nan=False, indent=1) + "\n")
        else:
            from panellint.output import terminal

            terminal.write(flat(blocks), stream, render_options(stream))
