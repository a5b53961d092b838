"""The sheet and the letter of a label of each form: dry, wet, raw, treat, topper and supplement in
the United States, dry, wet and supplement in Canada; each faultless, and with one planted fault."""

from __future__ import annotations

import io
from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml

from panellint.analysis.context import LabelContext
from panellint.core.findings import Severity
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.output.document import Block
from panellint.output.document_template import view
from panellint.output.render_options import RenderOptions
from panellint.output.terminal import write
from panellint.results.requirements import RequirementSheet
from panellint.rulepacks.settings import Settings
from panellint.tasks.requirements import sheet

FOLDER = Path(__file__).parent / "requirements"
LABELS: dict[str, dict[str, Any]] = {
    row["id"]: row for row in yaml.safe_load((FOLDER / "labels.yaml").read_text("utf-8"))
}
TO_CORRECT = ("departs", "missing", "not-read")
EACH = pytest.mark.parametrize("name", LABELS)
COLUMNS = 100
DATE = date(2026, 11, 30)
LETTER = view("letter", today=DATE.isoformat())


def faulty(name: str) -> str:
    label = LABELS[name]
    text = label["text"]
    for edit in (label, *([label["and"]] if "and" in label else [])):
        assert text.count(edit["replace"]) == 1
        text = text.replace(edit["replace"], edit["with"])
    return text


def judged(name: str, text: str) -> RequirementSheet:
    settings = Settings().with_market(LABELS[name]["market"])
    return sheet(LabelContext.of(Source(text, f"{name}.panel"), settings))


def printed(blocks: Iterable[Block]) -> str:
    stream = io.TextIOWrapper(io.BytesIO(), encoding="utf-8")
    write(blocks, stream, RenderOptions(width=COLUMNS))
    stream.seek(0)
    return stream.read()


@EACH
def test_a_faultless_label_of_each_form_has_nothing_to_put_right(name: str) -> None:
    text = LABELS[name]["text"]
    rows = judged(name, text)["requirements"]
    assert [row["id"] for row in rows if row["state"] in TO_CORRECT] == []
    settings = Settings().with_market(LABELS[name]["market"])
    findings = lint(Source(text, name), settings).findings
    grave = (Severity.ERROR, Severity.WARNING)
    assert [finding.rule for finding in findings if finding.severity in grave] == []


@EACH
def test_a_planted_fault_shows_at_its_requirement_and_place_alone(name: str) -> None:
    label, text = LABELS[name], faulty(name)
    wrong = [row for row in judged(name, text)["requirements"] if row["state"] in TO_CORRECT]
    assert [(row["id"], row["state"]) for row in wrong] == [(label["requirement"], label["state"])]
    start = wrong[0]["start"]
    assert start is not None
    line = text.splitlines()[start["line"] - 1]
    assert line[start["column"] - 1 :].startswith(label["stands"])


@EACH
def test_the_letter_of_each_form_has_one_point_with_its_clause_and_what_to_do(name: str) -> None:
    sheets = [judged(name, faulty(name))]
    text = printed(LETTER(sheets))
    assert "1 point needs" in text
    assert "What is asked: " in text
    assert "Please " in text
    assert "2. " not in text
    sound = [judged(name, LABELS[name]["text"])]
    assert "found nothing in it" in printed(LETTER(sound))


def test_the_states_of_each_form_are_those_that_were_read_and_accepted() -> None:
    lines = []
    for name, label in LABELS.items():
        for kind, text in (("sound", label["text"]), ("faulty", faulty(name))):
            data = judged(name, text)
            count = ", ".join(f"{state} {n}" for state, n in data["summary"].items() if n)
            lines.append(f"{name} {kind}: {count}")
            lines += [
                f"  {row['state']} {row['id']} {row['start']['line'] if row['start'] else '-'}"
                for row in data["requirements"]
                if row["state"] in (*TO_CORRECT, "open")
            ]
    assert "\n".join(lines) + "\n" == (FOLDER / "states.txt").read_text("utf-8")


@pytest.mark.parametrize("name", ["us-topper", "ca-dry"])
def test_the_sheet_reads_as_accepted_in_a_hundred_columns(name: str) -> None:
    text = printed(view("requirements")([judged(name, faulty(name))]))
    assert max(map(len, text.splitlines())) <= COLUMNS
    assert text == (FOLDER / f"{name}-sheet.txt").read_text("utf-8")


def test_the_letter_reads_as_accepted() -> None:
    sheets = [judged("us-wet", faulty("us-wet"))]
    assert printed(LETTER(sheets)) == (FOLDER / "us-wet-letter.txt").read_text("utf-8")
