"""`panellint reconcile`: a label against the batch sheet behind it."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

import click

from panellint.commands import options, sheets
from panellint.core.exit_codes import Exit
from panellint.core.findings import Severity
from panellint.lint.runner.files import STANDARD_INPUT, source_of
from panellint.lint.runner.results import Checked, Tally
from panellint.output import FORMATS, writer
from panellint.output.atomic_file import opened
from panellint.output.render_options import RenderOptions, wants_colour, width_of

if TYPE_CHECKING:
    from panellint.rulepacks.model import Rule

#: Outputs that the maker reads; the others go to places where a formula may not stand.
OWN = ("terminal", "json")


@click.command()
@click.argument("label")
@click.argument("batch", required=False)
@options.form(list(FORMATS))
@options.output
@options.market
@options.named
@options.fail_at
@click.option(
    "--with-weights",
    is_flag=True,
    help="Let the weights of the sheet stand in sarif, lsp, junit and gnu too.",
)
@sheets.force
@sheets.quiet
@click.pass_context
def reconcile(
    ctx: click.Context,
    label: str,
    batch: str | None,
    form: str,
    output: str | None,
    market: str | None,
    named: str | None,
    fail_at: str | None,
    with_weights: bool,
    force: bool,
    quiet: bool,
) -> None:
    """Hold a label against its batch sheet: order, names, percentages, guarantees, energy,
    adequacy and hazards, with the weights known. Without BATCH, the sheet that the panel file
    names ("Batch sheet: sheets/duck.csv")."""
    from panellint.core.errors import Fault, InputError
    from panellint.maker.context import with_batch
    from panellint.maker.reconcile import reconcile as compare
    from panellint.maker.reconcile import without_weights
    from panellint.maker.sheet.locate import named_batch
    from panellint.rulepacks.settings import Settings

    source = source_of(label, named)
    settings = Settings.for_path(source.path).with_market(market)
    if batch is not None:
        sheets.guard(output, (label, batch), force)
        found = sheets.batch_of(batch, quiet=quiet)
    else:
        from panellint.label.reader import read_label

        fact = read_label(source).facts.get("batch-sheet")
        if fact is None:
            raise InputError(
                Fault(source.path, None, None, "names no batch sheet", "BATCH, or a `Batch sheet:`")
            )
        found = named_batch(source, fact)
        sheets.guard(output, (label, found.path), force)
        if not quiet:
            sheets.tell(found)
    context = with_batch(source, found, settings)
    result = compare(context)
    if form not in OWN and not with_weights:
        result = without_weights(result)
    fails: Severity | None = settings.fail_at
    if fail_at is not None:
        fails = None if fail_at == "never" else Severity(fail_at)
    tally = Tally()
    checked = Checked(label if label != STANDARD_INPUT else source.path, result, fail_at=fails)

    def rule_of(_path: str, rule: str) -> Rule | None:
        return settings.rules.get(rule)

    with opened(output) as target:
        look = RenderOptions(
            colour=target is sys.stdout and wants_colour(target),
            width=width_of(target),
            rule_of=rule_of,
        )
        if form == "terminal":
            from panellint.maker.reconcile.tables import tables
            from panellint.output.columns import text

            target.write(text(list(tables(context)), look.width) + "\n")
        pieces = "".join(writer(form)(tally.over([checked]), look))
        if form == "json":
            from panellint.maker.reconcile.tables import as_data

            pieces = _joined(pieces, as_data(context))
        target.write(pieces)
    ctx.exit(Exit.FINDINGS if tally.failing else Exit.CLEAN)


def _joined(findings: str, batch: dict[str, Any]) -> str:
    """The object of `lint --format json`, with what the batch comes to under a key of its own."""
    import json

    return json.dumps({**json.loads(findings), "batch": batch}, allow_nan=False) + "\n"
