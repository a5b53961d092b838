"""Crude protein is an analysis (6.25 x nitrogen) and no part: what holds much nitrogen to the gram
is analysed as more than it weighs."""

from __future__ import annotations

import pytest

from panellint.analysis.context import LabelContext
from panellint.catalogue import load
from panellint.core.source import Source
from panellint.rulepacks.settings import Settings

# Atoms of nitrogen and molar mass (g/mol); 14.007 g of nitrogen to the mole, standard weights.
FORMULAS = {
    "glycine": (1, 75.07),
    "l-arginine": (4, 174.20),
    "l-lysine": (2, 182.65),  # as the hydrochloride
    "dl-methionine": (1, 149.21),
    "taurine": (1, 125.15),
}


@pytest.mark.parametrize("id", FORMULAS)
def test_the_factor_of_an_amino_acid_holds_what_its_formula_gives(id: str) -> None:
    atoms, mass = FORMULAS[id]
    known = load().get(id)
    assert known is not None
    assert known.nitrogen is not None
    assert known.nitrogen.low <= 6.25 * 14.007 * atoms / mass <= known.nitrogen.high


def label(text: str) -> LabelContext:
    return LabelContext.of(Source(text, "a.panel"), Settings.default())


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
