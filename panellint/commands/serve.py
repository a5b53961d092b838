"""`panellint serve`: the editor's server."""

import os
import sys
from pathlib import Path

import click

from panellint.core.errors import PanellintError

EDITORS = Path(__file__).resolve().parent.parent / "editors"
EPILOG = f"""An editor starts it and talks to it; at a terminal it waits for a client in vain.
Plugins of a few lines, one of them for this server, lie in {EDITORS}."""


@click.command(epilog=EPILOG)
@click.pass_context
def serve(ctx: click.Context) -> None:
    """Serve an editor over standard input and output, in the Language Server Protocol:
    findings as you type, what is under the pointer, quick fixes, outline and completion. Needs
    the extra `editor`."""
    try:
        import pygls.lsp.server  # noqa: F401
    except ImportError as error:
        raise PanellintError(
            f"serve needs pygls 2 ({error}); install it with: pip install 'panellint[editor]'"
        ) from None
    from panellint.server.features import make

    # The protocol has standard output to itself, whatever a check prints.
    output = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    server = make()
    try:
        server.start_io(sys.stdin.buffer, output)
    finally:
        server.prover.end()
    ctx.exit(server.exit_status)
