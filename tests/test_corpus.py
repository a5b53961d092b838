"""The corpus and the honest labels agree with themselves.

What a reader expects of each corpus label stands beside it, written by hand; here only its
form is looked at: every expected place is a place of the text. The formulas beside the honest
labels are whole formulas of what the labels print.
"""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest
import yaml

from panellint.core.source import read
from panellint.rulepacks import packs

ROOT = Path(__file__).parent.parent
CORPUS = sorted((ROOT / "corpus").glob("*.expected.yaml"))
RULES = packs.load()
FORMULAS = sorted((ROOT / "tests" / "honest").glob("*.formula.csv"))


def folded(text: str) -> str:
    return " ".join(text.split())


def test_there_are_labels_of_both_kinds() -> None:
    expected = [yaml.safe_load(path.read_text(encoding="utf-8")) for path in CORPUS]
    assert len(expected) >= 30
    assert sum(1 for each in expected if each) >= 12
    assert sum(1 for each in expected if not each) >= 12
    honest = {path.stem for path in (ROOT / "tests" / "honest").glob("*.panel")}
    assert honest == {path.name.removesuffix(".formula.csv") for path in FORMULAS}
    assert honest


@pytest.mark.parametrize("path", CORPUS, ids=lambda path: path.name.partition(".")[0])
def test_every_expected_place_stands_in_the_label(path: Path) -> None:
    text = read(path.with_name(path.name.replace(".expected.yaml", ".panel"))).text
    for each in yaml.safe_load(path.read_text(encoding="utf-8")):
        assert set(each) == {"rule", "about", "marks", "severity", "certainty"}
        assert each["rule"] in RULES
        assert each["severity"] in {"error", "warning", "information", "hint"}
        assert each["certainty"] in {"proven", "possible", "practice"}
        assert each["marks"] in text


@pytest.mark.parametrize("path", FORMULAS, ids=lambda path: path.name.partition(".")[0])
def test_the_formula_is_whole_and_is_what_the_label_prints(path: Path) -> None:
    label = folded(read(path.with_name(path.name.replace(".formula.csv", ".panel"))).text).lower()
    with path.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert math.isclose(math.fsum(float(row["percent"]) for row in rows), 100.0, abs_tol=1e-6)
    for row in rows:
        # Water added in the making is no feed material; a list by category leaves it out.
        if path.name.startswith("chicken-tray-eu") and row["ingredient"] == "water":
            continue
        assert row["ingredient"].lower() in label
