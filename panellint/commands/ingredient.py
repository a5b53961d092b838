"""`panellint ingredient`: what the catalogue knows, and from where."""

from __future__ import annotations

import click

from panellint import api
from panellint.commands.options import Request, request


@click.command()
@click.argument("name")
@request("terminal", "json")
@click.option("--language", metavar="CODE", help="The language of the name, such as en or de.")
def ingredient(name: str, request: Request, language: str | None) -> None:
    """Show what the catalogue knows of an ingredient: what it is, its composition with the
    source of every figure, what it supplies, its hazards. NAME is as printed on a label."""
    from panellint.output.views.ingredient import view

    request.write(api.ingredient(name, language, request.settings(".")), view)
