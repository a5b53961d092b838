"""How an output may look: its width, whether it is coloured, how much it tells."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, TextIO

if TYPE_CHECKING:
    from panellint.rulepacks.model import Rule

USUAL_WIDTH = 80
NARROWEST = 40
WIDEST = 100

CAUTION = (
    "This informs and does not certify: the competent authority of the market judges labels, "
    "a veterinarian or a qualified nutritionist judges diets. Composition ranges are "
    "literature values."
)


class RenderOptions(NamedTuple):
    """What a form needs to know beside the findings themselves.

    With `explain`, findings for people have reasons and whole proofs; with `quiet` nothing is said
    but them; with `statistics` their number by rule comes last. `root` is the folder that
    machine-readable forms make paths relative to. `rule_of` gives the rule behind a finding, by
    the path of the label and the rule's id, or None; `page_of` the URL that explains that rule, or
    "".
    """

    colour: bool = False
    width: int = USUAL_WIDTH
    explain: bool = False
    quiet: bool = False
    statistics: bool = False
    root: Path = Path()
    rule_of: Callable[[str, str], Rule | None] = lambda _path, _rule: None
    page_of: Callable[[str, str], str] = lambda _path, _rule: ""


def wants_colour(stream: TextIO, environment: Mapping[str, str] | None = None) -> bool:
    """Returns whether to colour: on a terminal; NO_COLOR forbids, FORCE_COLOR asks for it."""
    chosen = os.environ if environment is None else environment
    if chosen.get("NO_COLOR"):
        return False
    if chosen.get("FORCE_COLOR"):
        return chosen["FORCE_COLOR"] != "0"
    return stream.isatty() and chosen.get("TERM") != "dumb"


def width_of(stream: TextIO) -> int:
    """Returns how many columns to fill: those of a terminal (40 to 100), and 80 elsewhere."""
    if not stream.isatty():
        return USUAL_WIDTH
    return max(NARROWEST, min(WIDEST, shutil.get_terminal_size().columns))
