"""A label whose headings were lost reads like one that has them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.source import Source
from panellint.label.model import Entry, Label
from panellint.rulepacks.settings import Settings
from tests.labels.labels import faultless

#: So many in a hundred labels may yet read otherwise: lines that break inside words, cells parted
#: by signs of a shop's page, two columns of which one heading is lost, a first line of the US box
#: that is taken for a figure, a list of one or two names of which one is not known.
_MOST = 5


def read(text: str) -> Label:
    return LabelContext.of(Source(text, "label"), Settings.default()).label


def without(text: str, label: Label, kind: str) -> str:
    """The text without the headings of a kind; what follows begins with a capital."""
    for section in reversed(label.sections):
        if section.kind == kind and section.heading.end > section.heading.start:
            rest = re.sub(r"^[ \t]*[:：]?[ \t*]*", "", text[section.heading.end :])
            text = text[: section.heading.start] + rest[:1].upper() + rest[1:]
    return text


def names(entries: Iterable[Entry]) -> Sequence[object]:
    return [
        (one.name.lower(), names(inner for bracket in one.brackets for inner in bracket.entries))
        for one in entries
    ]


def part(label: Label, kind: str) -> object:
    if kind == "declaration":
        return names(label.declaration)
    if kind == "guarantees":
        return [(one.nutrient, one.value, one.bound) for one in label.guarantees]
    return sorted((one.value, one.per) for one in label.energy.figures) if label.energy else []


@pytest.mark.parametrize("kind", ["declaration", "guarantees", "calories"])
def test_what_stands_under_a_heading_is_read_without_it(kind: str) -> None:
    wrong, tried = set(), 0
    for one in faultless():
        label = read(one.text)
        text = without(one.text, label, kind)
        # Without a heading nothing parts two lists in two languages.
        if text != one.text and not label.translations:
            tried += 1
            if part(read(text), kind) != part(label, kind):
                wrong.add(one.id)
    assert tried > 60
    assert len(wrong) <= tried * _MOST / 100, sorted(wrong)
