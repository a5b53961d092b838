"""`panellint nutrition`: the numbers that a label leaves out."""

import click

from panellint import api
from panellint.commands.options import Request, request


@click.command()
@click.argument("path")
@request("terminal", "json", named=True)
def nutrition(path: str, request: Request) -> None:
    """Show a food as fed, on dry matter, per 1000 kcal and in the bowl; its carbohydrate and
    energy with their ranges; its guarantees against the profile of its species and stage. PATH
    may be -."""
    request.write(api.nutrition(*request.label(path)), "nutrition")
