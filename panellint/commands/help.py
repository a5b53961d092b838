"""`panellint help`: the help of a command."""

import click


@click.command()
@click.argument("name", metavar="[COMMAND]", required=False)
@click.pass_context
def help(ctx: click.Context, name: str | None) -> None:
    """Show the help of a command, or the list of all."""
    above = ctx.parent
    assert above is not None
    assert isinstance(above.command, click.Group)
    if name is None:
        click.echo(above.get_help())
        return
    _, command, _ = above.command.resolve_command(above, [name])
    assert command is not None
    with click.Context(command, info_name=name, parent=above) as inner:
        click.echo(command.get_help(inner))
