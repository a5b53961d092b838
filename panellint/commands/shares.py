"""`panellint shares`: the least and the most of each ingredient that a label allows."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click

from panellint.commands import options
from panellint.lint.runner.files import source_of
from panellint.output.atomic_file import opened
from panellint.output.render_options import look_of
from panellint.rulepacks.settings import Settings

if TYPE_CHECKING:
    from panellint.core.source import Source


@click.command()
@click.argument("path")
@options.form(["terminal", "json"])
@options.output
@options.market
@options.named
@click.option(
    "--premises",
    metavar="NAMES",
    help="Take only these: order, groups, percentages, tail, water, guarantees, and where asked "
    "for name and practice.",
)
@click.option("--proof", is_flag=True, help="Print the proof of every bound.")
@click.option(
    "--proof-of",
    "of",
    metavar="INGREDIENT",
    multiple=True,
    help="Print the proof of the bounds of this ingredient.",
)
def shares(
    path: str,
    form: str,
    output: str | None,
    market: str | None,
    named: str | None,
    premises: str | None,
    proof: bool,
    of: tuple[str, ...],
) -> None:
    """Show the least and the most of each ingredient that the label allows, the families, the
    rank of fresh meat without its water, and whether the name keeps its promises. PATH may
    be -."""
    source = source_of(path, named)
    settings = Settings.for_path(source.path).with_market(market)
    data = _proven(source, settings, premises)
    _known(of, [one["name"] for one in data["ingredients"]], source.path)
    with opened(output) as stream:
        if form == "json":
            stream.write(json.dumps(data, allow_nan=False, indent=1) + "\n")
        else:
            from panellint.output.views.shares import write

            names = {name.casefold() for name in of}
            write(data, stream, look_of(stream), proofs=proof, of=names)


def _proven(source: Source, settings: Settings, premises: str | None) -> dict[str, Any]:
    from panellint.analysis.context import LabelContext
    from panellint.analysis.shares_report import shares as proven
    from panellint.lint.runner.parallel import Progress

    names = None
    if premises is not None:
        names = tuple(word.strip() for word in premises.split(",") if word.strip())
    context = LabelContext.of(source, settings)
    progress = Progress(len(context.leaves), what="ingredients")
    try:
        return proven(context, names, progress.step)
    finally:
        progress.hide()


def _known(asked: tuple[str, ...], names: list[str], path: str) -> None:
    """Raise InputError for an ingredient that the label does not declare."""
    from panellint.core.errors import Fault, InputError
    from panellint.core.phrases import nearest

    declared = {name.casefold() for name in names}
    for name in asked:
        if name.casefold() not in declared and names:
            near = nearest(name, names)
            hint = f"; did you mean {near}?" if near else ""
            raise InputError(Fault(path, None, None, f"declares no {name!r}{hint}"))
