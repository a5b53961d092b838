"""Formulas that are printed in papers (`published.yaml`), as labels a maker could print of them.

A label has the guarantees that follow from the printed analysis, on the safe side. A figure on dry
matter without the moisture beside it cannot be told as fed, and gives no guarantee. Rounding in
the tables leaves some formulas a little off 100.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

_LINES = (
    ("protein", "Crude protein (min.)", True),
    ("fat", "Crude fat (min.)", True),
    ("fibre", "Crude fiber (max.)", False),
    ("ash", "Ash (max.)", False),
)


@dataclass(frozen=True)
class Published:
    """One printed formula, in percent of the mix; `analysis` and `moisture` in percent as fed.

    `animal` is whom the feed is for: "pet", or another kind.
    """

    name: str
    source: str
    animal: str
    form: str
    formula: Mapping[str, float]
    moisture: float | None
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
        lines = []
        for nutrient, words, low in _LINES:
            if nutrient in self.analysis:
                value = 2 * self.analysis[nutrient]
                printed = math.floor(value) / 2 if low else math.ceil(value) / 2
                lines.append(f"  {words} ...... {printed} %")
        if self.moisture is not None:
            lines.append(f"  Moisture (max.) ...... {math.ceil(self.moisture)} %")
        form = f"Form: {self.form}\n" if self.form else ""
        listed = ", ".join(name for name, _ in self.ordered)
        return (
            f"Product name: Quillbrook Larder Trial Diet\nSpecies: dog\n{form}Market: US\n\n"
            f"Ingredients: {listed}.\n\nGuaranteed analysis\n" + "\n".join(lines) + "\n"
        )


def _read() -> Iterator[Published]:
    text = Path(__file__).with_suffix(".yaml").read_text(encoding="utf-8")
    for table in yaml.safe_load(text)["sources"]:
        for column, name in enumerate(table["diets"]):
            yield _diet(table, column, name)


def _diet(table: Mapping[str, Any], column: int, name: str) -> Published:
    hundredth = table["of"] / 100
    found = {
        nutrient: row[column] / (1 if nutrient in table.get("percent", ()) else hundredth)
        for nutrient, row in table["analysis"].items()
    }
    dry = found.pop("dry matter", None)
    moisture = found.pop("moisture", None if dry is None else 100 - dry)
    if table["basis"] == "dry matter":
        found = (
            {}
            if moisture is None
            else {nutrient: value * (1 - moisture / 100) for nutrient, value in found.items()}
        )
    return Published(
        name,
        table["source"],
        table["animal"],
        table.get("form", ""),
        {
            table["label"].get(printed, printed): row[column] / hundredth
            for printed, row in table["ingredients"].items()
            if row[column]
        },
        moisture,
        found,
    )


PUBLISHED = tuple(_read())
