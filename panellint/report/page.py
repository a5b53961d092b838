"""A reading as one HTML file that needs nothing beside itself.

Everything is escaped by the templates; label text stays text. The page's own policy lets in one
style sheet and one script, each by its hash, and nothing from anywhere. There is no style
attribute: bars are SVG with plain attributes, which the policy has no word about.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from panellint import __version__
from panellint.core.text import one_line
from panellint.output.cells import harmless
from panellint.output.render_options import CAUTION
from panellint.report import lead
from panellint.report.model import Part, Reading
from panellint.report.saying import capital, figure, spread
from panellint.report.words import (
    PILES,
    SOURCES,
    about,
    firsts,
    pile_words,
    point_groups,
    share_words,
)
from panellint.report.words import pile as piled

if TYPE_CHECKING:
    from panellint.report.several import Line, Several

_HERE = Path(__file__).parent / "templates"
#: A bar of less than this part of the whole would not be seen.
_LEAST_WIDTH = 0.5


def one_page(reading: Reading, day: str) -> str:
    """The page of one food; `day` is the day on which it was read, in words."""
    piles = [
        (title, segments)
        for basis, title in PILES
        if (segments := piled(reading.figures.parts, basis))
    ]
    return _rendered(
        "one.html.j2",
        "",
        title=f"{reading.name}: a reading of its label",
        r=reading,
        day=day,
        said=_said(reading),
        piles=piles,
        pile_parts=_parts_of(reading.figures.parts),
        source_words=SOURCES,
    )


def several_page(several: Several, day: str) -> str:
    """The page of several foods side by side."""
    return _rendered(
        "several.html.j2",
        _text("page.js"),
        title=f"{len(several.foods)} foods side by side",
        s=several,
        day=day,
        said=_said,
        piled=lambda reading: [
            (title, segments)
            for basis, title in PILES
            if (segments := piled(reading.figures.parts, basis))
        ],
        pile_parts=_parts_of([part for one in several.readings for part in one.figures.parts]),
    )


def _rendered(template: str, script: str, **values: Any) -> str:
    style = _text("page.css")
    return (
        _environment()
        .get_template(template)
        .render(
            policy=_policy(style, script),
            # Our own two files, and the only text that is not escaped.
            style=Markup(style),
            script=Markup(script),
            caution=CAUTION,
            version=__version__,
            **values,
        )
    )


def _policy(style: str, script: str) -> str:
    """What the page may load: its own style and script by their hashes, and nothing else."""
    scripts = f"'{_hash(script)}'" if script else "'none'"
    return (
        f"default-src 'none'; style-src '{_hash(style)}'; script-src {scripts}; "
        "base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


@cache
def _text(name: str) -> str:
    return (_HERE / name).read_text(encoding="utf-8").strip()


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(_HERE),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_shown,
        keep_trailing_newline=True,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals["lead"] = lead
    environment.filters |= {
        "at": lambda value: _share(value),
        "wide": _wide,
        "about": about,
        "fig": figure,
        "whole": lambda value: figure(value, 0),
        "capitalfirst": capital,
        "between": lambda ends: spread(*ends),
        "told": pile_words,
        "firsts": firsts,
        "share": share_words,
        "heavy": point_groups,
    }
    return environment


def _shown(value: object) -> object:
    """Text with nothing in it that could turn the line round or hide: as terminals get it."""
    if isinstance(value, str) and not isinstance(value, Markup):
        return harmless(one_line(value))
    return value


def _share(value: float) -> str:
    return f"{min(100.0, max(0.0, value)):.2f}".rstrip("0").rstrip(".")


def _wide(low: float, high: float) -> str:
    """How wide a bar is, in percent, kept within the whole and wide enough to be seen."""
    low, high = max(0.0, min(100.0, low)), max(0.0, min(100.0, high))
    return _share(min(100.0 - low, max(_LEAST_WIDTH, high - low)) if low < 100 else _LEAST_WIDTH)


def _said(reading: Reading | Line) -> Markup:
    """What marks words of the label: their language, and their own direction of writing."""
    language = Markup(' lang="{}"').format(reading.language) if reading.language else ""
    return Markup(' dir="auto"') + language


def _parts_of(parts: Sequence[Part]) -> list[str]:
    """The parts that are drawn, for the key."""
    return list(dict.fromkeys(part.id for part in parts if part.as_fed is not None))
