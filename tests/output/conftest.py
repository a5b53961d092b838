"""Findings made up for the forms of output, on a label with everything that makes columns hard."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from panellint.core.findings import (
    Certainty,
    Edit,
    FileFindings,
    Finding,
    Related,
    Remedy,
    Severity,
)
from panellint.core.source import Source, Span
from panellint.lint.runner.results import Checked

LABEL = (
    "Product name: Duck 🦆 & Millet {Recipe}\n"
    "Ingredients: e\u0301clair 米 🌾, pea protein, peas, pea fibre,\n"
    "  salt\n"
)

Make = Callable[..., Finding]


def span_of(text: str, words: str) -> Span:
    start = text.index(words)
    return Span(start, start + len(words))


@pytest.fixture
def source() -> Source:
    return Source(LABEL, "labels/duck.panel")


@pytest.fixture
def findings(source: Source) -> tuple[Finding, ...]:
    text = source.text
    return (
        Finding(
            "name-quarter-share",
            Severity.ERROR,
            Certainty.PROVEN,
            "Duck can be at most 20 % of this {food}.",
            span_of(text, "Millet"),
            rests_on=("order", "percentages"),
            proof=("Four are declared before duck, so duck is at most 20 %.",),
            source="A regulation, section 3, https://regulator.example/section-3.",
            because="A recipe name is a promise of a quarter.",
            related=(Related(span_of(text, "peas"), "declared <here> & nowhere else"),),
        ),
        Finding(
            "split-family",
            Severity.WARNING,
            Certainty.POSSIBLE,
            "Peas are declared in parts.",
            span_of(text, "pea protein"),
            source="common practice",
            tags=("unnecessary", "of-our-own"),
        ),
        Finding(
            "salt-late",
            Severity.HINT,
            Certainty.PRACTICE,
            "Salt stands last.",
            span_of(text, "salt"),
            source="common practice",
            remedies=(Remedy("Say how much", (Edit(span_of(text, "salt"), "salt (0.5 %)"),)),),
        ),
    )


@pytest.fixture
def checked(source: Source, findings: tuple[Finding, ...]) -> Checked:
    return Checked(source.path, FileFindings(source, findings))


@pytest.fixture
def clean() -> Checked:
    return Checked("labels/clean.panel", FileFindings(Source("Ingredients: duck\n"), ()))
