"""What is found in the corpus, against what a careful reader expects, and against last time.

The expectations (`corpus/*.expected.yaml`) were written by hand from reading the labels. The
snapshots (`corpus/findings/*.txt`) hold every finding; run with PANELLINT_ACCEPT=1 to write
them anew, and read what changed before it is committed.
"""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path

import pytest
import yaml

from panellint.core.findings import FileFindings, Finding, Severity
from panellint.core.source import read
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings

ROOT = Path(__file__).parent.parent
LABELS = sorted((ROOT / "corpus").glob("*.panel"))
HONEST = sorted((ROOT / "tests" / "honest").glob("*.panel"))
TODAY = date(2026, 12, 1)
GRAVE = {Severity.ERROR, Severity.WARNING}


def found(path: Path) -> FileFindings:
    return lint(read(path), Settings.for_path(path), today=TODAY)


def told(result: FileFindings) -> str:
    lines = []
    for one in result.findings:
        start = result.source.position(one.span.start)
        words = " ".join(result.source.slice(one.span).split())
        lines.append(
            f"{start.line}:{start.column} {one.severity.value} {one.certainty.value} {one.rule}"
            f" [{words[:60]}] {one.message}"
        )
    return "\n".join(lines) + "\n" if lines else ""


def touches(result: FileFindings, finding: Finding, marks: str) -> bool:
    """Whether a finding's place and some occurrence of the marked words overlap."""
    text = result.source.text
    at = text.find(marks)
    while at >= 0:
        if finding.span.start < at + len(marks) and at < max(finding.span.end, 1):
            return True
        at = text.find(marks, at + 1)
    return False


@pytest.mark.parametrize("path", LABELS, ids=lambda path: path.stem)
def test_what_a_reader_expects_is_found_and_nothing_grave_beside_it(path: Path) -> None:
    result = found(path)
    left = list(result.findings)
    for each in yaml.safe_load(path.with_suffix(".expected.yaml").read_text("utf-8")):
        fits = [
            one
            for one in left
            if one.rule == each["rule"]
            and one.severity.value == each["severity"]
            and one.certainty.value == each["certainty"]
            and touches(result, one, each["marks"])
        ]
        assert fits, f"not found: {each['rule']}, {each['about']}"
        left.remove(fits[0])
    assert [
        told(FileFindings(result.source, (one,))) for one in left if one.severity in GRAVE
    ] == []


@pytest.mark.parametrize("path", LABELS, ids=lambda path: path.stem)
def test_the_findings_are_those_of_last_time(path: Path) -> None:
    snapshot = path.parent / "findings" / f"{path.stem}.txt"
    now = told(found(path))
    if os.environ.get("PANELLINT_ACCEPT"):
        snapshot.parent.mkdir(exist_ok=True)
        snapshot.write_text(now, encoding="utf-8")
    assert now == snapshot.read_text(encoding="utf-8")


@pytest.mark.parametrize("path", HONEST, ids=lambda path: path.stem)
def test_honest_labels_give_nothing_above_information(path: Path) -> None:
    grave = [one for one in found(path).findings if one.severity in GRAVE]
    assert told(FileFindings(read(path), tuple(grave))) == ""
