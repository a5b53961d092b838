"""Honest labels of the demo maker, read whole with the real catalogue: the formula behind each is
inside every bound."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from panellint.case import Case
from panellint.nutrition.tolerances import tolerance
from panellint.shares.formulas import Formulas
from panellint.shares.unlisted import left_out
from panellint.source import read

FOLDER = Path(__file__).parents[1] / "honest"
PANELS = sorted(FOLDER.glob("*.panel"))


def formula_of(panel: Path) -> dict[str, float]:
    with panel.with_suffix(".formula.csv").open(encoding="utf-8") as file:
        return {row["ingredient"].lower(): float(row["percent"]) for row in csv.DictReader(file)}


@pytest.mark.parametrize("panel", PANELS, ids=lambda panel: panel.stem)
def test_the_formula_is_inside(panel: Path) -> None:
    case = Case.of(read(str(panel)))
    market = case.market
    formulas = Formulas(
        case.declaration,
        guarantees=case.label.guarantees,
        water=case.form.water_lost,
        tolerance=lambda nutrient, declared: tolerance(market, nutrient, declared),
        unlisted=left_out(market, case.form.moisture_class),
    )
    assert formulas.consistent, formulas.clash
    truth = formula_of(panel)
    names = [leaf.name.lower() for leaf in formulas.tree.leaves]
    if any(names.count(name) != 1 for name in truth if name != "water"):
        pytest.skip("some names of the formula stand otherwise in the declaration")
    known = [leaf for leaf in formulas.tree.leaves if leaf.name.lower() in truth]
    for leaf in known:
        bounds = formulas.bounds({leaf.path: 1})
        share = truth[leaf.name.lower()]
        assert bounds.low - 1e-9 <= share <= bounds.high + 1e-9, leaf.name


def test_what_markets_leave_out() -> None:
    assert left_out("us", "wet") == ()
    assert left_out("eu", "wet") == ("water", "additives")
    assert left_out("eu", None) == ("water", "additives")
    assert left_out("uk", "dry") == ("additives",)
