"""`panellint outline`: what the linter understood of a label."""

import click

from panellint import api
from panellint.commands.options import Request, request


@click.command()
@click.argument("path")
@request("terminal", "json", named=True)
def outline(path: str, request: Request) -> None:
    """Show what the linter understood of a label: the tree of the declaration with the names
    it knows, the promises of the name, guarantees, statements. PATH may be -."""
    request.write(api.outline(*request.label(path)), "outline")
