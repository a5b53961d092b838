"""`panellint reformulate`: the least change of weights that reaches a target."""

from typing import Any

import click

from panellint import api
from panellint.commands import options
from panellint.commands.options import Request, note, option, request
from panellint.core.errors import Exit
from panellint.output.atomic_file import write_whole


@click.command()
@click.argument("batch")
@request("terminal", "json", "csv", batch=True)
@click.option("--name", default="", help="The product's name whose promise is to be kept.")
@option(
    "--target TARGET",
    "'protein >= 26 %', 'carbohydrate at most 30 % dry matter'; several may be given.",
    "targets",
    multiple=True,
)
@option(
    "--limit LIMIT",
    "'duck=20..50': the least and the most of a line, in percent of the mix.",
    "limits",
    multiple=True,
)
@option("--hold NAME", "A line that stays as it is.", multiple=True)
@options.choice("--minimise", of=("change", "cost"), says="What is to be least.", usual="change")
@options.species
@options.finished_food
@options.worst
def reformulate(
    batch: str,
    request: Request,
    name: str,
    targets: tuple[str, ...],
    minimise: str,
    species: str | None,
    worst: bool,
    **given: Any,
) -> Exit:
    """Find the least change of weights that reaches a name, a guarantee, a carbohydrate target
    or a nutrient minimum, within limits per ingredient. Exit status 1 where none does."""
    from panellint.output.document import Paragraph, plain
    from panellint.output.document_template import view

    if not name and not targets and minimise == "change":
        raise click.UsageError("Give what is to be reached: --name, --target or --minimise cost.")
    data = api.reformulate(
        request.batch(batch),
        name,
        targets,
        species=species or "",
        worst=worst,
        settings=request.settings(batch),
        cheapest=minimise == "cost",
        **given,
    )
    if request.form != "csv":
        request.write(data, "reformulate")
    elif data["possible"]:
        write_whole(request.output, data["sheet"])
    else:
        lines = (block.words for block in view("clash")(data) if isinstance(block, Paragraph))
        note("\n".join(map(plain, lines)))
    if not request.quiet and data["possible"]:
        for gap in data["unknown"]:
            what = "counted against it" if worst else "counted as none"
            note(f"{gap['target']}: no figure for {', '.join(gap['ingredients'][:6])}, {what}")
    return Exit.CLEAN if data["possible"] else Exit.FINDINGS
