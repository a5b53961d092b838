"""`panellint requirements`: what the market asks of a label, and how each of it stands."""

from datetime import date

import click

from panellint import api
from panellint.commands.options import Request, option, request
from panellint.core.errors import Exit
from panellint.core.findings import State

EPILOG = """PATH is a panel file, a folder (its *.panel files), a glob in quotes, or - for standard
input. The exit status is 1 where a requirement departs, is missing or could not be read."""

#: States with which a label is not in order.
_FAILING = frozenset({State.DEPARTS, State.MISSING, State.NOT_READ})


@click.command(epilog=EPILOG)
@click.argument("paths", metavar="PATH...", nargs=-1, required=True)
@request("text", "json", "markdown", "html", "letter", named=True)
@option("--edition NAME", "The edition of the market's text.")
@option("--state NAME", "A state of the US, by name or postal code.")
@option("--language CODE", "The words' language; EU, UK: de fr it es nl.", default="en")
def requirements(
    paths: tuple[str, ...], request: Request, edition: str | None, state: str | None, language: str
) -> Exit:
    """Go through all that the market asks of a label: what is met, departs or is missing, what
    the text leaves open or could not be read, what is not due and what no text shows, each with
    its clause. A letter lists what has to be put right."""
    labels = request.labels(paths)
    sheets = [api.requirements(*label, edition, state, language) for label in labels]
    if request.form == "json":
        request.write(sheets[0] if len(sheets) == 1 else {"labels": sheets})
    elif request.form == "letter":
        request.write(sheets, "letter", today=date.today().isoformat())
    else:
        request.write(sheets, "requirements", page="full")
    states = {requirement["state"] for sheet in sheets for requirement in sheet["requirements"]}
    return Exit.CLEAN if _FAILING.isdisjoint(states) else Exit.FINDINGS
