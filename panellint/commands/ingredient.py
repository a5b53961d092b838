"""`panellint ingredient`: what the catalogue knows, and from where."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from panellint.commands import options
from panellint.core.errors import PanellintError
from panellint.output.atomic_file import opened
from panellint.output.render_options import width_of
from panellint.output.views.ingredient import ingredient_data, ingredient_text
from panellint.rulepacks.settings import Settings

if TYPE_CHECKING:
    from panellint.catalogue import Catalogue
    from panellint.catalogue.model import Match


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
    found = catalogue.lookup(name, market=where, language=spoken)
    bare, match = (name, found) if found else _as_printed(name, catalogue, where, spoken)
    if match is None:
        raise PanellintError(_unknown(bare, catalogue.suggest(bare, market=where, language=spoken)))
    facts = catalogue.composition(bare, market=where, language=spoken)
    with opened(output) as stream:
        if form == "json":
            stream.write(json.dumps(ingredient_data(name, match, facts), indent=1) + "\n")
        else:
            stream.write(ingredient_text(name, match, facts, width_of(stream)))


def _as_printed(
    name: str, catalogue: Catalogue, market: str, language: str
) -> tuple[str, Match | None]:
    """The name inside a name with its brackets, percentage and tail, as a declaration has it.

    Raises PanellintError where several ingredients are named.
    """
    from panellint.core.source import Source
    from panellint.ingredients.resolve import identify
    from panellint.label.reader import read_label

    label = read_label(Source(name))
    entries = identify(label, catalogue, market=market, language=language).ingredients
    if len(entries) > 1:
        several = ", ".join(entry.name for entry in entries)
        raise PanellintError(f"{name!r} names several ingredients: {several}; ask for one")
    return (entries[0].name, entries[0].match) if entries else (name, None)


def _unknown(name: str, near: list[str]) -> str:
    hint = f"; nearest: {', '.join(near)}" if near else ""
    return f"the catalogue knows no {name!r}{hint}"
