"""Options that several commands share, so that they read alike everywhere."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

import click

Command = TypeVar("Command", bound=Callable[..., Any])

MARKETS = ("us", "eu", "uk", "ca")


def form(names: Sequence[str]) -> Callable[[Command], Command]:
    """`--format`; the first name is the usual one. The command gets it as `form`."""
    return click.option(
        "--format",
        "form",
        type=click.Choice(list(names)),
        default=names[0],
        show_default=True,
        help="The form of the output.",
    )


output = click.option(
    "--output",
    metavar="FILE",
    help="Write there instead of standard output; the file is whole or untouched.",
)

market = click.option(
    "--market",
    type=click.Choice(MARKETS, case_sensitive=False),
    help="Whose rules apply, above what label and settings say.",
)

named = click.option(
    "--as",
    "named",
    metavar="FILE",
    help="What standard input is called, in the output and for the settings.",
)
