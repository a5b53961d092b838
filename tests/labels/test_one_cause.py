"""One fault is one finding: over labels of the US and Canada with a planted fault, no two findings
that the fault brings stand on one place, but for those that say two things."""

from __future__ import annotations

from itertools import combinations

import pytest

from tests.labels.labels import Planted, planted
from tests.labels.measure import findings

LABELS = {label.id: label for label in planted() if label.market in ("us", "ca")}
#: The labels on which one cause had two findings.
MENDED = [
    "ca-supplement: cures-worms", "us-dry-beef-barley-pasted: organic-name",
    "us-dry-duck-two-column: calories-of-another-food", "us-dry-markdown: blank-left",
    "us-dry-senior: less-fat-than-what", "us-freeze-dried-treat-liver: human-grade",
    "us-modern-mixer: modern-calories-left-out", "us-supplement-joint: brand-in-list",
    "us-supplement-salmon-oil: reduces-inflammation", "us-topper-flakes: calories-impossible",
    "us-topper-stew: supplemental-called-complete", "us-treat-dental: colour-not-named",
    "us-treat-jerky: protein-over-hundred", "us-wet-lamb-pate: pate-too-moist",
    "us-wet-stew: beef-first-it-is-not",
]  # fmt: skip
#: Two things to put right, or two animals, on the same words.
APART = {
    ("absent-but-declared", "single-protein-and-another"),
    ("hazard", "hazard-at-a-dose"),
    ("organic-certifier", "organic-name"),
    ("adequacy-large-size", "nutrients-from-foods"),
}
#: A text that is no label lacks every part, and each is said at its first words.
NO_LABEL = "a-settings-file"


def twice(label: Planted) -> list[tuple[str, str]]:
    """Returns the pairs of rules that mark the same words, of findings that the fault brings."""

    def found(text: str) -> dict[tuple[str, str], tuple[int, int]]:
        return {
            (f.rule, text[f.span.start : f.span.end]): (f.span.start, f.span.end)
            for f in (findings(label.market, text) if text else ())
        }

    sound = found(label.sound)
    brought = [(key[0], at) for key, at in found(label.text).items() if key not in sound]
    return [
        (one, other) if one < other else (other, one)
        for (one, (start, end)), (other, (begin, stop)) in combinations(brought, 2)
        if start < stop and begin < end
    ]


@pytest.mark.parametrize("name", MENDED)
def test_a_cause_that_had_two_findings_has_one(name: str) -> None:
    assert set(twice(LABELS[name])) <= APART


@pytest.mark.long
@pytest.mark.parametrize("name", [name for name in LABELS if name not in (*MENDED, NO_LABEL)])
def test_a_planted_fault_is_found_once_at_its_place(name: str) -> None:
    assert set(twice(LABELS[name])) <= APART
