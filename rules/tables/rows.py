"""Rows of the composition tables in this catalogue's nutrients and units."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

#: Column of the USDA table -> nutrient id and what to multiply by for its unit.
USDA_COLUMNS: dict[str, tuple[str, float]] = {
    "starch_g": ("starch", 1), "sugars_total_g": ("sugars", 1),
    "fibre_total_dietary_g": ("dietary-fibre", 1),
    "calcium_mg": ("calcium", 0.001), "phosphorus_mg": ("phosphorus", 0.001),
    "magnesium_mg": ("magnesium", 0.001), "potassium_mg": ("potassium", 0.001),
    "sodium_mg": ("sodium", 0.001), "iron_mg": ("iron", 10), "zinc_mg": ("zinc", 10),
    "copper_mg": ("copper", 10), "manganese_mg": ("manganese", 10),
    "selenium_ug": ("selenium", 0.01), "vitamin_d_iu": ("vitamin-d", 10),
    "vitamin_e_alpha_tocopherol_mg": ("vitamin-e", 14.9),
    "vitamin_k_phylloquinone_ug": ("vitamin-k", 0.01), "vitamin_c_mg": ("vitamin-c", 10),
    "thiamin_mg": ("thiamine", 10), "riboflavin_mg": ("riboflavin", 10),
    "niacin_mg": ("niacin", 10), "pantothenic_acid_mg": ("pantothenic-acid", 10),
    "vitamin_b6_mg": ("pyridoxine", 10), "folate_total_ug": ("folic-acid", 0.01),
    "vitamin_b12_ug": ("vitamin-b12", 0.01), "choline_total_mg": ("choline", 10),
    "fa_18_2_linoleic_undiff_g": ("linoleic-acid", 1), "fa_20_4_undiff_g": ("arachidonic-acid", 1),
    "fa_20_5_n3_epa_g": ("epa", 1), "fa_22_6_n3_dha_g": ("dha", 1),
    "arginine_g": ("arginine", 1), "histidine_g": ("histidine", 1),
    "isoleucine_g": ("isoleucine", 1), "leucine_g": ("leucine", 1), "lysine_g": ("lysine", 1),
    "methionine_g": ("methionine", 1), "cystine_g": ("cystine", 1),
    "phenylalanine_g": ("phenylalanine", 1), "tyrosine_g": ("tyrosine", 1),
    "threonine_g": ("threonine", 1), "tryptophan_g": ("tryptophan", 1), "valine_g": ("valine", 1),
}  # fmt: skip
#: Nutrients that are the sum of two others of the same row.
SUMS = {
    "methionine-cystine": ("methionine", "cystine"),
    "phenylalanine-tyrosine": ("phenylalanine", "tyrosine"),
    "epa-dha": ("epa", "dha"),
}
#: The share of a gram of beta-carotene in one of the IU that the USDA prints for plants.
CAROTENE_MG_PER_IU = 0.0006
IU_PER_MICROGRAM_RETINOL = 1 / 0.3
USDA_SOURCE = "USDA National Nutrient Database for Standard Reference, Release 28"

_FEED_PARTS = ("moisture", "protein", "fat", "ash")
_FEED_MINERALS = ("calcium", "phosphorus", "starch")
_NOTE_RANGE = re.compile(
    r"\b(moisture|protein|fat|fibre|ash|calcium|phosphorus|starch) (\d+(?:\.\d+)?)-(\d+(?:\.\d+)?)"
)
_ENVELOPE_NUTRIENTS = {
    "water_pct": "moisture", "moisture_pct": "moisture", "protein_pct": "protein",
    "fat_pct": "fat", "ash_pct": "ash", "fibre_crude_pct": "fibre",
    "fibre_total_dietary_pct": "dietary-fibre", "calcium_pct": "calcium",
    "phosphorus_pct": "phosphorus", "starch_pct": "starch",
}  # fmt: skip


@dataclass
class Row:
    """One table row: means and spans by nutrient, percent or the nutrient's unit, as added.

    `means` are to be widened by the policy; `spans` hold the truth by themselves. A span is
    (low, high, more): `more` times the policy's width is added where it is not trusted whole.
    `dietary` is total dietary fibre; `fibre_unprinted`: none is printed of a plant, so that the
    carbohydrate by difference holds it.
    """

    label: str
    seen: bool
    means: dict[str, tuple[float, float]] = field(default_factory=dict)
    spans: dict[str, tuple[float, float, float]] = field(default_factory=dict)
    dietary: float | None = None
    fibre_unprinted: bool = False

    def with_fibre(self, most: float) -> None:
        """Let the carbohydrate hold so much fibre where none is printed."""
        if self.fibre_unprinted:
            low, high = self.means["carbohydrate"]
            self.mean("carbohydrate", low - most, high)

    def mean(self, nutrient: str, low: float, high: float | None = None) -> None:
        """Add a mean, or the span that one printed mean can stand for."""
        self.means[nutrient] = (max(0.0, low), max(0.0, low if high is None else high))


def _number(text: str) -> float | None:
    return float(text) if text.strip() else None


class Tables:
    """The three source tables of `rules/ingredients/tables/`."""

    def __init__(self, folder: Path, policy: dict[str, Any]) -> None:
        self._policy = policy
        self.usda = {r["ndb_no"]: r for r in _read(folder / "usda-sr-subset.csv")}
        self.feed: dict[str, list[dict[str, str]]] = {}
        for row in _read(folder / "feed-ingredients.csv"):
            self.feed.setdefault(row["ingredient"], []).append(row)
        self.food_spans: dict[str, list[dict[str, str]]] = {}
        self.envelopes: dict[str, list[dict[str, str]]] = {}
        for row in _read(folder / "variability.csv"):
            table, key = (
                (self.food_spans, row["ndb_no"])
                if row["ndb_no"]
                else (self.envelopes, row["ingredient"])
            )
            table.setdefault(key, []).append(row)

    def usda_row(self, number: str, origin: str, kind: str, without: set[str]) -> Row:
        """One food of the USDA table; raises KeyError where there is no such number.

        `without`: the nutrients whose spread an envelope gives better than this row's errors.
        """
        raw = self.usda[number]
        row = Row(f"{USDA_SOURCE}, NDB {number}", True)
        low, high = self._protein_factors(raw["n_to_protein_factor"], origin, kind)
        water, fat, ash = (float(raw[c]) for c in ("water_g", "fat_total_g", "ash_g"))
        protein = float(raw["protein_g"])
        dietary = _number(raw["fibre_total_dietary_g"])
        if dietary is None and origin != "plant":
            dietary = 0.0
        row.mean("moisture", water)
        row.mean("protein", protein * low, protein * high)
        row.mean("fat", fat)
        row.mean("ash", ash)
        row.dietary = dietary
        rest = 100 - water - fat - ash
        row.fibre_unprinted = dietary is None
        row.mean("carbohydrate", rest - protein * high - (dietary or 0.0), rest - protein * low)
        for span in self.food_spans.get(number, []):
            self._food_span(row, span, low, high, without)
        if number not in self._policy["parts_only"]:
            self._minor(row, raw, origin)
        return row

    def _protein_factors(self, factor: str, origin: str, kind: str) -> tuple[float, float]:
        if factor and float(factor) > 0:
            times = 6.25 / float(factor)
            return times, times
        unknown = self._policy["unknown_factor"]
        group = "dairy" if kind == "dairy" else "plant" if origin == "plant" else "animal"
        low, high = unknown[group]
        return low, high

    @staticmethod
    def _food_span(
        row: Row, span: dict[str, str], low: float, high: float, without: set[str]
    ) -> None:
        """What one food varied over; a derived span gives way to an envelope."""
        nutrient = _ENVELOPE_NUTRIENTS.get(span["nutrient"])
        if not nutrient or not span["low"] or not span["high"]:
            return
        derived = span["method"].startswith("mean plus or minus")
        if nutrient in without and derived:
            return
        least, most = float(span["low"]), float(span["high"])
        if nutrient == "protein":
            least, most = least * low, most * high
        known = row.spans.get(nutrient, (least, most, 0.0))
        row.spans[nutrient] = (min(least, known[0]), max(most, known[1]), 0.0)

    def _minor(self, row: Row, raw: dict[str, str], origin: str) -> None:
        added: set[str] = set()
        for words, nutrients in self._policy["fortified"].items():
            if words in raw["usda_description"]:
                added.update(nutrients)
        values: dict[str, float] = {}
        for column, (nutrient, times) in USDA_COLUMNS.items():
            value = _number(raw[column])
            if value is not None:
                values[nutrient] = value * times
        omega = _number(raw["fa_18_3_n3_ala_g"])
        if omega is None:
            omega = _number(raw["fa_18_3_undiff_g"])
        if omega is not None:
            values["alpha-linolenic-acid"] = omega
        for nutrient, (one, other) in SUMS.items():
            if one in values and other in values:
                values[nutrient] = values[one] + values[other]
        self._vitamin_a(row, raw, origin)
        for nutrient, value in values.items():
            row.mean(nutrient, value)
        for nutrient in added & set(row.means):
            row.mean(nutrient, 0.0, row.means[nutrient][1])

    @staticmethod
    def _vitamin_a(row: Row, raw: dict[str, str], origin: str) -> None:
        """Retinol for animals, carotene for plants: carotene is no vitamin A for cats."""
        units, retinol = _number(raw["vitamin_a_iu"]), _number(raw["vitamin_a_rae_ug"])
        if units is None:
            return
        if origin == "plant":
            row.mean("beta-carotene", units * CAROTENE_MG_PER_IU * 10)
        elif retinol is not None:
            least = retinol * IU_PER_MICROGRAM_RETINOL * 10
            row.mean("vitamin-a", min(least, units * 10), max(least, units * 10))

    def _more(self, seen: bool) -> float:
        """How far a span is widened: a recalled one by a share of the policy's width."""
        return 0.0 if seen else float(self._policy["recalled_share"])

    def feed_rows(self, name: str) -> list[Row]:
        """All rows of a feed ingredient that hold figures."""
        found = []
        for raw in self.feed[name]:
            row = Row(f"{raw['source']} ({name})", raw["confidence"].startswith("[seen]"))
            note = raw["low_high_note"].split("span of means")[0]
            ranges = {n: (float(a), float(b)) for n, a, b in _NOTE_RANGE.findall(note)}
            parts: dict[str, tuple[float, float]] = {}
            for nutrient in (*_FEED_PARTS, *_FEED_MINERALS):
                value = _number(raw[f"{nutrient}_pct"])
                if value is None:
                    continue
                if nutrient in ranges:
                    low, high = ranges[nutrient]
                    row.spans[nutrient] = (min(low, value), max(high, value), self._more(row.seen))
                else:
                    row.mean(nutrient, value)
                parts[nutrient] = ranges.get(nutrient, (value, value))
            self._feed_fibre(row, raw, ranges, parts, self._more(row.seen))
            if row.means or row.spans:
                found.append(row)
        return found

    @staticmethod
    def _feed_fibre(
        row: Row,
        raw: dict[str, str],
        ranges: dict[str, tuple[float, float]],
        parts: dict[str, tuple[float, float]],
        more: float,
    ) -> None:
        """Crude fibre as printed, or bounded by total dietary fibre; then what is left over."""
        value = _number(raw["fibre_pct"])
        dietary = "TOTAL DIETARY" in raw["low_high_note"]
        if value is None:
            fibre = (0.0, 0.0) if set(_FEED_PARTS) <= set(parts) else None
        elif dietary:
            fibre = (0.0, value)
            row.dietary = value
        elif "fibre" in ranges:
            fibre = ranges["fibre"]
            row.spans["fibre"] = (*ranges["fibre"], more)
        else:
            fibre = (value, value)
            row.mean("fibre", value)
        if fibre is None or not set(_FEED_PARTS) <= set(parts) or value is None:
            return
        low = 100 - sum(parts[p][1] for p in _FEED_PARTS) - fibre[1]
        high = 100 - sum(parts[p][0] for p in _FEED_PARTS) - fibre[0]
        row.mean("carbohydrate", low, high)

    def envelope(self, name: str, origin: str) -> Row:
        """The spans of a label term; limits set by law are no spans of what is found."""
        row = Row("", True)
        for raw in self.envelopes[name]:
            nutrient = _ENVELOPE_NUTRIENTS.get(raw["nutrient"])
            if not nutrient or not raw["low"] or not raw["high"]:
                continue
            if "limit" in raw["method"] and nutrient != "calcium":
                continue
            low, high = float(raw["low"]), float(raw["high"])
            usda = raw["source"].startswith("USDA")
            if nutrient == "protein" and usda and origin == "plant":
                high *= self._policy["plant_envelope_protein"]
            seen = raw["confidence"].startswith("[seen]")
            more = self._more(seen)
            if "within-row SD (0)" in raw["method"] and (
                float(raw["n"] or 9) < self._policy["few_rows"]
            ):
                more = self._policy["few_rows_factor"]
            if nutrient == "dietary-fibre":
                row.dietary = high
                continue
            known = row.spans.get(nutrient, (low, high, more))
            row.spans[nutrient] = (min(low, known[0]), max(high, known[1]), max(more, known[2]))
            row.seen = row.seen and seen
            row.label = f"{raw['source']} ({name})"
        return row


def _read(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))
