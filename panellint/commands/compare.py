"""`panellint compare`: several foods side by side on one basis."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from panellint.commands import animal, options
from panellint.core.errors import InputError
from panellint.lint.runner.files import Ignored, find, source_of
from panellint.output.atomic_file import opened
from panellint.output.render_options import look_of

if TYPE_CHECKING:
    from panellint.tasks.compare import Food

_BASES = ("as-fed", "dry-matter", "per-1000-kcal", "energy-share")
_ORDERS = (
    "protein", "fat", "fibre", "moisture", "ash", "carbohydrate", "energy", "cost", "name",
)  # fmt: skip


@click.command()
@click.argument("paths", nargs=-1, required=True, metavar="PATH...")
@options.form(["terminal", "json"])
@options.output
@options.market
@options.named
@click.option(
    "--basis",
    type=click.Choice(_BASES),
    default="dry-matter",
    show_default=True,
    help="What the foods are told on.",
)
@click.option(
    "--sort",
    "order",
    type=click.Choice(_ORDERS),
    default="protein",
    show_default=True,
    help="The largest first, but the cheapest and the first name first.",
)
@animal.of_body_weight
def compare(
    paths: tuple[str, ...],
    form: str,
    output: str | None,
    market: str | None,
    named: str | None,
    basis: str,
    order: str,
    body_weight: float | None,
    species: str | None,
    life: str,
) -> None:
    """Put foods side by side on one basis, with what 1000 kcal cost where price and net weight
    are given, and what a day costs for an animal of a body weight. PATH is a panel file, a
    folder, or - for standard input."""
    from panellint.tasks.compare import compare as compared

    foods = _foods(paths, market, named)
    need = animal.need_of(
        body_weight, species, life, [food.statement.facts.species for food in foods]
    )
    data = compared(foods, basis=basis.replace("-", " "), sort_by=order, need=need)
    with opened(output) as stream:
        if form == "json":
            stream.write(json.dumps(data, allow_nan=False, indent=1) + "\n")
        else:
            from panellint.output.views.compare import write

            write(data, stream, look_of(stream))


def _foods(paths: tuple[str, ...], market: str | None, named: str | None) -> list[Food]:
    """The foods in the order of the arguments; every fault is told at once."""
    from panellint.analysis.context import LabelContext
    from panellint.rulepacks.settings import Settings
    from panellint.tasks.compare import food_of

    found = find(paths, Ignored())
    faults = list(found.faults)
    foods = []
    for path in found.paths:
        try:
            source = source_of(path, named)
            settings = Settings.for_path(source.path).with_market(market)
            foods.append(food_of(LabelContext.of(source, settings)))
        except InputError as error:
            faults += error.faults
    for path, pattern in found.left_out:
        click.echo(f"panellint: {path} is ignored ({pattern})", err=True)
    if faults:
        raise InputError(*faults)
    return foods
