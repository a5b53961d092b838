"""Crude protein is an analysis (6.25 x nitrogen) and no part: what holds much nitrogen to the gram
is analysed as more than it weighs."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panellint.analysis.context import LabelContext
from panellint.catalogue import load
from panellint.catalogue.model import PARTS
from panellint.core.source import Source
from panellint.rulepacks.settings import Settings

# Atoms of nitrogen and molar mass (g/mol); 14.007 g of nitrogen to the mole, standard weights.
FORMULAS = {
    "glycine": (1, 75.07),
    "l-arginine": (4, 174.20),
    "l-lysine": (2, 182.65),  # as the hydrochloride
    "dl-methionine": (1, 149.21),
    "taurine": (1, 125.15),
    "urea": (2, 60.06),
    "l-carnitine": (1, 161.20),
    "l-histidine": (3, 155.16),
    "creatine": (3, 131.13),
}


@pytest.mark.parametrize("id", FORMULAS)
def test_the_factor_of_an_amino_acid_holds_what_its_formula_gives(id: str) -> None:
    atoms, mass = FORMULAS[id]
    known = load().get(id)
    assert known is not None
    assert known.nitrogen is not None
    factor = 6.25 * 14.007 * atoms / mass
    assert known.nitrogen.low <= factor <= known.nitrogen.high
    assert known.figures["protein"].range.low <= 98 * factor <= known.figures["protein"].range.high


def label(text: str) -> LabelContext:
    return LabelContext.of(Source(text, "a.panel"), Settings())


def test_gelatin_is_analysed_as_more_protein_than_it_weighs() -> None:
    """Dry gelatin of 1 % ash holds 17.6 to 18.1 % nitrogen (from memory): 110 to 113 % crude
    protein, though no part of a food is more than all of it."""
    context = label("Product name: Chew\nSpecies: dog\nMarket: EU\nComposition: gelatin, starch\n")
    assert 110 <= context.formulas.nutrient("protein").high <= 113.01


def test_arginine_brings_twice_its_weight_of_crude_protein() -> None:
    """Half arginine, half starch is 100 % crude protein: 2.01 x 50."""
    context = label(
        "Product name: Mix\nSpecies: dog\nMarket: US\n"
        "Ingredients: potato starch, l-arginine\n"
        "Guaranteed analysis\nCrude protein (min) 80 %\n"
    )
    assert context.bounds.consistent


NAMES = ("chicken meal", "gelatin", "potato starch", "dried beef liver", "glycine", "beef tallow")


@st.composite
def analysed_foods(draw):
    """Names in order with their shares, and for each the six parts as an analysis has them:
    inside the catalogue's ranges, with carbohydrate by difference, which may miss its range by up
    to three points or lie below nothing."""
    names = draw(st.permutations(NAMES))[:3]
    weights = sorted((draw(st.integers(1, 60)) for _ in names), reverse=True)
    foods = []
    for name, weight in zip(names, weights, strict=True):
        known = load().lookup(name).known
        factor = max(1.03, known.nitrogen.high if known.nitrogen else 1.03)
        ranges = {part: known.figures[part].range for part in PARTS}
        for _ in range(200):
            parts = {
                part: draw(st.integers(round(10 * ranges[part].low), round(10 * ranges[part].high)))
                / 10
                for part in PARTS[:-1]
            }
            left = 100 - sum(parts.values())
            low, high = ranges["carbohydrate"]
            least = max(low - 3, -parts["protein"] * (1 - 1 / factor)) if low <= 0 else low - 3
            if least <= left <= high + 3:
                break
        else:
            return None
        foods.append((name, weight / sum(weights), {**parts, "carbohydrate": left}))
    return foods


@given(analysed_foods())
@settings(max_examples=25, deadline=None)
def test_the_truth_fits_though_analyses_do_not_close(foods) -> None:
    if foods is None:
        return
    mixed = {part: sum(share * parts[part] for _, share, parts in foods) for part in PARTS}
    names = ", ".join(name for name, _, _ in foods)
    context = label(
        f"Product name: Mix\nSpecies: dog\nMarket: US\nForm: treat\nIngredients: {names}\n"
        f"Guaranteed analysis\nCrude protein (min) {mixed['protein'] - 0.05:.1f} %\n"
        f"Crude fat (min) {max(0, mixed['fat'] - 0.05):.1f} %\n"
        f"Moisture (max) {mixed['moisture'] + 0.05:.1f} %\n"
    )
    # Nothing was dried: what was mixed is the food.
    bounds = context.formulas
    assert bounds.consistent, bounds.clash
    for part in PARTS:
        found = bounds.nutrient(part)
        assert found.low - 0.01 <= mixed[part] <= found.high + 0.01, (part, foods)
    for place, (name, share, _) in enumerate(foods):
        found = bounds.bounds({(place,): 1})
        assert found.low - 0.01 <= 100 * share <= found.high + 0.01, (name, foods)
