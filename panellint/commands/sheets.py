"""What the commands on batch sheets share: reading, what is told of it, outputs that are safe."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

import click

from panellint.core.errors import Fault, InputError
from panellint.maker.model import Batch, Place
from panellint.maker.sheet.read import read_batch

Command = TypeVar("Command", bound=Callable[..., Any])

force = click.option(
    "--force", is_flag=True, help="Let --output replace a file that is there already."
)
quiet = click.option("--quiet", is_flag=True, help="Leave out how the sheet was read.")


def batch_of(path: str, root: Path | None = None, quiet: bool = False) -> Batch:
    """The batch sheet of an argument; how it was read is told on standard error."""
    batch = read_batch(path, root)
    if not quiet:
        tell(batch)
    return batch


def tell(batch: Batch) -> None:
    """What the headings were taken for, and what is doubtful."""
    taken = [
        f"{one.printed} as {one.taken_for}" + (f" in {one.unit}" if one.unit else "")
        for one in batch.headings
        if one.taken_for
    ]
    unused = [one.printed for one in batch.headings if not one.taken_for]
    if taken:
        words = f"{batch.path}: read {'; '.join(taken)}"
        words += f"; not used: {', '.join(unused)}" if unused else ""
        click.echo(f"panellint: {words}", err=True)
    for remark in batch.remarks:
        click.echo(f"panellint: {remark}", err=True)


def guard(output: str | None, inputs: Iterable[str], force: bool) -> None:
    """Keep an output from replacing an input, or anything that is there, unless asked to.

    Raises InputError with what stands in the way.
    """
    if output is None or output == "-" or force or not os.path.exists(output):
        return
    if not os.path.isfile(output) and not os.path.isdir(output):
        return
    same = any(os.path.exists(one) and os.path.samefile(one, output) for one in inputs)
    what = "is an input of this command" if same else "is there already"
    raise InputError(Fault(output, None, None, f"{what}; --force replaces it"))


def with_water(batch: Batch, moisture: float | None, yield_: float | None) -> Batch:
    """The sheet with what the command says of the finished food above what the sheet says."""
    if moisture is None and yield_ is None:
        return batch
    if moisture is not None and yield_ is not None:
        raise click.UsageError("--moisture and --yield say the same thing twice.")
    facts = {k: v for k, v in batch.facts.items() if k not in ("finished_moisture", "yield")}
    kind, value = ("finished_moisture", moisture) if moisture is not None else ("yield", yield_)
    place = Place(batch.path, "", 1, 1)
    return replace(
        batch,
        facts={**facts, kind: f"{value} %"},
        fact_places={**batch.fact_places, kind: place},
    )
