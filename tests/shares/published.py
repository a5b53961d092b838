"""Dog foods whose formulas are printed in papers, as labels a maker could print of them.

Figures are percent of the mix as fed and, for the analysis, percent of dry matter with the
moisture beside it. Ingredient names are put in the words that labels use. Rounding in the
tables leaves some formulas a little off 100.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Published:
    """One printed formula. `analysis` is percent of dry matter, `moisture` percent as fed."""

    name: str
    source: str
    form: str
    formula: Mapping[str, float]
    moisture: float
    analysis: Mapping[str, float]

    @property
    def ordered(self) -> list[tuple[str, float]]:
        """The formula in descending order, ties as printed."""
        return sorted(self.formula.items(), key=lambda item: -item[1])

    @property
    def shares(self) -> list[float]:
        """Percent of the mix in the order of the list, to a sum of 100."""
        total = sum(self.formula.values())
        return [100 * value / total for _, value in self.ordered]

    def label(self) -> str:
        """A panel file with guarantees on the safe side, to the half percent."""
        dry = 1 - self.moisture / 100
        lines = []
        for nutrient, words, low in (
            ("protein", "Crude protein (min.)", True),
            ("fat", "Crude fat (min.)", True),
            ("ash", "Ash (max.)", False),
        ):
            if nutrient in self.analysis:
                value = 2 * self.analysis[nutrient] * dry
                printed = math.floor(value) / 2 if low else math.ceil(value) / 2
                lines.append(f"  {words} ...... {printed} %")
        lines.append(f"  Moisture (max.) ...... {math.ceil(self.moisture)} %")
        listed = ", ".join(name for name, _ in self.ordered)
        return (
            f"Product name: Quillbrook Larder Trial Diet\nSpecies: dog\nForm: {self.form}\n"
            f"Market: US\n\nIngredients: {listed}.\n\nGuaranteed analysis\n"
            + "\n".join(lines)
            + "\n"
        )


_KIBBLES = "Pezzali & Aldrich 2019, J Anim Sci 97:3758, Table 1 (two extruded rations)"
_SOFT = "J Anim Sci Technol 2024, 66(2):374, Table 1 (three diets with 35 % added water)"
_PREBIOTIC = "J Anim Sci 2021, 99(12):skab347, Table 1 (control diet and one with a postbiotic)"

_MINOR = {
    "salt": 0.48,
    "potassium chloride": 0.30,
    "choline chloride": 0.24,
    "vitamin premix": 0.24,
    "dicalcium phosphate": 0.24,
    "calcium carbonate": 0.24,
    "trace mineral premix": 0.17,
    "menhaden oil": 0.12,
    "taurine": 0.12,
    "mixed tocopherols": 0.12,
    "chicken fat": 4.00,
    "dried animal digest": 1.00,
    "titanium dioxide": 0.40,
}
_SOFT_NAMES = (
    "rice flour",
    "dried chicken",
    "dried egg yolk",
    "lard",
    "dried seaweed",
    "dried cabbage",
    "calcium phosphate",
    "calcium carbonate",
    "potassium citrate",
    "vitamin and mineral premix",
    "salt",
    "L-tryptophan",
    "water",
)
_CHICKEN = {
    "mechanically separated chicken": 18.95,
    "chicken meal": 18.76,
    "brown rice": 18.47,
    "barley": 16.45,
    "chicken fat": 5.67,
    "powdered cellulose": 3.98,
    "liquid digest": 1.72,
    "pea protein": 1.68,
    "fish meal": 1.47,
    "dried animal digest": 0.86,
    "salt": 0.49,
    "potassium chloride": 0.41,
    "vitamin premix": 0.23,
    "mineral premix": 0.23,
    "choline chloride": 0.15,
    "DL-methionine": 0.09,
    "mixed tocopherols": 0.06,
}


def _soft(
    name: str, amounts: tuple[float, ...], dry: float, analysis: dict[str, float]
) -> Published:
    formula = {n: a for n, a in zip(_SOFT_NAMES, amounts, strict=True) if a}
    return Published(name, _SOFT, "semi-moist", formula, 100 - dry, analysis)


PUBLISHED = (
    Published(
        "ancient grain kibble",
        _KIBBLES,
        "kibble",
        {"hydrolyzed pork": 41.99, "spelt": 16.78, "millet": 16.78, "sorghum": 16.78, **_MINOR},
        5.41,
        {"protein": 37.0, "fat": 15.8, "ash": 4.24},
    ),
    Published(
        "grain-free kibble",
        _KIBBLES,
        "kibble",
        {"hydrolyzed pork": 41.99, "green peas": 26.23, "dried potatoes": 16.78,
         "tapioca starch": 7.32, **_MINOR},
        5.49,
        {"protein": 38.0, "fat": 12.5, "ash": 4.33},
    ),
    _soft("soft diet, 20 % protein",
          (43.91, 6.6, 8, 1.5, 1, 1, 1, 0.7, 0.51, 0.4, 0.33, 0.05, 35), 58.56,
          {"protein": 20.02, "fat": 11.75, "ash": 2.19}),
    _soft("soft diet, 30 % protein",
          (37.04, 14, 8, 1.3, 1, 1, 0.8, 0.8, 0.35, 0.4, 0.31, 0, 35), 59.49,
          {"protein": 30.16, "fat": 12.02, "ash": 2.47}),
    _soft("soft diet, 40 % protein",
          (30.04, 21.6, 7.5, 1.4, 1, 1, 0.6, 0.89, 0.3, 0.4, 0.27, 0, 35), 60.45,
          {"protein": 39.99, "fat": 12.35, "ash": 2.68}),
    Published("chicken and rice kibble", _PREBIOTIC, "kibble", {**_CHICKEN, "pea starch": 10.32},
              8.0, {"protein": 27.2, "fat": 15.7, "ash": 6.0}),
    Published("chicken and rice kibble with a postbiotic", _PREBIOTIC, "kibble",
              {**_CHICKEN, "pea starch": 10.07,
               "dried lactobacillus acidophilus fermentation product": 0.25},
              8.0, {"protein": 27.7, "fat": 15.5, "ash": 7.0}),
)  # fmt: skip
