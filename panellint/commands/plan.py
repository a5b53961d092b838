"""`panellint plan`: what to feed a day of one food or several."""

from typing import Any

import click

from panellint import api
from panellint.commands import options
from panellint.commands.options import Request, request

EPILOG = """A part is a share of the day's energy (half, 30 %, rest) or an amount that the label has
the energy of (1 tablespoon, 1/2 can, 50 g). Give one --part for each PATH, in their order."""


@click.command(epilog=EPILOG)
@click.argument("paths", nargs=-1, required=True, metavar="PATH...")
@request("terminal", "json", named=True)
@options.option("--part PART", "The part of a food.", "parts", multiple=True)
@options.animal
@options.choice(
    "--aim", of=("keep", "lose", "gain"), says="What the animal's weight is to do.", usual="keep"
)
@options.option(
    "--target-weight WEIGHT",
    "The weight to reach, where the aim is to lose or gain.",
    type=options.WEIGHT,
)
def plan(
    paths: tuple[str, ...],
    request: Request,
    parts: tuple[str, ...],
    body_weight: float | None,
    **animal: Any,
) -> None:
    """Plan a day's bowl for an animal of a body weight: cups, cans, spoons and grams of one food
    or several, cost, what the bowl then is, what of it is not complete, and how far the labels'
    own directions differ. PATH is a panel file, a folder, or - for standard input."""
    if body_weight is None:
        raise click.UsageError("A plan needs the animal's weight: --body-weight 20kg or 44lb.")
    request.write(api.plan(request.labels(paths), body_weight, parts, **animal), "plan")
