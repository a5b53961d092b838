"""`panellint ingredient`: what the catalogue knows, and from where."""

from __future__ import annotations

import json

import click

from panellint.commands import options
from panellint.core.errors import PanellintError
from panellint.output.atomic_file import opened
from panellint.output.render_options import width_of
from panellint.output.views.ingredient import ingredient_data, ingredient_text
from panellint.rulepacks.settings import Settings


@click.command()
@click.argument("name")
@options.form(["terminal", "json"])
@options.output
@options.market
@click.option("--language", metavar="CODE", help="The language of the name, such as en or de.")
def ingredient(
    name: str, form: str, output: str | None, market: str | None, language: str | None
) -> None:
    """Show what the catalogue knows of an ingredient: what it is, its composition with the
    source of every figure, what it supplies, its hazards. NAME is as printed on a label."""
    from panellint.catalogue import load

    settings = Settings.for_path(".").with_market(market)
    catalogue, where = load(), settings.market_for()
    spoken = language or settings.language or "en"
    match = catalogue.lookup(name, market=where, language=spoken)
    if match is None:
        raise PanellintError(_unknown(name, catalogue.suggest(name, market=where, language=spoken)))
    with opened(output) as stream:
        if form == "json":
            stream.write(json.dumps(ingredient_data(name, match), indent=1) + "\n")
        else:
            stream.write(ingredient_text(name, match, width_of(stream)))


def _unknown(name: str, near: list[str]) -> str:
    hint = f"; nearest: {', '.join(near)}" if near else ""
    return f"the catalogue knows no {name!r}{hint}"
