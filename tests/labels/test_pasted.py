"""Whole labels as programs leave them when a text is copied, answered or wrapped: nothing that was
right becomes wrong by it."""

from __future__ import annotations

import json
import re
import textwrap
import unicodedata
from collections.abc import Callable
from functools import cache
from zlib import crc32

import pytest

from panellint.core.findings import Severity
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings
from tests.labels.labels import Label, faultless

#: Every so many of the stored labels, in the ordinary run and in the long one.
EVERY, EVERY_LONG = 24, 8
#: Labels that are not yet read as before: a change takes their columns or a statement apart.
APART = {
    "wrapped": {"late-us-lamb-columns", "us12-pdf-two-columns", "w4-us-jerky-one-line"},
    "of_a_list": {
        "us8-multi-bag-case",
        "us12-pdf-two-columns",
        "us20-specification-in-numbered-parts",
    },
    "of_a_page": {"uk20-export-in-elements"},
    "ruled": {"us9-cups-and-kilograms-bag"},
    "of_an_editor": {"multi-nl-multipack"},
    "close": {"us9-cups-and-kilograms-bag"},
    "escaped": {
        "eu16-it-vaso",
        "names-fr-bouchees",
        "r3-de-trocken-welpe",
        "us12-ruled-proof",
        "uk20-export-in-elements",
        "us20-specification-in-numbered-parts",
    },
    # Without line ends, columns, several foods and parts without headings run together.
    "in_a_line": {
        "paste-us-duck-patties",
        "paste-us-gently-cooked",
        "late-us-tuna-bites",
        "late-us-lamb-columns",
        "r1-multi-en-de-nl",
        "eu4-de-katze-niere-diaet",
        "eu5-de-ergaenzung-moehre",
        "us3-adult-seven-plus-trial",
        "us12-pdf-two-columns",
        "us10-trial-statement-bag",
        "eu9b-cs-konzerva-bez-hacku",
        "multi-nl-multipack",
        "u2-topper-sheet",
        "us11-sheet-us4",
        "eu11-sheet-mu1",
        "us-modern-cat-can",
        "ca4-salmon-oil",
        "us14-frozen-raw-web-accordion",
        "us14-vendor-email-reply",
        "us15-raw-chub-sticker",
        "us3-cat-pate-95",
        "us20-specification-in-numbered-parts",
    },
}


def _blocks(text: str) -> list[str]:
    return [block for block in re.split(r"\n[ \t]*\n", text) if block.strip()]


def answered(text: str) -> str:
    """Behind the sign of an answered mail."""
    return "\n".join(f"> {line}".rstrip() for line in text.split("\n"))


def wrapped(text: str) -> str:
    """Broken into lines of 60 characters, as a mail program breaks it."""
    lines = (
        textwrap.fill(line, 60, break_long_words=False, break_on_hyphens=False)
        for line in text.split("\n")
    )
    return "\n".join(lines)


def of_a_page(text: str) -> str:
    """As paragraphs of a page, with its line breaks."""
    escaped = text.replace("&", "&amp;").replace("<", "&lt;")
    paragraphs = (block.replace("\n", "<br>\n") for block in _blocks(escaped))
    return "\n".join(f"<p>{paragraph}</p>" for paragraph in paragraphs)


def of_a_list(text: str) -> str:
    """With a bullet before each line that is not long, but for the first ones."""
    lines = (f"• {line}" if line.strip() and len(line) < 80 else line for line in text.split("\n"))
    return "\n".join([*text.split("\n")[:3], *list(lines)[3:]])


def ruled(text: str) -> str:
    """With a rule between the blocks; behind a colon it would be a blank to fill in."""
    return re.sub(r":\n_____\n", ":\n\n", "\n_____\n".join(_blocks(text))) + "\n"


def counted(text: str) -> str:
    """With the blocks of one line counted."""
    return "\n\n".join(
        f"{number}. {block}" if number > 1 and "\n" not in block else block
        for number, block in enumerate(_blocks(text), 1)
    )


def lettered(text: str) -> str:
    """With a letter before each block of one line but the first."""
    letters = iter("abcdefghijklmnopqrstuvwxyz")
    blocks = _blocks(text)
    few = sum("\n" not in block for block in blocks[1:]) <= 26
    return "\n\n".join(
        f"({next(letters)}) {block}" if few and number and "\n" not in block else block
        for number, block in enumerate(blocks)
    )


def of_an_editor(text: str) -> str:
    """With the number of each line before it."""
    return "\n".join(f"{number:3}  {line}" for number, line in enumerate(text.split("\n"), 1))


def of_a_change(text: str) -> str:
    """As a change that puts a label in the place of another."""
    lines = "".join(f"+{line}\n" for line in text.splitlines())
    return f"--- a/label.panel\n+++ b/label.panel\n@@ -1 +1,9 @@\n-Net weight 3 kg\n{lines}"


def set_in(text: str) -> str:
    """With each line set in."""
    return textwrap.indent(text, "    ")


def of_windows(text: str) -> str:
    """With the line ends, blanks and quotes of an office program."""
    return text.replace("\n", "\r\n").replace(" %", "\u00a0%").replace("'", "’")


def close(text: str) -> str:
    """Without blank lines."""
    return "\n".join(line for line in text.split("\n") if line.strip()) + "\n"


def without_accents(text: str) -> str:
    """As a program that knows no accents leaves it."""
    return "".join(c for c in unicodedata.normalize("NFD", text) if not unicodedata.combining(c))


def in_a_line(text: str) -> str:
    """With all its lines in one, as a cell of a sheet leaves it."""
    return " ".join(text.split())


def escaped(text: str) -> str:
    """As the one string of an export."""
    return json.dumps({"text": text}, ensure_ascii=False)


def with_fixed_blanks(text: str) -> str:
    """With blanks at which no line ends."""
    return text.replace(" ", "\u00a0")


@cache
def _rules(market: str, text: str) -> frozenset[str]:
    """The rules that find an error or a warning."""
    result = lint(Source(text, "label"), Settings().with_market(market), quick=True)
    weighty = (Severity.ERROR, Severity.WARNING)
    return frozenset(finding.rule for finding in result.findings if finding.severity in weighty)


CHANGES = [
    answered,
    wrapped,
    of_a_page,
    of_a_list,
    ruled,
    counted,
    lettered,
    of_an_editor,
    of_a_change,
    set_in,
    of_windows,
    close,
    without_accents,
    escaped,
    with_fixed_blanks,
    in_a_line,
]


@pytest.mark.parametrize("change", CHANGES)
@pytest.mark.parametrize("every", [EVERY, pytest.param(EVERY_LONG, marks=pytest.mark.long)])
def test_a_pasted_label_has_no_other_faults(every: int, change: Callable[[str], str]) -> None:
    more = _more(change, every)
    apart = APART.get(change.__name__, set()) & {label.id for label in _some(every)}
    assert more.keys() == apart, more


def _some(every: int) -> list[Label]:
    return [label for label in faultless() if crc32(label.id.encode()) % every == 0]


def _more(change: Callable[[str], str], every: int) -> dict[str, list[str]]:
    """The labels with errors or warnings that they have only after a change, with their rules."""
    return {
        label.id: sorted(rules)
        for label in _some(every)
        if (rules := _rules(label.market, change(label.text)) - _rules(label.market, label.text))
    }
