"""Composition ranges: what the class, the tables and the hand-written entry say, merged."""

from collections.abc import Sequence
from typing import Any

from panellint.catalogue import files
from panellint.catalogue.compile import entries
from panellint.catalogue.model import PARTS


def compiled() -> dict[str, Any]:
    """All figures, as JSON can hold them: rows of [low, high, index of source, confirmed]."""
    base = files.folder()
    merger = Merger()
    made_by_id: dict[str, Any] = {}
    for path in files.generated_files():
        content = files.read(path)
        for id, figures in content["figures"].items():
            made_by_id[id] = {
                n: (*row[:2], content["sources"][row[2]], row[3]) for n, row in figures.items()
            }
    by_id: dict[str, Any] = {}
    for path, id, fields in entries():
        try:
            by_id[id] = merger.rows(id, fields, made_by_id.get(id, {}))
        except ValueError as error:
            expected = "six parts with ranges that can close to 100 %"
            line = files.lines(path).get(id)
            raise files.fault(path, line, f"{id}: {error}", expected) from None
    if lost := sorted(set(merger.strengths) - set(by_id)):
        raise files.fault(base / "strengths.yaml", None, f"no ingredient has the id {lost[0]!r}")
    return {
        "figures": by_id,
        "classes": merger.by_class,
        "sources": merger.sources.texts,
        "units": merger.units,
    }


class Merger:
    """Merges what the sort of material, the tables and the entry itself say of an entry."""

    def __init__(self) -> None:
        base = files.folder()
        self._classes = files.read(base / "classes.yaml")
        self._bone = files.read(base / "widening.yaml")["bone"]
        self._error = files.closes_within()
        nutrients = files.read(base.parent / "nutrients" / "nutrients.yaml")["nutrients"]
        self.units = {nutrient["id"]: nutrient["unit"] for nutrient in nutrients}
        self.sources = _Sources()
        at = self.sources.index(self._classes["source"])
        self.by_class = {
            name: {n: [*fields[n], at, False] for n in self.units if n in fields}
            for name, fields in self._classes["classes"].items()
        }
        strong = files.read(base / "strengths.yaml")
        self._strong_sources: dict[str, str] = strong["sources"]
        self.strengths: dict[str, list[dict[str, Any]]] = {}
        for strength in strong["strengths"]:
            self.strengths.setdefault(strength["id"], []).append(strength)

    def rows(
        self, id: str, fields: dict[str, Any], ranges: dict[str, tuple[float, float, str, Any]]
    ) -> dict[str, list[Any]]:
        """Returns the ranges of one entry by nutrient, each in the nutrient's own unit as added.

        `made` are those that its table rows give: low, high, source, whether it was read. Raises
        ValueError where a range is none, or where the six parts cannot sum to 100.
        """
        sources = self.sources
        by_class = self.by_class[fields["as"]]
        rows = {nutrient: list(row) for nutrient, row in by_class.items()}
        bone = fields.get("bone", self._classes["classes"][fields["as"]].get("bone"))
        for nutrient, (low, high, source, confirmed) in ranges.items():
            most = min(high, 100) if self.units.get(nutrient) == "%" else high
            row = [low, most, sources.index(source), bool(confirmed)]
            if fields.get("wide") and nutrient in by_class:
                row = _union(row, by_class[nutrient], sources)
            rows[nutrient] = row
        if bone:
            _add_bone(rows, self._bone[bone], sources)
        for strength in self.strengths.get(id, []):
            kept = self._strong_sources[strength["source"]]
            confirmed = strength["source"] == "formula"
            rows[strength["nutrient"]] = [*strength["range"], sources.index(kept), confirmed]
        held = fields.get("holds_source", self._classes["source"])
        for nutrient, (low, high) in fields.get("holds", {}).items():
            rows[nutrient] = [low, high, sources.index(held), "holds_source" in fields]
        for nutrient, (low, high, *_) in rows.items():
            if nutrient not in self.units:
                raise ValueError(f"no nutrient is called {nutrient!r}")
            if not 0 <= low <= high:
                raise ValueError(f"{nutrient} from {low} to {high}")
        of_sort = self._classes["classes"][fields["as"]].get("nitrogen")
        close(rows, fields.get("nitrogen", of_sort), self._error)
        return rows


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


def close(rows: dict[str, list[Any]], nitrogen: Sequence[float] | None, error: float) -> None:
    """Cuts each of the six parts to what the least and the most of the others leave it, within the
    error of analyses: a dried meat of 25 % protein at least is never 89 % fat. Crude protein may
    pass the weight of what holds the `nitrogen`, and all six then sum to more than 100.

    Raises ValueError where the parts cannot sum to 100 %.
    """
    if missing := [part for part in PARTS if part not in rows]:
        raise ValueError(f"no range of {missing[0]}")
    low = sum(rows[part][0] for part in PARTS)
    high = sum(rows[part][1] for part in PARTS)
    most = 100 + rows["protein"][1] * (1 - 1 / max(1.0, nitrogen[1] if nitrogen else 1.0))
    if not low <= most or high < 100:
        raise ValueError(f"the six parts sum to between {low:.1f} and {high:.1f} %")
    for row in [rows[part] for part in PARTS]:
        others_low, others_high = low - row[0], high - row[1]
        row[:2] = [
            max(row[0], round(100 - error - others_high, 3)),
            min(row[1], round(most + error - others_low, 3)),
        ]
