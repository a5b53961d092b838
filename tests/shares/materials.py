"""Materials and levels that honest labels are drawn from.

Composition ranges are wide enough for common materials and are from memory: tests need the
drawn composition to lie inside them and nothing else. Levels of minor ingredients are common
practice, with no source.
"""

from __future__ import annotations

from collections.abc import Mapping

#: name: kind, then (low, high) of moisture, protein, fat, fibre, ash, carbohydrate, calcium.
MATERIALS: Mapping[str, tuple[str, tuple[tuple[float, float], ...]]] = {
    "water": ("water", ((100, 100), (0, 0), (0, 0), (0, 0), (0, 0), (0, 0), (0, 0.01))),
    "chicken": ("muscle-meat", ((58, 76), (14, 23), (2, 25), (0, 0), (0.5, 3.5), (0, 1), (0, 1.2))),
    "duck": ("muscle-meat", ((48, 76), (11, 21), (4, 40), (0, 0), (0.5, 3), (0, 1), (0, 1))),
    "beef": ("muscle-meat", ((50, 76), (14, 23), (3, 33), (0, 0), (0.5, 1.5), (0, 1), (0, 0.1))),
    "salmon": ("fish", ((60, 76), (17, 24), (3, 20), (0, 0), (0.8, 3.5), (0, 0.5), (0, 0.8))),
    "chicken liver": ("organ", ((70, 79), (15, 20), (2, 8), (0, 0), (0.8, 1.8), (0, 4), (0, 0.05))),
    "chicken broth": ("broth", ((92, 99), (0, 4), (0, 2), (0, 0), (0, 2), (0, 1), (0, 0.05))),
    "chicken meal": (
        "rendered-meal",
        ((3, 10), (58, 70), (8, 18), (0, 2), (8, 20), (0, 4), (2, 6)),
    ),
    "fish meal": ("rendered-meal", ((5, 10), (58, 73), (5, 13), (0, 1), (10, 24), (0, 3), (2, 8))),
    "dried egg": ("egg", ((2, 8), (44, 50), (36, 44), (0, 0), (3, 5), (0, 5), (0.1, 0.4))),
    "rice": ("grain", ((9, 14), (6, 10), (0.2, 3.5), (0, 2), (0.3, 2), (70, 83), (0, 0.1))),
    "oats": ("grain", ((8, 13), (10, 17), (3, 9), (1, 12), (1, 4), (50, 72), (0, 0.2))),
    "peas": ("legume", ((8, 14), (19, 27), (0.5, 3), (4, 9), (2, 4), (48, 63), (0, 0.2))),
    "pea protein": (
        "protein-isolate",
        ((4, 10), (72, 86), (1, 8), (0, 4), (3, 7), (0, 10), (0, 0.3)),
    ),
    "pea starch": (
        "isolated-starch",
        ((8, 14), (0, 2), (0, 1), (0, 2), (0, 1), (82, 92), (0, 0.1)),
    ),
    "potato": (
        "tuber",
        ((74, 83), (1.5, 3), (0, 0.4), (0.3, 2.5), (0.7, 1.6), (12, 21), (0, 0.05)),
    ),
    "carrot": (
        "vegetable",
        ((85, 92), (0.5, 1.5), (0, 0.5), (0.6, 3), (0.5, 1.5), (4, 10), (0, 0.1)),
    ),
    "beet pulp": ("fibre", ((6, 11), (7, 11), (0.3, 2), (16, 24), (3, 9), (46, 64), (0.4, 1.2))),
    "chicken fat": (
        "fat-or-oil",
        ((0, 1), (0, 0.5), (98, 100), (0, 0), (0, 0.5), (0, 0.5), (0, 0)),
    ),
    "fish oil": ("fat-or-oil", ((0, 0.5), (0, 0), (99, 100), (0, 0), (0, 0.3), (0, 0), (0, 0))),
    "flaxseed": ("seed", ((5, 9), (17, 26), (33, 46), (5, 11), (2, 5), (14, 30), (0.1, 0.4))),
}
#: Minor ingredients at the levels of practice, in percent of a dry mix: (low, high).
MINORS: Mapping[str, tuple[float, float]] = {
    "salt": (0.2, 0.6),
    "potassium chloride": (0.2, 0.7),
    "calcium carbonate": (0.2, 0.9),
    "dicalcium phosphate": (0.2, 2.0),
    "choline chloride": (0.1, 0.3),
    "taurine": (0.05, 0.2),
    "mixed tocopherols": (0.02, 0.12),
    "yucca extract": (0.01, 0.02),
    "dried kelp": (0.05, 0.5),
    "natural flavor": (0.1, 3.0),
}
VITAMINS = (
    "vitamin E supplement",
    "niacin",
    "vitamin A supplement",
    "thiamine mononitrate",
    "riboflavin",
    "vitamin D3 supplement",
    "biotin",
    "folic acid",
    "vitamin B12 supplement",
)
TRACE = (
    "zinc proteinate",
    "iron proteinate",
    "copper proteinate",
    "manganese proteinate",
    "calcium iodate",
    "sodium selenite",
)
PARTS_OF_TABLE = ("moisture", "protein", "fat", "fibre", "ash", "carbohydrate", "calcium")
