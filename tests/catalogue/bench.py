"""Published analyses against the ranges of the catalogue: `python -m tests.catalogue.bench`.

Each row of the tables in `rules/ingredients/tables/` is one published analysis. It is judged
against the range of each entry that is tied to it, rebuilt without that row, so that no figure
proves itself; an entry whose only row it is falls back to its sort of material. The rows of
`analyses.csv` are tied to no entry and are judged against the range as it stands.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from panellint.catalogue import files
from panellint.catalogue.compile import Merger, entries
from rules.tables.generate import FOLDER, figures_of
from rules.tables.rows import Tables

ANALYSES = Path(__file__).parent / "analyses.csv"
#: Moisture or protein over so many percentage points: the range says nothing.
SAYS_NOTHING = {"moisture": 35.0, "protein": 40.0}
JUDGED = ("moisture", "protein", "fat", "fibre", "ash")


class Verdict(NamedTuple):
    """One part of one published analysis (percent as added) against one range."""

    entry: str
    source: str
    part: str
    value: float
    low: float
    high: float
    alone: bool

    @property
    def inside(self) -> bool:
        """True where the analysis lies in the range."""
        return self.low - 1e-9 <= self.value <= self.high + 1e-9

    @property
    def says_nothing(self) -> bool:
        """True where the range is so wide that it tells nothing of the part."""
        return self.high - self.low > SAYS_NOTHING.get(self.part, 101)


class _Bench:
    """The tables, the policy and the merging, read once."""

    def __init__(self) -> None:
        base = files.folder()
        self.policy = files.read(base / "widening.yaml") | {"closes_within": files.closes_within()}
        self.classes = files.read(base / "classes.yaml")["classes"]
        nutrients = files.read(base.parent / "nutrients" / "nutrients.yaml")["nutrients"]
        self.classes_of = {n["id"]: n["class"] for n in nutrients}
        self.tables = Tables(FOLDER, self.policy)
        self.merger = Merger()

    def ranges(self, id: str, fields: dict[str, Any]) -> dict[str, list[Any]]:
        """The ranges of an entry with these fields, by nutrient."""
        material = self.classes[fields["as"]]
        made = {}
        if {"usda", "feed", "envelope"} & set(fields):
            made = figures_of(fields, self.tables, self.policy, material, self.classes_of)
        return self.merger.rows(id, fields, made)

    def usda(self, id: str, fields: dict[str, Any]) -> Iterator[Verdict]:
        """The food table's rows of one entry, each against the others."""
        material = self.classes[fields["as"]]
        origin = fields.get("origin", material["origin"])
        kind = fields.get("kind", material["kind"])
        numbers = str(fields.get("usda", "")).split()
        for number in numbers:
            others = " ".join(n for n in numbers if n != number)
            left = {k: v for k, v in fields.items() if k != "usda"} | (
                {"usda": others} if others else {}
            )
            rows = self.ranges(id, left)
            alone = not {"usda", "feed", "envelope"} & set(left)
            means = self.tables.usda_row(number, origin, kind, set()).means
            for part in ("moisture", "protein", "fat", "ash"):
                value = min(100.0, sum(means[part]) / 2)
                yield Verdict(id, f"NDB {number}", part, value, *rows[part][:2], alone)

    def feed(self, id: str, fields: dict[str, Any]) -> Iterator[Verdict]:
        """The feed tables' rows of one entry, read first-hand, each against the others."""
        for name in fields.get("feed", ()):
            raws = self.tables.feed[name]
            for raw in raws:
                if not raw["confidence"].startswith("[seen]") or "USDA" in raw["source"]:
                    continue
                kept = [other for other in raws if other is not raw]
                self.tables.feed[name] = kept
                left = dict(fields)
                if not kept:
                    left["feed"] = [other for other in fields["feed"] if other != name]
                    if not left["feed"]:
                        del left["feed"]
                try:
                    rows = self.ranges(id, left)
                finally:
                    self.tables.feed[name] = raws
                alone = not {"usda", "feed", "envelope"} & set(left)
                dietary = "TOTAL DIETARY" in raw["low_high_note"]
                for part in JUDGED:
                    printed = raw[f"{part}_pct"]
                    if printed and not (part == "fibre" and dietary):
                        yield Verdict(id, name, part, float(printed), *rows[part][:2], alone)

    def others(self) -> Iterator[Verdict]:
        """The analyses that no range is made from."""
        by_id = {id: fields for _, id, fields in entries()}
        with ANALYSES.open(encoding="utf-8", newline="") as lines:
            for row in csv.DictReader(lines):
                rows = self.ranges(row["entry"], by_id[row["entry"]])
                for part in JUDGED:
                    if row[part]:
                        yield Verdict(
                            row["entry"],
                            row["source"],
                            part,
                            float(row[part]),
                            *rows[part][:2],
                            False,
                        )


@cache
def verdicts() -> tuple[Verdict, ...]:
    """Every part of every published analysis against its range."""
    bench = _Bench()
    found: list[Verdict] = []
    for _, id, fields in entries():
        found += bench.usda(id, fields)
        found += bench.feed(id, fields)
    found += bench.others()
    return tuple(found)


def main() -> None:
    """Prints what lies outside, what says nothing, and the widest and narrowest ranges."""
    judged = verdicts()
    analyses = {(v.entry, v.source) for v in judged}
    print(f"{len(analyses)} analyses, {len(judged)} figures")
    for part in JUDGED:
        own = [v for v in judged if v.part == part]
        share = 100 * sum(v.inside for v in own) / len(own)
        print(f"{part:9} {len(own):5} figures, {share:5.1f} % inside")
    print("\nOutside:")
    for v in judged:
        if not v.inside:
            note = " (by its sort of material alone)" if v.alone else ""
            span = f"{v.low:.4g} to {v.high:.4g}"
            print(f"  {v.entry}, {v.part} {v.value:.4g}: {span}, {v.source}{note}")
    bench = _Bench()
    widths = []
    for _, id, fields in entries():
        rows = bench.ranges(id, fields)
        widths += [(rows[part][1] - rows[part][0], part, id) for part in SAYS_NOTHING]
    print("\nSays nothing (moisture over 35 points, protein over 40):")
    for width, part, id in sorted(widths, reverse=True):
        if width > SAYS_NOTHING[part]:
            print(f"  {id}, {part}: {width:.4g} points")
    print("\nNarrowest:")
    for width, part, id in sorted(widths)[:40]:
        print(f"  {id}, {part}: {width:.4g} points")


if __name__ == "__main__":
    main()
