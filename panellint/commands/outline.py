"""`panellint outline`: what the linter understood of a label."""

from __future__ import annotations

import json

import click

from panellint import api
from panellint.commands import options
from panellint.lint.runner.files import source_of
from panellint.output.atomic_file import opened
from panellint.output.render_options import width_of
from panellint.output.views.outline import outline_text
from panellint.rulepacks.settings import Settings


@click.command()
@click.argument("path")
@options.form(["terminal", "json"])
@options.output
@options.market
@options.named
def outline(
    path: str, form: str, output: str | None, market: str | None, named: str | None
) -> None:
    """Show what the linter understood of a label: the tree of the declaration with the names
    it knows, the promises of the name, guarantees, statements. PATH may be -."""
    source = source_of(path, named)
    settings = Settings.for_path(source.path).with_market(market)
    data = api.outline(source.text, source.path, settings)
    with opened(output) as stream:
        if form == "json":
            stream.write(json.dumps(data, indent=1) + "\n")
        else:
            stream.write(outline_text(data, width_of(stream)))
