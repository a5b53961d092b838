"""`panellint changes`: what a new version of a label changed."""

from __future__ import annotations

import json
import os
from pathlib import Path

import click

from panellint.analysis.context import LabelContext
from panellint.commands import options
from panellint.core.exit_codes import Exit
from panellint.core.source import decode
from panellint.lint.runner.files import STANDARD_INPUT, source_of
from panellint.output.atomic_file import opened
from panellint.output.render_options import width_of
from panellint.rulepacks.settings import Settings

EPILOG = """OLD and NEW are panel files, - for standard input, or REV:PATH for a file as git has it
(HEAD:duck.panel). The exit status is 1 where the new version brings findings at or above the
severity that fails a lint."""


@click.command(epilog=EPILOG)
@click.argument("old")
@click.argument("new")
@options.form(["terminal", "json"])
@options.output
@options.market
@click.pass_context
def changes(
    ctx: click.Context, old: str, new: str, form: str, output: str | None, market: str | None
) -> None:
    """Say what a new version of a label changed: ingredients that moved, came or went, what
    the name promises, guarantees, calories, statements and claims, and the findings."""
    from panellint.tasks.changes import as_data
    from panellint.tasks.changes import changes as compare

    found = compare(_case(old, market), _case(new, market))
    data = as_data(found)
    with opened(output) as stream:
        if form == "json":
            stream.write(json.dumps(data, indent=1) + "\n")
        else:
            from panellint.output.views.changes import changes_text

            stream.write(changes_text(data, width_of(stream)))
    fail_at = found.new.settings.fail_at
    failing = any(one.severity.rank <= fail_at.rank for one in found.findings)
    ctx.exit(Exit.FINDINGS if failing else Exit.CLEAN)


def _case(argument: str, market: str | None) -> LabelContext:
    """A label by its file or by git; settings are those that reach the path now."""
    revision, colon, path = argument.partition(":")
    if argument != STANDARD_INPUT and colon and path and not os.path.lexists(argument):
        from panellint.lint.runner.git import content_at

        data, real = content_at(revision, path)
        source = decode(data, argument)
        settings = Settings.for_path(Path(real))
    else:
        source = source_of(argument)
        settings = Settings.for_path(argument)
    return LabelContext.of(source, settings.with_market(market))
