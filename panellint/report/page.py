"""A report as one HTML file that needs nothing beside itself, or printed as PDF by a Chromium.

Everything is escaped by the templates; label text stays text. The page's own policy lets in one
style sheet by its hash, and nothing from anywhere. There is no script and no style
attribute: bars are SVG with plain attributes, which the policy has no word about.
"""

import base64
import hashlib
import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

from markupsafe import Markup, escape

from panellint import __version__
from panellint.core.errors import Fault, InputError
from panellint.core.text import harmless, one_line
from panellint.output.atomic_file import opened
from panellint.output.document import Heading, Printed, Text, plain
from panellint.output.templates import templates
from panellint.report.blocks import Block

_HERE = Path(__file__).parent / "templates"
#: The style sheet of pages and of pieces of them.
STYLE = _HERE / "page.css"
#: A bar of less than this part of the whole would not be seen.
_LEAST_WIDTH = 0.5


#: What the kinds of report are called, behind the name of the food.
_TITLES = {
    "sheet": "a page for its owner",
    "full": "a reading of its label",
    "range": "a range side by side",
    "slides": "slides",
    "release": "what may go to print",
}


class Section(NamedTuple):
    """A heading of the second level with all that stands under it."""

    heading: Heading
    blocks: tuple[Block, ...]


def page(blocks: Iterable[Block], kind: str = "full") -> str:
    """Returns the page of a report of a kind."""
    head, *sections = _sections(blocks)
    style = STYLE.read_text(encoding="utf-8").strip()
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    return _rendered(
        "page",
        policy=(
            f"default-src 'none'; style-src 'sha256-{digest}'; script-src 'none'; "
            "base-uri 'none'; form-action 'none'"
        ),
        # Our own file, and the only text that is not escaped.
        style=Markup(style),
        title=f"{plain(head.heading.words)}: {_TITLES[kind]}",
        kind=kind,
        head=head,
        sections=sections,
        version=__version__,
    )


def fragment(blocks: Iterable[Block]) -> str:
    """Returns blocks as a piece of a page, without headings of sections of its own."""
    return _rendered("fragment", blocks=list(blocks))


def _sections(blocks: Iterable[Block]) -> Iterator[Section]:
    heading: Heading | None = None
    inside: list[Block] = []
    for block in blocks:
        if isinstance(block, Heading) and block.level <= 2:
            if heading is not None:
                yield Section(heading, tuple(inside))
            heading, inside = block, []
        else:
            inside.append(block)
    if heading is not None:
        yield Section(heading, tuple(inside))


def _rendered(template: str, **values: object) -> str:
    environment = templates(_HERE, percent, wide, kind_of, shown=_shown)
    return environment.get_template(f"{template}.html.j2").render(values)


def kind_of(block: Block) -> str:
    """Returns the name of a block's class, which picks its part of the template."""
    return type(block).__name__


def _shown(value: object) -> object:
    """Returns text with nothing in it that could turn the line round or hide: as terminals get
    it. Words of a label are marked with their language and their own direction of writing."""
    if isinstance(value, tuple):
        return Markup("").join(escape(_shown(piece)) for piece in value)
    if isinstance(value, Markup) or not isinstance(value, str):
        return value
    words = harmless(value if not value.strip() else _folded(value))
    if not isinstance(value, Printed):
        return words
    language = Markup(' lang="{}"').format(value.language) if value.language else ""
    return Markup('<span dir="auto"{}>{}</span>').format(language, words)


def _folded(text: Text) -> str:
    """Returns text on one line, with the spaces at its ends that part it from its neighbours."""
    words = plain(text)
    before, after = " " * words[:1].isspace(), " " * words[-1:].isspace()
    return f"{before}{one_line(words)}{after}"


def percent(value: float) -> str:
    """Returns a figure within 0 and 100 as a place in a bar."""
    return f"{min(100.0, max(0.0, value)):.2f}".rstrip("0").rstrip(".")


def wide(low: float, high: float) -> str:
    """Returns how wide a bar is, in percent, within the whole and wide enough to be seen."""
    low, high = max(0.0, min(100.0, low)), max(0.0, min(100.0, high))
    return percent(min(100.0 - low, max(_LEAST_WIDTH, high - low)) if low < 100 else _LEAST_WIDTH)


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
