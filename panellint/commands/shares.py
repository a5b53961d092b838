"""`panellint shares`: the least and the most of each ingredient that a label allows."""

import click

from panellint import api
from panellint.commands.options import Request, option, request
from panellint.core.errors import Fault, InputError


@click.command()
@click.argument("path")
@request("terminal", "json", "certificate", named=True)
@option(
    "--premises NAMES",
    "Prove from these alone, with commas between: order (the list falls by weight), groups "
    "(brackets list what is inside), percentages (as printed), tail (of “2 % or less”), water "
    "(only water leaves), guarantees; and, taken only where named, calories (the calorie line), "
    "name (its promises are kept), practice (usual levels).",
)
@option("--proof", "Print the proof of every bound.")
@option(
    "--proof-of INGREDIENT",
    "Print the proof of the bounds of this ingredient.",
    "of",
    multiple=True,
)
def shares(
    path: str, request: Request, premises: str | None, proof: bool, of: tuple[str, ...]
) -> None:
    """Show the least and the most of each ingredient that the label allows, the families, the
    rank of fresh meat without its water, and whether the name keeps its promises. The format
    certificate has each proof whole, as fractions that another program can add up. PATH may be
    -."""
    from panellint.lint.runner.parallel import Progress

    text, path, settings = request.label(path)
    names = None
    if premises is not None:
        names = [word.strip() for word in premises.split(",") if word.strip()]
    if request.form == "certificate":
        request.write(api.certificate(text, path, names, settings))
        return
    with Progress(1, what="ingredients") as progress:
        data = api.shares(text, path, names, settings, progress.show)
    _check_declared(of, [ingredient["name"] for ingredient in data["ingredients"]], path)
    request.write(data, "shares", proofs=proof, of={name.casefold() for name in of})


def _check_declared(asked: tuple[str, ...], names: list[str], path: str) -> None:
    """Raises InputError, with the nearest name, for an ingredient that is not declared."""
    from panellint.core.phrases import nearest

    declared = {name.casefold() for name in names}
    for name in asked:
        if name.casefold() not in declared and names:
            near = nearest(name, names)
            hint = f"; did you mean {near}?" if near else ""
            raise InputError(Fault(path, None, None, f"declares no {name!r}{hint}"))
