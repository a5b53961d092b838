"""Silence on honest labels: judgements about ingredients stay below a warning there.

The clean labels of the corpus have an empty list of expected findings; the honest ones under
`tests/honest` were written with the formula behind them.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from panellint.analysis.context import LabelContext
from panellint.lint.engine import findings_of
from panellint.lint.runner.files import source_of
from panellint.rulepacks import packs
from panellint.rulepacks.settings import Settings

ROOT = Path(__file__).parents[3]
CHECKS = {
    "absent-claim", "barred-ingredient", "binder-or-bulk", "broth-claim", "claim-words",
    "declared-twice", "dish-claim", "first-ingredient-claim", "glycaemic-starch", "hazard",
    "human-grade-claim", "limited-claim", "list-words", "made-with-claim", "misspelt-name",
    "purpose-said", "raw-claim", "single-protein-claim", "unnamed-animal", "undue-capitals",
}  # fmt: skip
RULES = [rule for rule in packs.load().values() if rule.check in CHECKS]
CLEAN = [
    path
    for path in sorted((ROOT / "corpus").glob("*.panel"))
    if "marks:" not in path.with_suffix(".expected.yaml").read_text(encoding="utf-8")
]
HONEST = sorted((ROOT / "tests" / "honest").glob("*.panel"))


@pytest.mark.parametrize("path", [*CLEAN, *HONEST], ids=lambda path: path.stem)
def test_nothing_above_information(path: Path) -> None:
    context = LabelContext.of(source_of(str(path), None), Settings())
    loud = [
        (f.rule, context.source.slice(f.span), f.message)
        for f in findings_of(context, RULES)
        if f.severity.value in {"error", "warning"}
    ]
    assert loud == []


@pytest.mark.parametrize("path", [*CLEAN, *HONEST], ids=lambda path: path.stem)
def test_judgements_call_themselves_practice(path: Path) -> None:
    context = LabelContext.of(source_of(str(path), None), Settings())
    assert {f.certainty.value for f in findings_of(context, RULES)} <= {"practice"}


def test_there_are_labels_to_be_silent_on() -> None:
    assert len(CLEAN) >= 15
    assert len(HONEST) >= 20


def test_a_quick_look_asks_no_solver() -> None:
    """Every rule runs without highspy and numpy, and without rapidfuzz where names are known."""
    label = ROOT / "corpus" / "lamb-stew-gravy.panel"
    code = (
        "import sys\n"
        "from panellint.lint.runner.files import source_of\n"
        "from panellint.lint.engine import lint\n"
        f"lint(source_of({str(label)!r}, None), quick=True)\n"
        "print(sorted({'highspy', 'numpy', 'rapidfuzz', 'yaml', 'pydantic'} & set(sys.modules)))\n"
    )
    command = [sys.executable, "-c", code]
    subprocess.run(command, capture_output=True, check=True)  # brings the caches up to date
    ran = subprocess.run(command, capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"
