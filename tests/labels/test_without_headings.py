"""A label whose headings were lost reads like one that has them."""

from __future__ import annotations

import random
import re
from collections.abc import Iterable, Sequence
from functools import cache

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.source import Source
from panellint.label.model import Entry, Label
from panellint.rulepacks.settings import Settings
from tests.labels.labels import faultless

#: So many in a hundred labels may yet read otherwise: lines that break inside words, cells parted
#: by signs of a shop's page, two columns of which one heading is lost, a first line of the US box
#: that is taken for a figure, a list of one or two names of which one is not known, small print
#: without headings right before a list.
_MOST = 9


@cache
def read(text: str) -> Label:
    return LabelContext.of(Source(text, "label"), Settings()).label


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


def within_a_line(label: Label, kind: str) -> bool:
    """Whether a heading of a kind stands behind other words of its line."""
    text = label.source.text
    starts = [s.heading.start for s in label.sections_of(kind) if s.heading.end > s.heading.start]
    lines = (text[text.rfind("\n", 0, start) + 1 : start] for start in starts)
    return any(any(map(str.isalpha, line)) for line in lines)


@pytest.mark.parametrize("kind", ["declaration", "guarantees", "calories"])
@pytest.mark.parametrize(
    "step", [4, pytest.param(1, marks=pytest.mark.long)], ids=["every fourth", "all"]
)
def test_what_stands_under_a_heading_is_read_without_it(step: int, kind: str) -> None:
    wrong, tried = set(), 0
    for one in faultless()[::step]:
        label = read(one.text)
        text = without(one.text, label, kind)
        # Without a heading nothing parts two lists in two languages or of two foods, or a list from
        # the sentences before it in a paragraph.
        several = label.translations or len(label.foods) > 1
        if text != one.text and not several and not within_a_line(label, kind):
            tried += 1
            if part(read(text), kind) != part(label, kind):
                wrong.add(one.id)
    assert tried > 60
    assert len(wrong) <= tried * _MOST / 100, sorted(wrong)


#: Names as lists have them: fresh, dried and composed, with what the tail of a list holds.
_NAMES = (
    "duck|deboned lamb|turkey meal|dehydrated beef|freeze-dried chicken|herring meal|oats|millet|"
    "brown rice|pea protein|carrots|dried egg|flaxseed|parsley|sunflower oil|potato starch|kelp"
).split("|")
_TAIL = (
    "salt|taurine|vitamin E supplement|mixed tocopherols (a preservative)|"
    "minerals [zinc sulfate, iron proteinate]"
).split("|")


@pytest.mark.parametrize(
    "facts", ["Species: dog\nForm: kibble\n", "Form: canned\n\n", "Species: cat\n"]
)
@pytest.mark.parametrize("join", [", ", ",", "; ", ",\n"])
@pytest.mark.parametrize("case", [str, str.capitalize, str.title, str.upper])
def test_a_list_below_facts_that_a_user_wrote_needs_no_heading(facts, join, case) -> None:
    drawn = random.Random(f"{facts}{join}{case.__name__}")
    for count in (2, 5, 9):
        given = [*drawn.sample(_NAMES, count), *drawn.sample(_TAIL, drawn.randint(0, 3))]
        listed = [case(name) if case is not str.capitalize else name for name in given]
        listed[0] = case(listed[0])
        text = f"{facts}{join.join(listed)}{drawn.choice(['', '.'])}\n"
        found = read(text).declaration
        assert len(found) == len(given), text
