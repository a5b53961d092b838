"""`panellint ingredient`: what the catalogue knows, and from where."""

import sys

import click

from panellint import api
from panellint.commands.options import Request, option, request
from panellint.output.atomic_file import write_whole


@click.command()
@click.argument("name", required=False)
@request("terminal", "json")
@option("--language CODE", "The language of the name, such as en or de.")
@option("--new FILE", "Ask for an ingredient of your own and write it there.")
@option("--answer KEY=ANSWER", "Answer for --new.", "answers", multiple=True)
def ingredient(
    name: str | None,
    request: Request,
    language: str | None,
    new: str | None,
    answers: tuple[str, ...],
) -> None:
    """Show what the catalogue knows of an ingredient: what it is, its composition with the
    source of every figure, what it supplies, its hazards. NAME is as printed on a label."""
    if (name is None) == (new is None):
        raise click.UsageError("NAME or --new FILE is expected, one of the two.")
    if answers and new is None:
        raise click.UsageError("--answer goes with --new.")
    if new is not None:
        from panellint.commands.new_ingredient import write_ingredient
        from panellint.commands.new_rule import Questions

        write_whole(request.output, write_ingredient(new, Questions(answers, sys.stdin.isatty())))
        return
    assert name is not None
    request.write(api.ingredient(name, language, request.settings(".")), "ingredient")
