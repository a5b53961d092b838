"""The animal that a food is for: options and its daily need, for portions and costs."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any, TypeVar

import click

from panellint.core.errors import PanellintError

if TYPE_CHECKING:
    from panellint.nutrition.requirements import Need

Command = TypeVar("Command", bound=Callable[..., Any])


def of_body_weight(command: Command) -> Command:
    """`--body-weight`, `--species` and `--life`."""
    for option in (
        click.option(
            "--life",
            metavar="WORD",
            default="adult",
            show_default=True,
            help="How the animal lives: adult, senior, active, low-activity, puppy-to-half...",
        ),
        click.option(
            "--species",
            type=click.Choice(["dog", "cat"]),
            help="The animal, where the labels do not say it.",
        ),
        click.option(
            "--body-weight",
            type=float,
            metavar="KG",
            help="The animal's weight, for portions and costs of a day.",
        ),
    ):
        command = option(command)
    return command


def need_of(
    kilograms: float | None, species: str | None, life: str, labels: Iterable[str | None]
) -> Need | None:
    """The daily need of the animal; None where no weight is given.

    `labels` are the species of the labels. Raises PanellintError where they do not settle the
    species, or the weight or the way of life is none.
    """
    from panellint.core.errors import NotComputable
    from panellint.nutrition.requirements import daily_energy

    if kilograms is None:
        return None
    said = sorted({one for one in labels if one})
    if species is None and len(said) != 1:
        what = "are for dogs and for cats" if said else "do not say which animal they are for"
        raise PanellintError(f"the labels {what}: --species dog or --species cat tells")
    try:
        return daily_energy(species or said[0], kilograms, life)
    except NotComputable as fault:
        raise PanellintError(fault.reason) from None
