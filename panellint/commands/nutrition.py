"""`panellint nutrition`: the numbers that a label leaves out."""

from __future__ import annotations

import json

import click

from panellint import api
from panellint.commands import options
from panellint.lint.runner.files import source_of
from panellint.output.atomic_file import opened
from panellint.output.render_options import look_of
from panellint.rulepacks.settings import Settings


@click.command()
@click.argument("path")
@options.form(["terminal", "json"])
@options.output
@options.market
@options.named
def nutrition(
    path: str, form: str, output: str | None, market: str | None, named: str | None
) -> None:
    """Tell a food as fed, on dry matter, per 1000 kcal and in the bowl; its carbohydrate and
    energy with their ranges; its guarantees against the profile of its species and stage. PATH
    may be -."""
    source = source_of(path, named)
    settings = Settings.for_path(source.path).with_market(market)
    data = api.nutrition(source.text, source.path, settings)
    with opened(output) as stream:
        if form == "json":
            stream.write(json.dumps(data, allow_nan=False, indent=1) + "\n")
        else:
            from panellint.output.views.nutrition import write

            write(data, stream, look_of(stream))
