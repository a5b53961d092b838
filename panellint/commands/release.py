"""`panellint release`: which labels of a repository may go to print."""

import click

from panellint import api
from panellint.commands import options
from panellint.commands.options import Request, note, request
from panellint.core.errors import Exit
from panellint.lint.runner.files import Ignored, find
from panellint.lint.runner.parallel import Progress

EPILOG = """PATH is a panel file, a folder (its *.panel files) or a glob in quotes; without one, the
folder you are in. Exit status: 0 all that were judged may go to print, 1 one may not or could not
be judged for want of a sheet, 2 an input could not be used."""


@click.command(epilog=EPILOG)
@click.argument("paths", metavar="[PATH]...", nargs=-1)
@request("text", "json", "html", market=False)
@options.fail_at
@options.option(
    "--since REV",
    "Only labels that changed since that git revision, or whose sheet, recipe, materials, settings "
    "or packs did.",
)
@options.option("--with-weights", "Let the weights stand in the dossier too.")
def release(
    paths: tuple[str, ...],
    request: Request,
    fail_at: str | None,
    since: str | None,
    with_weights: bool,
) -> Exit:
    """Judge every label with its batch sheet, in each market that it is sold in: weights, name,
    claims, adequacy, guarantees, additives and requirements; say what may go to print, what may
    not and why, with the digests of what was judged."""
    search = find(paths or (".",), Ignored())
    for path, reason in search.left_out:
        note(f"{path}: left out by {reason}")
    for fault in search.faults:
        note(str(fault))
    with Progress(len(search.paths)) as progress:
        data = api.release(search.paths, fail_at, since, with_weights, progress.step)
    request.write(data, "release", page="release")
    summary = data["summary"]
    # A label that names a sheet which cannot be used is an input that cannot be.
    unusable = search.faults or any(
        label["verdict"] == "not judged" and label["sheet"] is not None for label in data["labels"]
    )
    held = summary["may_not_print"] + summary["not_judged"]
    return Exit.UNUSABLE if unusable else Exit.FINDINGS if held else Exit.CLEAN
