"""Guarantees read the same however a line lays them out: order, bound words, brackets, signs."""

from itertools import product

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.source import Source
from panellint.label.model import Bound
from panellint.rulepacks.settings import Settings

SHAPES = """
    {n} ({b}) {v}%|{n} {b} {v}%|{n}, {b} {v}%|{n} {v}% {b}|{n} {v}% ({b})|{n}: {v}% {b}
    {n} ........ {b} {v}%|{n} ........ {v}% {b}|{n}: {b} {v} %|{n} - {b} - {v} %|{n} [{b}] {v} %
    {n}...({b})...{v}%|{n}; {b}; {v} %|{n} = {b} {v} %|{n} ({b}) - {v}%
    {v}% {n} ({b})|{v} percent {n} {b}|{v}% {b} {n}|{b} {v}% {n}|{b} {n} {v}%|{b} {n}: {v} %
"""
ABOVE = """Chicken Stew
Food for Dogs
Ingredients: Chicken, water sufficient for processing, brown rice, dried egg product, salt.
"""
BETWEEN = [", ", "; ", "\n", " | ", " • ", "  ", " / ", ". ", " – ", "\n\n"]
BOUNDS = [
    ("min", "max"),
    ("Min.", "Max."),
    ("minimum", "maximum"),
    ("not less than", "not more than"),
]
NAMES = [
    ("Crude Protein", "Crude Fat", "Crude Fiber", "Moisture", "Calcium"),
    ("Protein (crude)", "Fat (crude)", "Fibre (crude)", "MOISTURE", "Calcium (Ca)"),
    ("Protein, crude", "crude fat", "fiber", "moisture", "Calcium"),
]
FIGURES = ("24", "10.5", "4", "12.0", "1.2")
READ = [
    ("protein", Bound.MIN), ("fat", Bound.MIN), ("fibre", Bound.MAX), ("moisture", Bound.MAX),
    ("calcium", Bound.MIN),
]  # fmt: skip


@pytest.mark.parametrize("between", BETWEEN)
@pytest.mark.parametrize("heading", ["Guaranteed Analysis: ", ""])
def test_every_shape_of_a_guarantee_is_read(between: str, heading: str) -> None:
    shapes = [s.strip() for line in SHAPES.strip().splitlines() for s in line.strip().split("|")]
    misread = {}
    for place, (shape, (least, most)) in enumerate(product(shapes, BOUNDS)):
        if between.strip() and between.strip() in shape:
            continue
        lines = between.join(
            shape.format(n=name, v=figure, b=least if bound is Bound.MIN else most)
            for name, figure, (_, bound) in zip(
                NAMES[place % len(NAMES)], FIGURES, READ, strict=True
            )
        )
        text = f"{ABOVE}{heading}{lines}\n"
        guarantees = LabelContext.of(Source(text, "stew.panel"), Settings()).label.guarantees
        read = [(g.nutrient, g.bound, str(g.value)) for g in guarantees]
        if read != [(*part, figure) for part, figure in zip(READ, FIGURES, strict=True)]:
            misread[lines] = read
    assert misread == {}
