"""The commands: a table of names, each imported when it is asked for."""

import errno
import os
import sys
from importlib import import_module
from typing import Any

import click

from panellint import __version__
from panellint.core.errors import Exit, PanellintError

#: Set by a shell that asks what can be completed.
COMPLETING = "_PANELLINT_COMPLETE"


#: The commands with the lines that `--help` shows; each is the function of its name in the file of
#: its name in `commands/`.
COMMANDS = {
    "lint": "What is wrong or doubtful in labels.",
    "requirements": "What the market asks of a label, and how each of it stands.",
    "outline": "What the linter understood of a label.",
    "shares": "The least and the most of each ingredient that the label allows.",
    "nutrition": "A food as fed, on dry matter and per 1000 kcal; its carbohydrate and energy.",
    "compare": "Several foods on one basis.",
    "blend": "How much of one food to add to another for a target.",
    "plan": "A day's bowl: amounts, cost, what to watch.",
    "reconcile": "A label against the batch sheet behind it.",
    "declare": "The declaration, guarantees and calorie line that a batch sheet supports.",
    "trace": "Every label that a recalled ingredient reaches.",
    "report": "The review of one food or several.",
    "changes": "What a new version of a label changed.",
    "reformulate": "The least change of weights that reaches a name, a guarantee or a target.",
    "release": "Which labels of a repository may go to print.",
    "ingredient": "What the catalogue knows of an ingredient.",
    "rule": "The rules; one rule with reasons and source.",
    "desk": "A page on this machine to work at labels.",
    "schema": "The JSON Schema of an output or of a file you write.",
    "serve": "The editor's server.",
    "pages": "Rules and ingredients as a static site.",
    "init": "What a repository of labels starts with.",
    "help": "The help of a command.",
}


class Unusable(click.ClickException):
    """A panellint error on its way to standard error."""

    exit_code = Exit.UNUSABLE

    def show(self, file: Any = None) -> None:
        """Prints the message, one fault a line."""
        click.echo(f"panellint: {self.format_message()}", file=file or sys.stderr)


class Commands(click.Group):
    """A group that imports a command only to run it or to show its own help."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Returns the names in the table's order, the order of a user's day."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Returns the command itself; None where there is none of that name."""
        if cmd_name not in COMMANDS:
            return None
        command = getattr(import_module(f"panellint.commands.{cmd_name}"), cmd_name)
        assert isinstance(command, click.Command)
        from panellint.commands.examples import EXAMPLES

        examples = EXAMPLES.get(cmd_name, ())
        if examples and "Examples:" not in (command.epilog or ""):
            # \b keeps lines as they are.
            shown = "\n".join(("\b", "Examples:", *(f"  {example}" for example in examples)))
            command.epilog = "\n\n".join(filter(None, (command.epilog, shown)))
        if COMPLETING in os.environ:
            from panellint.commands.completion import made_completable

            made_completable(cmd_name, command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Resolves a word as click does; the nearest command is named where it is unknown."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            from difflib import get_close_matches

            near = get_close_matches(args[0], COMMANDS, n=1)
            hint = f" Did you mean {near[0]}?" if near else " `panellint --help` lists them."
            ctx.fail(f"There is no command {args[0]!r}.{hint}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Writes the commands with their lines, none of them imported."""
        with formatter.section("Commands"):
            formatter.write_dl([*COMMANDS.items()])

    def invoke(self, ctx: click.Context) -> Any:
        """Runs the command; what a user should read leaves as a message with exit status 2."""
        try:
            return super().invoke(ctx)
        except PanellintError as error:
            raise Unusable(str(error)) from error
        except OSError as error:
            # click would turn this one into exit status 1, which says "findings".
            if error.errno == errno.EPIPE:
                raise click.exceptions.Exit(Exit.PIPE_CLOSED) from error
            raise


@click.group(
    cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100}
)
@click.version_option(__version__, prog_name="panellint", message="%(prog)s %(version)s")
@click.pass_context
def cli(ctx: click.Context) -> None:
    """Read dog and cat food labels that are written as plain text, and say where label and
    food part ways.

    Exit status: 0 nothing at or above the chosen severity, 1 findings, 2 the command or an
    input could not be used.
    """
    from panellint.output.render_options import wants_colour

    ctx.color = wants_colour(sys.stdout)
