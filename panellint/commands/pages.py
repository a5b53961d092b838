"""`panellint pages`: the rules, ingredients, checks and commands as a static site."""

from pathlib import Path

import click

from panellint.commands.options import note
from panellint.lint.runner.parallel import Progress


@click.command()
@click.option(
    "-o",
    "--output",
    metavar="DIR",
    required=True,
    type=click.Path(file_okay=False),
    help="The folder of the site; what stands in it is written anew, other files stay.",
)
@click.pass_context
def pages(ctx: click.Context, output: str) -> None:
    """Write a page for each rule, ingredient, check and command and a guide for each kind of user,
    linked with one another and with nothing else. `rule-pages: URL` in panellint.yaml leads
    findings to them, wherever you serve the folder."""
    from panellint.report.site import pages as site_pages
    from panellint.rulepacks.docs import checks, to_dict
    from panellint.rulepacks.settings import Settings
    from panellint.tasks.ingredient import every_ingredient

    settings = Settings.for_path(".")
    rules = map(to_dict, settings.rules.values())
    files = list(site_pages(rules, every_ingredient(settings), checks(), _helps(ctx)))
    with Progress(len(files), what="pages") as progress:
        for name, text in files:
            path = Path(output) / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8", newline="\n")
            progress.step()
    note(f"{output}: {len(files):,} files; open index.html")


def _helps(ctx: click.Context) -> dict[str, tuple[str, str]]:
    """Returns the line and the help of every command."""
    above = ctx.parent
    assert above is not None
    assert isinstance(above.command, click.Group)
    helps = {}
    for name in above.command.list_commands(above):
        command = above.command.get_command(above, name)
        assert command is not None
        with click.Context(command, info_name=name, parent=above, terminal_width=90) as inner:
            helps[name] = (command.get_short_help_str(100), command.get_help(inner))
    return helps
