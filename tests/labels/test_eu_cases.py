"""Variants of whole EU labels: what is found in each, and where nothing may be.

`eu-cases.yaml` has bases by their parts in six languages, and cases: a base, other words for some
parts, and what is expected of the findings. Sources stand with the rules.
"""

from __future__ import annotations

from fnmatch import fnmatchcase
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from panellint.core.findings import Finding, Severity
from panellint.core.source import Source
from panellint.core.text import one_line
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings

DATA = yaml.safe_load((Path(__file__).parent / "eu-cases.yaml").read_text("utf-8"))
CASES = [(title, DATA["bases"][base] | parts, asked) for title, base, parts, asked in DATA["cases"]]
SETTINGS = Settings().with_market("eu")
ALARMS = (Severity.ERROR, Severity.WARNING)


@cache
def _lint(text: str) -> tuple[Source, tuple[Finding, ...]]:
    source = Source(text, "label.panel")
    return source, tuple(lint(source, SETTINGS, quick=True).findings)


@pytest.mark.parametrize(("title", "parts", "asked"), CASES, ids=[case[0] for case in CASES])
def test_a_variant(title: str, parts: dict[str, str], asked: str | dict[str, Any]) -> None:
    source, findings = _lint("\n".join(part for part in parts.values() if part) + "\n")
    expected: dict[str, Any] = {"clean": True} if asked == "clean" else asked
    alarms = [finding for finding in findings if finding.severity in ALARMS]
    if expected.get("clean"):
        assert [(alarm.rule, alarm.message) for alarm in alarms] == []
    for rule in expected.get("silent", ()):
        assert [one.message for one in findings if fnmatchcase(one.rule, rule)] == []
    for rules, words in expected.get("finds", {}).items():
        of_rule = [f for f in findings if any(fnmatchcase(f.rule, r) for r in rules.split("|"))]
        assert of_rule, f"{rules} is silent"
        marked = [one_line(source.slice(finding.span)) for finding in of_rule]
        assert all(any(word in words_marked for words_marked in marked) for word in words), marked
    for rule, certainty in expected.get("certain", {}).items():
        of_rule = [finding for finding in findings if finding.rule == rule]
        assert of_rule
        assert {finding.certainty.value for finding in of_rule} == {certainty}
    for rule, severities in expected.get("mildest", {}).items():
        assert {one.severity.value for one in findings if one.rule == rule} <= set(severities)
    if "never" in expected:
        assert not any(expected["never"] in finding.message for finding in findings)
    if expected.get("fails"):
        assert alarms
