"""`panellint blend`: how much of one food to add to another for a target."""

import os
from typing import Any

import click

from panellint import api
from panellint.commands import options
from panellint.commands.options import Request, request
from panellint.core.errors import Exit, Fault, InputError


@click.command()
@click.argument("base")
@click.argument("added")
@request("terminal", "json", named=True)
@options.option(
    "--target TARGET",
    "'carbohydrate = 12 % of the energy', 'protein >= 35 % dry matter', 'fat at most 40 g per 1000 "
    "kcal', 'energy >= 1200 kcal/kg'.",
    required=True,
)
@options.animal
def blend(base: str, added: str, request: Request, target: str, **animal: Any) -> Exit:
    """Compute how much of ADDED goes to BASE so that the bowl meets a target, what the bowl then
    is on every basis, and what that costs in completeness. BASE is a panel file; ADDED is one
    too, or the name of an ingredient of the catalogue. Exit status 1 where no blend meets the
    target."""
    from panellint.tasks.ingredient import UnknownIngredient

    if base == added == "-":
        raise click.UsageError("Standard input can be one of the two.")
    named = added != "-" and not os.path.lexists(added)
    try:
        other = added if named else request.label(added)
        own = request.settings(".")
        data = api.blend(request.label(base), other, target, settings=own, **animal)
    except UnknownIngredient as error:
        raise InputError(Fault(added, None, None, f"is no file, and {error}")) from None
    request.write(data, "blend")
    return Exit.CLEAN if data["possible"] else Exit.FINDINGS
