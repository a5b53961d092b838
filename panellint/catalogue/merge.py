"""Composition ranges: what the class, the tables and the hand-written entry say, merged."""

from __future__ import annotations

from typing import Any

from panellint.catalogue import files
from panellint.catalogue.compile import entries
from panellint.catalogue.model import PARTS


def compiled() -> dict[str, Any]:
    """All figures, as JSON can hold them: rows of [low, high, index of source, confirmed]."""
    base = files.folder()
    classes = files.read(base / "classes.yaml")
    widening = files.read(base / "widening.yaml")
    nutrients = files.read(base.parent / "nutrients" / "nutrients.yaml")["nutrients"]
    units = {nutrient["id"]: nutrient["unit"] for nutrient in nutrients}
    error = files.closes_within()
    sources = _Sources()
    class_source = sources.index(classes["source"])
    by_class = {
        name: {
            nutrient: [*fields[nutrient], class_source, False]
            for nutrient in units
            if nutrient in fields
        }
        for name, fields in classes["classes"].items()
    }
    tables: dict[str, Any] = {}
    for path in files.generated_files():
        made = files.read(path)
        for id, figures in made["figures"].items():
            tables[id] = {
                n: [*row[:2], made["sources"][row[2]], row[3]] for n, row in figures.items()
            }
    strong = files.read(base / "strengths.yaml")
    strengths: dict[str, list[dict[str, Any]]] = {}
    for strength in strong["strengths"]:
        strengths.setdefault(strength["id"], []).append(strength)
    by_id: dict[str, Any] = {}
    for path, id, fields in entries():
        line = files.lines(path).get(id)
        rows = dict(by_class[fields["as"]])
        bone = fields.get("bone", classes["classes"][fields["as"]].get("bone"))
        for nutrient, (low, high, source, confirmed) in tables.get(id, {}).items():
            most = min(high, 100) if units.get(nutrient) == "%" else high
            row = [low, most, sources.index(source), bool(confirmed)]
            if fields.get("wide") and nutrient in by_class[fields["as"]]:
                row = _union(row, by_class[fields["as"]][nutrient], sources)
            rows[nutrient] = row
        if bone:
            _add_bone(rows, widening["bone"][bone], sources)
        for strength in strengths.get(id, []):
            kept = strong["sources"][strength["source"]]
            confirmed = strength["source"] == "formula"
            rows[strength["nutrient"]] = [*strength["range"], sources.index(kept), confirmed]
        held = fields.get("holds_source", classes["source"])
        for nutrient, (low, high) in fields.get("holds", {}).items():
            rows[nutrient] = [low, high, sources.index(held), "holds_source" in fields]
        for nutrient, (low, high, *_) in rows.items():
            if nutrient not in units:
                raise files.fault(path, line, f"{id}: no nutrient is called {nutrient!r}")
            if not 0 <= low <= high:
                raise files.fault(path, line, f"{id}: {nutrient} from {low} to {high}")
        _require_closure(path, line, id, rows)
        _close(rows, error)
        by_id[id] = rows
    if lost := sorted(set(strengths) - set(by_id)):
        raise files.fault(base / "strengths.yaml", None, f"no ingredient has the id {lost[0]!r}")
    return {"figures": by_id, "classes": by_class, "sources": sources.texts, "units": units}


class _Sources:
    """Texts of sources, each kept once."""

    def __init__(self) -> None:
        self.texts: list[str] = []
        self._at: dict[str, int] = {}

    def index(self, text: str) -> int:
        if text not in self._at:
            self._at[text] = len(self.texts)
            self.texts.append(text)
        return self._at[text]


def _union(row: list[Any], other: list[Any], sources: _Sources) -> list[Any]:
    """The span of both; from memory as soon as the second one moves an end."""
    low, high = min(row[0], other[0]), max(row[1], other[1])
    if [low, high] == row[:2]:
        return row
    text = f"{sources.texts[row[2]]}; widened by: {sources.texts[other[2]]}"
    return [low, high, sources.index(text), False]


def _add_bone(rows: dict[str, list[Any]], bone: dict[str, Any], sources: _Sources) -> None:
    """Lift the high ends of ash, calcium and phosphorus where bone is not shut out."""
    for nutrient, most in bone.items():
        if nutrient == "source" or nutrient not in rows:
            continue
        low, high, at, _ = rows[nutrient]
        if high < most:
            text = f"{sources.texts[at]}; high end: {bone['source']}"
            rows[nutrient] = [low, most, sources.index(text), False]


def _require_closure(path: Any, line: int | None, id: str, rows: dict[str, list[Any]]) -> None:
    """The six parts can sum to 100 %."""
    if missing := [part for part in PARTS if part not in rows]:
        raise files.fault(path, line, f"{id}: no range of {missing[0]}")
    low = sum(rows[part][0] for part in PARTS)
    high = sum(rows[part][1] for part in PARTS)
    if not low <= 100 <= high:
        message = f"{id}: the six parts sum to between {low:.1f} and {high:.1f} %"
        raise files.fault(path, line, message, "ranges that can close to 100 %")


def _close(rows: dict[str, list[Any]], error: float) -> None:
    """Cut each part to what the least and the most of the others leave it, within the error of
    analyses: a dried meat of 25 % protein at least is never 89 % fat."""
    ends = {part: (rows[part][0], rows[part][1]) for part in PARTS}
    least = sum(low for low, _ in ends.values())
    most = sum(high for _, high in ends.values())
    for part, (low, high) in ends.items():
        rows[part][0] = max(low, round(100 - error - (most - high), 3))
        rows[part][1] = min(high, round(100 + error - (least - low), 3))
