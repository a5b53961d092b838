"""`panellint blend`: how much of one food to add to another for a target."""

from __future__ import annotations

import json
import os
from typing import TYPE_CHECKING

import click

from panellint.commands import animal, options
from panellint.core.errors import Fault, InputError, PanellintError
from panellint.core.exit_codes import Exit
from panellint.lint.runner.files import STANDARD_INPUT, source_of
from panellint.output.atomic_file import opened
from panellint.output.render_options import look_of

if TYPE_CHECKING:
    from panellint.tasks.blend import Portion


@click.command()
@click.argument("base")
@click.argument("added")
@options.form(["terminal", "json"])
@options.output
@options.market
@options.named
@click.option(
    "--target",
    "wanted",
    required=True,
    metavar="TARGET",
    help="'carbohydrate = 12 % of the energy', 'protein >= 35 % dry matter', 'fat at most 40 g "
    "per 1000 kcal', 'energy >= 1200 kcal/kg'.",
)
@animal.of_body_weight
@click.pass_context
def blend(
    ctx: click.Context,
    base: str,
    added: str,
    form: str,
    output: str | None,
    market: str | None,
    named: str | None,
    wanted: str,
    body_weight: float | None,
    species: str | None,
    life: str,
) -> None:
    """Say how much of ADDED goes to BASE so that the bowl meets a target, what the bowl then is
    on every basis, and what that costs in completeness. BASE is a panel file; ADDED is one too,
    or the name of an ingredient of the catalogue. Exit status 1 where no blend meets the
    target."""
    from panellint.core.errors import NotComputable
    from panellint.tasks.blend import blend as blended
    from panellint.tasks.blend import read_target

    if base == STANDARD_INPUT and added == STANDARD_INPUT:
        raise click.UsageError("Standard input can be one of the two.")
    try:
        target = read_target(wanted)
        sides, kinds = [], []
        for argument, known in ((base, False), (added, True)):
            side, kind = _side(argument, market, named, known=known)
            sides.append(side)
            kinds.append(kind)
        need = animal.need_of(body_weight, species, life, kinds)
        data = blended(sides[0], sides[1], target, need=need)
    except NotComputable as fault:
        raise PanellintError(fault.reason) from None
    with opened(output) as stream:
        if form == "json":
            stream.write(json.dumps(data, allow_nan=False, indent=1) + "\n")
        else:
            from panellint.output.views.blend import write

            write(data, stream, look_of(stream))
    ctx.exit(Exit.CLEAN if data["possible"] else Exit.FINDINGS)


def _side(
    argument: str, market: str | None, named: str | None, *, known: bool
) -> tuple[Portion, str | None]:
    """A food of a panel file, or with `known` an ingredient of the catalogue where there is no
    such file; and the species that the label is for."""
    from panellint.analysis.context import LabelContext
    from panellint.analysis.nutrition_input import statement_of
    from panellint.rulepacks.settings import Settings
    from panellint.tasks.blend import portion_of

    if known and argument != STANDARD_INPUT and not os.path.lexists(argument):
        return _ingredient(argument, market), None
    source = source_of(argument, named)
    context = LabelContext.of(source, Settings.for_path(source.path).with_market(market))
    statement = statement_of(context)
    name = context.label.product_name or source.path
    return portion_of(statement, name, source.path), statement.facts.species


def _ingredient(name: str, market: str | None) -> Portion:
    from panellint.catalogue import load
    from panellint.rulepacks.settings import Settings
    from panellint.tasks.blend import portion_of_known

    settings = Settings.for_path(".").with_market(market)
    where, language = settings.market_for(), settings.language or "en"
    match = load().lookup(name, market=where, language=language)
    if match is None:
        near = load().suggest(name, market=where, language=language)
        hint = f"; nearest names: {', '.join(near)}" if near else ""
        raise InputError(
            Fault(name, None, None, f"is no file, and the catalogue knows no {name!r}{hint}")
        )
    return portion_of_known(match.known, name)
