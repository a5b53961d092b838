"""Honest labels of the demo maker, read whole with the real catalogue: the formula behind each is
inside every bound."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.source import read
from panellint.shares.unlisted import left_out

FOLDER = Path(__file__).parents[1] / "honest"
PANELS = sorted(FOLDER.glob("*.panel"))


def formula_of(panel: Path) -> dict[str, float]:
    with panel.with_suffix(".formula.csv").open(encoding="utf-8") as file:
        return {row["ingredient"].lower(): float(row["percent"]) for row in csv.DictReader(file)}


@pytest.mark.parametrize("panel", PANELS, ids=lambda panel: panel.stem)
def test_the_formula_is_inside(panel: Path) -> None:
    formulas = LabelContext.of(read(str(panel))).formulas
    assert formulas.consistent, formulas.clash
    truth = formula_of(panel)
    names = [leaf.name.lower() for leaf in formulas.tree.leaves]
    # A name that the declaration prints twice, or parts in two, has no one share to compare.
    known = [leaf for leaf in formulas.tree.leaves if names.count(leaf.name.lower()) == 1]
    known = [leaf for leaf in known if leaf.name.lower() in truth]
    assert 2 * len(known) > len(truth)
    for leaf in known:
        bounds = formulas.bounds({leaf.path: 1})
        share = truth[leaf.name.lower()]
        assert bounds.low - 1e-9 <= share <= bounds.high + 1e-9, leaf.name


def test_what_markets_leave_out() -> None:
    assert left_out("us", "wet") == ()
    assert left_out("eu", "wet") == ("water", "additives")
    assert left_out("eu", None) == ("water", "additives")
    assert left_out("uk", "dry") == ("additives",)
