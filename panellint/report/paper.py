"""A page as PDF, printed by a Chromium that is installed."""

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

from panellint.core.errors import Fault, InputError
from panellint.output.atomic_file import opened

_PROGRAMS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
#: Seconds after which printing is given up.
_LONGEST = 120


def print_pdf(page: str, output: str) -> None:
    """Writes an HTML page as PDF; the file is whole or untouched.

    Raises InputError where no Chromium is installed or it fails, and says how to print instead.
    """
    program = next(filter(None, map(shutil.which, _PROGRAMS)), None)
    if program is None:
        raise _fault(output, "no Chromium is installed to print a PDF")
    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder, "page.html"), Path(folder, "page.pdf")
        source.write_text(page, encoding="utf-8")
        # Who is root has no sandbox there; the page itself loads nothing and runs no script.
        rooted = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
        flags = ["--headless", "--disable-gpu", "--no-pdf-header-footer", *rooted]
        profile = f"--user-data-dir={Path(folder, 'profile')}"
        try:
            subprocess.run(
                [program, *flags, profile, f"--print-to-pdf={target}", source.as_uri()],
                check=True,
                capture_output=True,
                timeout=_LONGEST,
            )
            printed = target.read_bytes()
        except (subprocess.SubprocessError, OSError) as error:
            raise _fault(output, f"Chromium did not print it ({type(error).__name__})") from None
    with opened(output) as stream:
        stream.buffer.write(printed)


def _fault(output: str, message: str) -> InputError:
    otherwise = "write a .html file, open it in any browser and print it there"
    return InputError(Fault(output, None, None, message, otherwise))
