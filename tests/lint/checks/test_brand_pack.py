"""A brand's own pack: YAML alone, found through `panellint.yaml`, tried and applied."""

from __future__ import annotations

from pathlib import Path

import pytest

from panellint.lint.engine import lint
from panellint.lint.runner.examples import try_pack
from panellint.lint.runner.files import source_of

BRAND = Path(__file__).parents[3] / "corpus" / "brand"


def found(name: str) -> dict[str, tuple[str, str]]:
    """Rule id to severity and marked words, of the house rules and what they change."""
    result = lint(source_of(str(BRAND / name), None))
    wanted = ("house-", "source-not-named", "binder-undecided")
    return {
        f.rule: (f.severity.value, result.source.slice(f.span))
        for f in result.findings
        if f.rule.startswith(wanted)
    }


def test_every_example_of_the_pack_holds() -> None:
    trials = try_pack(BRAND / "house-rules.yaml")
    assert len(trials) == 7
    assert [str(trial) for trial in trials if trial.problem] == []


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        (
            "potato-kibble.panel",
            {
                "house-meat-first": ("warning", "Chicken meal"),
                "house-white-potato": ("warning", "potatoes"),
                "source-not-named": ("information", "fish oil"),
            },
        ),
        ("tuna-jelly.panel", {"house-carrageenan": ("error", "carrageenan")}),
        ("chicken-barley.panel", {}),
    ],
)
def test_labels_of_the_house(name: str, expected: dict[str, tuple[str, str]]) -> None:
    assert found(name) == expected


def test_the_house_rules_reach_no_other_label() -> None:
    beside = BRAND.parent / "whitefish-potato-grain-free-kibble.panel"
    assert all(not f.rule.startswith("house-") for f in lint(source_of(str(beside), None)).findings)
