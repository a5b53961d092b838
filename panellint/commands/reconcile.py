"""`panellint reconcile`: a label against the batch sheet behind it."""

import os
from collections.abc import Iterator

import click

from panellint.commands import options
from panellint.commands.options import Request, as_json, note, note_reading, render_options, request
from panellint.core.errors import Exit
from panellint.core.findings import Severity
from panellint.core.source import Source
from panellint.lint.runner.files import Ignored, find
from panellint.lint.runner.results import Checked, Tally
from panellint.output import FORMATS, writer
from panellint.output.atomic_file import opened

#: Outputs that the maker reads; the others go to places where a formula may not stand.
OWN = ("terminal", "json")


@click.command()
@click.argument("label", metavar="LABEL|SHEET")
@click.argument("batch", metavar="[BATCH|SHEET]...", nargs=-1)
@request(*FORMATS, named=True, batch=True)
@options.fail_at
@options.explain
@options.option(
    "--with-weights", "Let the weights of the sheet stand in sarif, lsp, junit and gnu too."
)
def reconcile(
    label: str,
    batch: tuple[str, ...],
    request: Request,
    fail_at: str | None,
    explain: bool,
    with_weights: bool,
) -> Exit:
    """Hold a label against its batch sheet: order, names, percentages, guarantees, energy,
    adequacy and hazards, with the weights known. Without BATCH, the sheet that the panel file
    names ("Batch sheet: sheets/duck.csv"). For sheets alone: every label below the folder you are
    in that rests on one of them."""
    from panellint.maker.context import with_batch
    from panellint.maker.reconcile import reconcile as compare
    from panellint.maker.reconcile import to_dict, without_weights
    from panellint.maker.reconcile.data import batch_data
    from panellint.maker.sheet.locate import sheet_of
    from panellint.maker.sheet.read import is_sheet

    if sheets := is_sheet(label):
        if labels := [path for path in batch if not is_sheet(path)]:
            raise click.UsageError(f"The label comes first: reconcile {labels[0]} {label}")
        sources = list(_resting_on({label, *batch}))
        if not sources:
            note("no label rests on these sheets")
    elif len(batch) > 1:
        raise click.UsageError("A label is held against one batch sheet.")
    else:
        sources = [request.source(label)]
    if request.form == "json" and len(sources) != 1:
        raise click.UsageError(f"json holds one label; {len(sources)} rest on these sheets.")
    contexts = []
    for source in sources:
        if batch and not sheets:
            sheet = request.batch(batch[0])
        else:
            sheet = sheet_of(source)
            if not request.quiet:
                note_reading(sheet)
        contexts.append(with_batch(source, sheet, request.settings(source.path)))
    judged = {context.source.path: (context, compare(context)) for context in contexts}
    every = []
    for path, (context, result) in judged.items():
        fails: Severity | None = context.settings.fail_at
        if fail_at is not None:
            fails = None if fail_at == "never" else Severity(fail_at)
        shown = result if request.form in OWN or with_weights else without_weights(result)
        every.append(Checked(path, shown, fail_at=fails))
    tally = Tally()
    with opened(request.output) as stream:
        options_ = render_options(
            stream,
            explain=explain,
            rule_of=lambda path, rule: judged[path][0].settings.rules.get(rule),
        )
        if request.form == "terminal":
            from panellint.output.document_template import view
            from panellint.output.terminal import write

            for context in contexts:
                write(view("reconcile")(batch_data(context)), stream, options_)
                stream.write("\n")
        if request.form == "json":
            tally.add(every[0])
            stream.write(as_json(to_dict(*judged[every[0].path])))
        else:
            stream.writelines(writer(request.form)(tally.over(every), options_))
    return Exit.FINDINGS if tally.failing else Exit.CLEAN


def _resting_on(sheets: set[str]) -> Iterator[Source]:
    """Yields the labels below the working folder whose formula is read from one of these files.
    Raises InputError where a label names a sheet that cannot be used: it may rest on any."""
    from panellint.core.source import read
    from panellint.label.reader import read_label
    from panellint.maker.sheet.locate import named_batch

    wanted = set(map(os.path.realpath, sheets))
    for path in find((".",), Ignored()).paths:
        source = read(path)
        fact = read_label(source).facts.get("batch-sheet")
        files = named_batch(source, fact).files if fact else ()
        if not wanted.isdisjoint(map(os.path.realpath, files)):
            yield source
