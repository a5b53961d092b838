"""What an official or a maker holds against a label of the United States, a line each."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from panellint.core.findings import Severity
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings

LINES: list[dict[str, Any]] = yaml.safe_load(
    Path(__file__).with_name("us_lines.yaml").read_text("utf-8")
)
PREMIX = (
    ", vitamins (vitamin A supplement, vitamin D3 supplement, vitamin E supplement, niacin), "
    "minerals (zinc sulfate, copper sulfate, manganese sulfate, sodium selenite, calcium carbonate)"
)
GUARANTEES = (
    "Guaranteed analysis\nCrude protein (min) {protein}%\nCrude fat (min) 14%\n"
    "Crude fiber (max) 4%\n{word} (max) {moisture}%"
)
FIGURES = {"protein": "26", "moisture": "10", "word": "Moisture"}
USUAL = {
    "name": "Beef Recipe for Dogs",
    "more words": "",
    "ingredients": "beef, rice",
    "guarantees": {},
    "more": "",
    "calories": "Calorie content (calculated): 3,450 kcal/kg, 380 kcal/cup",
    "adequacy": "{name} is formulated to meet the nutritional levels established by the AAFCO Dog "
    "Food Nutrient Profiles for maintenance.",
    "feeding": "Feeding directions: Feed 1 cup per 20 lb of body weight daily.",
    "net": "Net weight: 5 lb (2.27 kg)",
    "maker": "Manufactured by: Quillbrook Larder, 4 Millrace Lane, Quillbrook, VT 05099",
}


def text_of(changes: dict[str, Any]) -> str:
    parts = {**USUAL, **changes}
    adequacy = parts["adequacy"].format(name=parts["name"])
    given = parts["guarantees"]
    figures = given if isinstance(given, str) else GUARANTEES.format(**{**FIGURES, **given})
    complete = "formulated" in f"{adequacy} {parts['feeding']}".lower()
    body = (
        f"Product name: {parts['name']}",
        parts["more words"],
        f"Ingredients: {parts['ingredients']}{PREMIX if complete else ''}.",
        "\n".join(filter(None, (figures, parts["more"]))),
        parts["calories"],
        adequacy,
        *(parts[part] for part in ("feeding", "net", "maker")),
    )
    return "\n\n".join(part for part in body if part) + "\n"


@pytest.mark.parametrize("row", LINES, ids=lambda row: row["line"] or row["label"]["more words"])
def test_a_line(row: dict[str, Any]) -> None:
    """What the row says is marked, and nothing else is an error or a warning; a row with `silent`
    says which rules have nothing to say."""
    text = row.get("text") or text_of(row["label"])
    settings = Settings().with_market("us", row.get("edition"))
    findings = lint(Source(text, "label"), settings, quick=True).findings
    marked = {(f.rule, text[f.span.start : f.span.end]) for f in findings}
    expected = {
        (rule, words)
        for rule, places in row.get("finds", {}).items()
        for words in (places if isinstance(places, list) else [places])
    }
    for rule, words in expected:
        assert any(rule == own and place.startswith(words) for own, place in marked), (rule, marked)
    grave = {f.rule for f in findings if f.severity in (Severity.ERROR, Severity.WARNING)}
    assert grave <= {rule for rule, _ in expected}
    assert {rule for rule, _ in marked}.isdisjoint(row.get("silent", ()))
