"""Options that several commands share, so that they read alike everywhere."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from functools import wraps
from pathlib import Path
from typing import Any, TypeVar, cast

import click

from panellint.core.errors import Fault, InputError
from panellint.core.findings import Severity

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


_output = click.option(
    "--output",
    metavar="FILE",
    help="Write there instead of standard output; the file is whole or untouched.",
)


def output(command: Command) -> Command:
    """The option `--output`, which never names an input of the command (but with `--force`,
    where a command has it)."""

    @wraps(command)
    def guarded(*arguments: Any, **values: Any) -> Any:
        target = values.get("output")
        if target and os.path.isfile(target) and not values.get("force"):
            given = [value for name, value in values.items() if name != "output"]
            flat = [one for v in given for one in (v if isinstance(v, tuple) else (v,))]
            if any(_is_input(target, one) for one in flat if isinstance(one, str)):
                tail = "; --force replaces it" if "force" in values else ""
                raise InputError(Fault(target, None, None, f"is an input of this command{tail}"))
        return command(*arguments, **values)

    return cast("Command", _output(guarded))


def _is_input(target: str, argument: str) -> bool:
    """Whether a file is what an argument names, or a panel file of the folder or glob that it
    names."""
    from glob import has_magic, iglob

    if os.path.exists(argument):
        if os.path.isdir(argument):
            within = Path(target).resolve().is_relative_to(Path(argument).resolve())
            return within and target.endswith(".panel")
        return os.path.samefile(argument, target)
    if not has_magic(argument):
        return False
    return any(os.path.samefile(one, target) for one in iglob(argument, recursive=True))


def _market(_ctx: click.Context, _option: click.Parameter, word: str | None) -> str | None:
    if word is None:
        return None
    from panellint.rulepacks.settings import Settings

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

fail_at = click.option(
    "--fail-at",
    type=click.Choice([*(word.value for word in Severity), "never"]),
    help="The mildest severity that makes the exit status 1 (settings, else warning).",
)
