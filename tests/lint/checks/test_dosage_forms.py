"""A label that gives active ingredients by the unit, as a dosage form does."""

from __future__ import annotations

from pathlib import Path

import pytest

from panellint import api
from panellint.analysis.context import LabelContext
from panellint.core.source import Source
from panellint.label.reader import read_label
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings
from panellint.tasks.changes import changes
from panellint.tasks.trace import trace
from panellint.tasks.trace_query import TraceQuery

LABEL = """\
Quillbrook Larder Hip & Joint Soft Chews for Dogs
{actives}
Inactive ingredients: chickpea flour, glycerin, brewers yeast, canola oil, citric acid
Directions: Up to 25 lb: 1 chew daily. 26-50 lb: 2 chews daily.
NET WT 8.5 oz (240 g)
Distributed by Quillbrook Larder, Millbridge, VT 05601
"""
CHEWS = "Active ingredients per chew (4 g): Glucosamine HCl 500 mg, MSM 100 mg"
AMOUNTS = [("Glucosamine HCl", 500, "mg"), ("MSM", 100, "mg")]


@pytest.mark.parametrize(
    "actives",
    [
        CHEWS,
        "ACTIVE INGREDIENTS (per 2 chews):\nGlucosamine HCl ...... 500 mg\nMSM ...... 100 mg",
        "Active Ingredients per 1 tsp (5 mL)\nGlucosamine HCl 500 mg\nMSM 100 mg",
        "Each soft chew contains: Glucosamine HCl 500 mg, MSM 100 mg",
    ],
)
def test_amounts_by_the_unit_are_read(actives: str) -> None:
    label = read_label(Source(LABEL.format(actives=actives)))
    assert [(a.printed, a.value, a.unit) for a in label.actives] == AMOUNTS
    assert label.declaration[0].name == "chickpea flour"
    assert label.ledger.unread == ()


@pytest.mark.parametrize("actives", [CHEWS, "Active ingredients: glucosamine HCl, MSM"])
def test_what_a_dosage_form_owes_is_one_open_question(actives: str) -> None:
    text = LABEL.format(actives=actives)
    findings = lint(Source(text, "chews"), Settings()).findings
    spoken = [(f.rule, str(f.severity)) for f in findings if f.rule != "words-not-read"]
    assert spoken == [("guarantee-missing", "information")]
    rows = api.requirements(text)["requirements"]
    states = {row["id"]: row["state"] for row in rows}
    assert states["guarantees"] == states["calorie-content"] == "open"
    assert not {"departs", "missing", "not-read"} & set(states.values())


def test_a_supplement_with_actives_and_an_analysis_owes_the_moisture_alone() -> None:
    analysis = f"{CHEWS}\nGuaranteed analysis: Glucosamine* (min) 12%"
    text = LABEL.format(actives=analysis)
    findings = lint(Source(text, "chews"), Settings()).findings
    assert [f.message for f in findings if f.rule == "guarantee-missing"] == [
        "The guaranteed analysis lacks moisture (max)."
    ]


def test_a_claim_may_rest_on_an_active_ingredient() -> None:
    text = LABEL.format(actives=f"With glucosamine and MSM\n{CHEWS}")
    findings = lint(Source(text, "chews"), Settings()).findings
    assert {f.rule for f in findings} == {"guarantee-missing"}


def test_a_recall_reaches_an_active_ingredient(tmp_path: Path) -> None:
    path = tmp_path / "chews.panel"
    path.write_text(LABEL.format(actives=CHEWS), "utf-8")
    query = TraceQuery("glucosamine")
    reached = trace(query, [str(path)])["reached"]
    assert [(place["level"], place["printed"], place["line"]) for place in reached] == [
        ("contains", "Glucosamine HCl", 2)
    ]


def test_a_new_version_says_how_an_active_ingredient_changed() -> None:
    old, new = (LABEL.format(actives=f"Active ingredients per chew: MSM {n} mg") for n in (100, 50))
    contexts = (LabelContext.of(Source(text), Settings()) for text in (old, new))
    assert [change["says"] for change in changes(*contexts)["changes"]] == [
        "MSM is 50 mg and was 100 mg."
    ]
