"""`panellint report`: the review of one food, or of several side by side."""

import os
from typing import Any

import click

from panellint.commands import options
from panellint.commands.options import Request, request
from panellint.lint.runner.parallel import Progress

EPILOG = """PATH is a panel file, a folder (its *.panel files), a glob in quotes, or - for standard
input. One food gives the sheet for its owner, several give the range. The name of --output picks
the form: .html, .md, .txt, .json or .pdf (printed by an installed Chromium)."""

#: The form of an output by the end of its name.
FORMS = {".html": "html", ".htm": "html", ".md": "markdown", ".txt": "text", ".pdf": "pdf"}


@click.command(epilog=EPILOG)
@click.argument("paths", metavar="PATH...", nargs=-1, required=True)
@request("text", "markdown", "html", "pdf", "json", named=True)
@click.option(
    "--kind",
    type=click.Choice(["sheet", "full", "range", "slides"]),
    help="The owner's page of one food, the long reading (of several foods a section each), a "
    "range on one page, or a page a food to talk through (sheet, of several foods range).",
)
@options.animal
@click.pass_context
def report(
    ctx: click.Context, /, paths: tuple[str, ...], request: Request, kind: str | None, **animal: Any
) -> None:
    """Explain one food, or several, from the label to people who are no specialists: what it
    is, what its name promises, what is in it, what it feeds, what is wrong or doubtful. The
    HTML page needs nothing beside itself, and prints."""
    from panellint.output.document import to_dict
    from panellint.report.blocks import flat
    from panellint.report.kinds import chosen, document
    from panellint.tasks.animal import animal_of

    request = request._replace(form=_form(ctx, request))
    labels = request.labels(paths)
    kind = chosen(kind, len(labels))
    contexts = (label.context() for label in labels)
    with Progress(len(labels)) as progress:
        blocks = document(contexts, kind, animal_of(**animal), progress.step)
    if request.form == "pdf":
        from panellint.report.page import page, print_pdf

        print_pdf(page(blocks, kind), str(request.output))
    elif request.form == "json":
        request.write({"blocks": list(map(to_dict, flat(blocks)))})
    else:
        request.write(blocks, iter if request.form == "html" else flat, kind)


def _form(ctx: click.Context, request: Request) -> str:
    """Returns the form that is asked for, else that of the output's name."""
    asked = ctx.get_parameter_source("form") is click.core.ParameterSource.COMMANDLINE
    suffix = os.path.splitext(request.output or "")[1].lower()
    form = request.form if asked else {**FORMS, ".json": "json"}.get(suffix, request.form)
    if form == "pdf" and not request.output:
        raise click.UsageError("A PDF goes to a file: --output NAME.pdf")
    return form
