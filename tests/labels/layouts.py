"""One label laid out in many ways: order of its parts, headings, line breaks, case, bullets.

A seed decides the layout, so that each is the same at every run. Whatever the layout, the findings
(errors, warnings and information) are those of the plain one.
"""

from __future__ import annotations

import random
import textwrap
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path

import yaml

from panellint.core.findings import Severity
from tests.labels.measure import findings

LAYOUTS = range(1, 17)

# What a label of each language heads its parts with.
_HEADINGS = {
    "us": {
        "list": "Ingredients",
        "guarantees": "Guaranteed analysis",
        "calories": "Calorie content",
        "feeding": "Feeding directions",
    },
    "en": {
        "list": "Composition",
        "guarantees": "Analytical constituents",
        "feeding": "Feeding instructions",
    },
    "de": {
        "list": "Zusammensetzung",
        "guarantees": "Analytische Bestandteile",
        "feeding": "Fütterungsempfehlung",
    },
    "fr": {
        "list": "Composition",
        "guarantees": "Constituants analytiques",
        "feeding": "Mode d'emploi",
    },
    "it": {
        "list": "Composizione",
        "guarantees": "Componenti analitici",
        "feeding": "Istruzioni per l'uso",
    },
    "es": {
        "list": "Composición",
        "guarantees": "Componentes analíticos",
        "feeding": "Modo de empleo",
    },
    "nl": {
        "list": "Samenstelling",
        "guarantees": "Analytische bestanddelen",
        "feeding": "Gebruiksaanwijzing",
    },
}


@cache
def labels() -> Sequence[Mapping]:
    """The labels in parts."""
    return yaml.safe_load(Path(__file__).with_name("parts.yaml").read_text("utf-8"))


def unlike() -> Iterator[tuple[str, int]]:
    """Each label and layout whose findings are not those of the plain layout."""
    for label in labels():
        plain = said(label, 0)
        for layout in LAYOUTS:
            if said(label, layout) != plain:
                yield label["id"], layout


def said(label: Mapping, layout: int) -> set[tuple[str, Severity]]:
    """Which rules speak of a label in a layout, and how much it weighs."""
    return {
        (finding.rule, finding.severity)
        for finding in findings(label["market"], text(label, layout))
        if finding.severity is not Severity.HINT
    }


def text(label: Mapping, layout: int) -> str:
    """The label's text in a layout; layout 0 is the plain one, with a heading over each part."""
    if layout == 0:
        parts = [*_first(label, "\n"), *_rest(label, _colon, _lines)]
        return "\n\n".join(parts) + "\n"
    chance = random.Random(layout)
    head = chance.choice((_colon, _own_line, _capitals, _markdown))
    table = chance.choice((_lines, _bullets, _dots, _pipes, _sentence, _tabs))
    parts = list(_rest(label, head, table))
    if chance.random() < 0.6:
        chance.shuffle(parts)
    whole = [*_first(label, chance.choice(("\n", "\n\n"))), *parts]
    if chance.random() < 0.3:
        whole = [_wrapped(part, chance.choice((40, 58, 72))) for part in whole]
    printed = chance.choice(("\n\n", "\n\n", "\n")).join(whole) + "\n"
    if chance.random() < 0.2:
        printed = printed.upper().replace("℮", "e")
    if chance.random() < 0.5:
        printed = printed.replace("'", "’")
    return printed


def _first(label: Mapping, between: str) -> list[str]:
    return [label["name"] + between + label["kind"]]


def _rest(label: Mapping, head: Callable, table: Callable) -> Iterator[str]:
    headings = _HEADINGS["us" if label["market"] == "us" else _language(label)]
    for part in ("list", "guarantees", "additives", "calories", "adequacy", "feeding", "net"):
        if part not in label:
            continue
        body = table(label[part]) if part == "guarantees" else label[part]
        if part == "list":
            body = body[0].upper() + body[1:] + "."
        yield head(headings[part], body) if part in headings else body
    for part in ("codes", "maker"):
        if part in label:
            yield label[part]


def _language(label: Mapping) -> str:
    ending = label["id"].split("-")
    return next((part for part in ending if part in _HEADINGS and part != "us"), _by_words(label))


def _by_words(label: Mapping) -> str:
    return "es" if "para" in label["kind"] else "en"


def _colon(heading: str, body: str) -> str:
    return f"{heading}:{chr(10) if chr(10) in body else ' '}{body}"


def _own_line(heading: str, body: str) -> str:
    return f"{heading}\n{body}"


def _capitals(heading: str, body: str) -> str:
    return f"{heading.upper()}\n{body}"


def _markdown(heading: str, body: str) -> str:
    return f"## {heading}\n\n{body}"


def _lines(rows: Sequence) -> str:
    return "\n".join(f"{words} {figure}" for words, figure in rows)


def _bullets(rows: Sequence) -> str:
    return "\n".join(f"- {words}: {figure}" for words, figure in rows)


def _dots(rows: Sequence) -> str:
    return "\n".join(f"{words} {'.' * (36 - len(words))} {figure}" for words, figure in rows)


def _pipes(rows: Sequence) -> str:
    return "\n".join(f"| {words} | {figure} |" for words, figure in rows)


def _sentence(rows: Sequence) -> str:
    return ", ".join(f"{words} {figure}" for words, figure in rows) + "."


def _tabs(rows: Sequence) -> str:
    return "\n".join(f"{words}\t{figure}" for words, figure in rows)


def _wrapped(part: str, width: int) -> str:
    return "\n".join(
        textwrap.fill(line, width, break_on_hyphens=False, break_long_words=False) or line
        for line in part.split("\n")
    )
