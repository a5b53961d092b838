"""Options that several commands share, so that they read alike everywhere."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

import click

Command = TypeVar("Command", bound=Callable[..., Any])


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


def _market(_ctx: click.Context, _option: click.Parameter, word: str | None) -> str | None:
    if word is None:
        return None
    from panellint.settings import Settings

    return Settings.default().with_market(word.lower()).chosen_market


market = click.option(
    "--market",
    metavar="MARKET",
    callback=_market,
    help="Whose rules apply (us, eu, uk, ca), above what label and settings say.",
)

named = click.option(
    "--as",
    "named",
    metavar="FILE",
    help="What standard input is called, in the output and for the settings.",
)
