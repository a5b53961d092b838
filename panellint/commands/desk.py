"""`panellint desk`: a page on this machine to work at labels."""

import sys
from importlib.util import find_spec

import click

from panellint.core.errors import PanellintError

EPILOG = """FOLDER keeps the labels, as panel files; without one, the folder that you are in. The
page is served to this machine alone and nothing is sent anywhere. The address counts once; Ctrl-C
ends it."""


@click.command(epilog=EPILOG)
@click.argument("folder", default=".", metavar="[FOLDER]")
@click.option("--open/--no-open", "browse", default=None, help="Open the page in the browser.")
def desk(folder: str, browse: bool | None) -> None:
    """Serve a page to paste or open a label, with findings under the words as you type, its sheet,
    shares, nutrition, requirements and a plan beside it. Needs the extra `desk`."""
    if find_spec("bottle") is None:
        raise PanellintError("desk needs bottle; install it with: pip install 'panellint[desk]'")
    from panellint.desk.app import serve
    from panellint.desk.folder import Folder

    server = serve(Folder(folder))
    click.echo(f"panellint desk: {server.guard.address}")
    sys.stdout.flush()
    if sys.stdout.isatty() if browse is None else browse:
        import webbrowser

        webbrowser.open(server.guard.address)
    try:
        server.serve_forever()
    except KeyboardInterrupt:
        click.echo("")
    finally:
        server.server_close()
