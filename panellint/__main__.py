"""The program: streams made safe, the command run, every ending given its exit status."""

import atexit
import gc
import os
import signal
import sys
from io import StringIO, TextIOWrapper
from types import FrameType
from typing import NoReturn

from panellint.core.errors import TRACEBACK, Exit, Terminated, defect

#: New objects after which Python looks for some to give back.
_OBJECTS = 100_000


def main(arguments: list[str] | None = None) -> int:
    """Run a command and return its exit status; nothing that a user meets is a traceback."""
    # Most of what a run makes stays to its end, modules and rules above all, and Python goes
    # through it again and again. Together these two lines save 13 % of a cold start and 10 to
    # 17 % of a run over fifty labels.
    gc.set_threshold(_OBJECTS)
    atexit.register(gc.freeze)

    import click

    from panellint.cli import cli
    from panellint.core.cache import refusal
    from panellint.core.text import harmless

    _open_streams()

    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            # A label can hold what the terminal's encoding, or any encoding, cannot.
            stream.reconfigure(errors="backslashreplace")
    if hasattr(signal, "SIGTERM"):
        signal.signal(signal.SIGTERM, _terminated)
    try:
        status = cli.main(arguments, prog_name="panellint", standalone_mode=False)
        sys.stdout.flush()
        if words := refusal():
            print(f"panellint: {words}", file=sys.stderr)
        return status if isinstance(status, int) else Exit.CLEAN
    except click.ClickException as error:
        shown = StringIO()
        error.show(shown)
        print("\n".join(map(harmless, shown.getvalue().rstrip().split("\n"))), file=sys.stderr)
        return error.exit_code
    except (click.Abort, KeyboardInterrupt):
        return Exit.INTERRUPTED
    except Terminated:
        return Exit.TERMINATED
    except BrokenPipeError:
        # The reader has gone; Python must not try to flush to it once more at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return Exit.PIPE_CLOSED
    except OSError as error:
        place = f"{error.filename}: " if error.filename else ""
        print(f"panellint: {harmless(f'{place}{error.strerror or error}')}", file=sys.stderr)
        return Exit.UNUSABLE
    except Exception as error:
        if os.environ.get(TRACEBACK):
            raise
        print(f"panellint: {defect(error)}", file=sys.stderr)
        return Exit.UNUSABLE


def _open_streams() -> None:
    """Gives the program the standard streams that its caller closed: nothing to read, and what is
    written is lost, as it would be anyway."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115


def _terminated(_number: int, _frame: FrameType | None) -> NoReturn:
    raise Terminated


if __name__ == "__main__":
    sys.exit(main())
