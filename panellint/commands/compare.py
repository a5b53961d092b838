"""`panellint compare`: several foods side by side on one basis."""

from typing import Any

import click

from panellint import api
from panellint.commands import options
from panellint.commands.options import Request, request

_BASES = ("as-fed", "dry-matter", "per-1000-kcal", "energy-share")
_ORDERS = (
    "protein", "fat", "fibre", "moisture", "ash", "carbohydrate", "energy", "cost", "name",
)  # fmt: skip


@click.command()
@click.argument("paths", nargs=-1, required=True, metavar="PATH...")
@request("terminal", "json", named=True)
@options.choice("--basis", of=_BASES, says="The basis of the figures.", usual="dry-matter")
@options.choice(
    "--sort",
    "order",
    of=_ORDERS,
    says="The largest first, but the cheapest and the first name first.",
    usual="protein",
)
@options.animal
def compare(
    paths: tuple[str, ...], request: Request, basis: str, order: str, **animal: Any
) -> None:
    """Put foods side by side on one basis, with what 1000 kcal cost where price and net weight
    are given, and what a day costs for an animal of a body weight. PATH is a panel file, a
    folder, or - for standard input."""
    labels = request.labels(paths)
    request.write(api.compare(labels, basis.replace("-", " "), order, **animal), "compare")
