"""Honest labels of the demo maker, read whole with the real catalogue: the formula behind each is
inside every bound."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from panellint import api
from panellint.analysis.context import LabelContext
from panellint.analysis.label_shares import unlisted
from panellint.core.source import Source, read
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
    assert left_out("us") == ()
    assert left_out("eu") == left_out("uk") == ("water", "additives")


@pytest.mark.parametrize(
    ("form", "moisture", "most"),
    [
        # 9 % with one point of tolerance, of a kibble that may take up 15 % of steam.
        ("kibble", "moisture 9 %", 1.15 * 10),
        # From 14 % on moisture has to be declared.
        ("kibble", "crude protein 24 %", 1.15 * 14),
        # What a wet food loses may be of this water too.
        ("canned", "moisture 80 %", 0.68 * 82 + 32),
        ("canned", "crude protein 9 %", None),
    ],
)
def test_the_moisture_says_how_much_water_may_be_unlisted(
    form: str, moisture: str, most: float | None
) -> None:
    text = f"Form: {form}\nComposition: beef, rice\nAnalytical constituents: {moisture}\n"
    found = unlisted(LabelContext.of(Source(f"Market: EU\n{text}", "p")))["water"]
    assert found == (most and pytest.approx(most))


def test_a_broth_that_is_freeze_dried_loses_nearly_all_of_itself() -> None:
    """Broth of 96.5 % water with 0.5 % turmeric, dried to 4 % moisture: what is left of the mix is
    3.9 % dry matter, and 95.9 % of it went."""
    text = "Form: freeze-dried\nIngredients: beef bone broth, turmeric\nMoisture (max) 4%\n"
    context = LabelContext.of(Source(text, "broth.panel"))
    dry = context.formulas.dry_weight({(0,): 1, (1,): 1})
    assert dry.low <= 0.995 * 3.5 + 0.5 * 0.9 <= dry.high


def test_a_soft_treat_of_the_eu_may_hold_water_that_is_not_listed() -> None:
    """At 18 % moisture nothing says that the fifth of the mix without a percentage is not water."""
    text = (
        "Market: EU\nForm: soft treat\nComposition: chicken (30 %), rice (30 %), glycerine (12 %), "
        "sugar (8 %)\nAnalytical constituents: moisture 18 %, crude protein 12 %\n"
    )
    context = LabelContext.of(Source(text, "treat.panel"))
    assert context.formulas.consistent
    found = {finding["rule"] for finding in api.lint(text, "treat.panel")["findings"]}
    assert "eu-percentages-sum" not in found
    assert "no-formula-fits" not in found


def test_an_arginine_heavy_food_fits_its_crude_protein() -> None:
    """Nitrogen times 6.25 gives arginine 201 %: crude protein above the whole is in order."""
    context = LabelContext.of(
        Source("Form: powder\nIngredients: l-arginine, taurine\nCrude protein (min) 130%\n", "p")
    )
    assert context.formulas.consistent
