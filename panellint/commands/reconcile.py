"""`panellint reconcile`: a label against the batch sheet behind it."""

from __future__ import annotations

import click

from panellint.commands import options
from panellint.commands.options import Request, as_json, note_reading, render_options, request
from panellint.core.exit_codes import Exit
from panellint.core.findings import Severity
from panellint.lint.runner.results import Checked, Tally
from panellint.output import FORMATS, writer
from panellint.output.atomic_file import opened

#: Outputs that the maker reads; the others go to places where a formula may not stand.
OWN = ("terminal", "json")


@click.command()
@click.argument("label")
@click.argument("batch", required=False)
@request(*FORMATS, named=True, batch=True)
@options.fail_at
@options.explain
@click.option(
    "--with-weights",
    is_flag=True,
    help="Let the weights of the sheet stand in sarif, lsp, junit and gnu too.",
)
@click.pass_context
def reconcile(
    ctx: click.Context,
    label: str,
    batch: str | None,
    request: Request,
    fail_at: str | None,
    explain: bool,
    with_weights: bool,
) -> None:
    """Hold a label against its batch sheet: order, names, percentages, guarantees, energy,
    adequacy and hazards, with the weights known. Without BATCH, the sheet that the panel file
    names ("Batch sheet: sheets/duck.csv")."""
    from panellint.maker.context import with_batch
    from panellint.maker.reconcile import reconcile as compare
    from panellint.maker.reconcile import to_dict, without_weights
    from panellint.maker.reconcile.data import batch_data
    from panellint.maker.sheet.locate import sheet_of

    source = request.source(label)
    settings = request.settings(source.path)
    if batch is not None:
        sheet = request.batch(batch)
    else:
        sheet = sheet_of(source)
        if not request.quiet:
            note_reading(sheet)
    context = with_batch(source, sheet, settings)
    result = compare(context)
    fails: Severity | None = settings.fail_at
    if fail_at is not None:
        fails = None if fail_at == "never" else Severity(fail_at)
    tally = Tally()
    shown = result if request.form in OWN or with_weights else without_weights(result)
    checked = Checked(source.path, shown, fail_at=fails)
    pieces = tally.over([checked])
    with opened(request.output) as stream:
        options_ = render_options(
            stream, explain=explain, rule_of=lambda _path, rule: settings.rules.get(rule)
        )
        if request.form == "terminal":
            from panellint.output.terminal import write
            from panellint.output.views.reconcile import view

            write(view(batch_data(context)), stream, options_)
            stream.write("\n")
        if request.form == "json":
            tally.add(checked)
            stream.write(as_json(to_dict(context, result)))
        else:
            stream.writelines(writer(request.form)(pieces, options_))
    ctx.exit(Exit.FINDINGS if tally.failing else Exit.CLEAN)
