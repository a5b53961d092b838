"""`panellint changes`: what a new version of a label changed."""

import os

import click

from panellint import api
from panellint.commands.options import Request, request
from panellint.core.errors import Exit
from panellint.core.findings import Severity
from panellint.core.source import decode

EPILOG = """OLD and NEW are panel files, - for standard input, or REV:PATH for a file as git has it
(HEAD:duck.panel). The exit status is 1 where the new version brings findings at or above the
severity that fails a lint."""


@click.command(epilog=EPILOG)
@click.argument("old")
@click.argument("new")
@request("terminal", "markdown", "json")
def changes(old: str, new: str, request: Request) -> Exit:
    """Show what a new version of a label changed: ingredients that moved, came or went, what
    the name promises, guarantees, calories, statements and claims, and the findings. As
    Markdown, for a pull request, with the shares of before and now."""
    older, newer = _label(old, request), _label(new, request)
    data = api.changes(older, newer)
    both = (older, newer) if request.form == "markdown" else ()
    shares = [api.shares(*label[:2], settings=label.settings) for label in both]
    request.write(data, "changes", shares=shares)
    fail_at = (newer.settings or request.settings(newer.path)).fail_at
    severities = [Severity(finding["severity"]) for finding in data["findings"]["new"]]
    failing = fail_at is not None and any(severity.rank <= fail_at.rank for severity in severities)
    return Exit.FINDINGS if failing else Exit.CLEAN


def _label(argument: str, request: Request) -> api.Label:
    """Returns a label by its file or by git; settings are those that reach the path now."""
    revision, colon, path = argument.partition(":")
    if argument == "-" or not colon or not path or os.path.lexists(argument):
        return request.label(argument)
    from panellint.lint.runner.git import content_at

    data, real = content_at(revision, path)
    return api.Label(decode(data, argument).text, argument, request.settings(real))
