"""What an ingredient holds on average, where the composition tables give means.

The catalogue's ranges bound; an estimate wants the mean. It is the plain average over the table
rows that the catalogue ties to an ingredient, and stands for no particular delivery.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from panellint.catalogue import files
from panellint.core.cache import Entries, cached


def means_of(id: str) -> Mapping[str, float]:
    """Means by nutrient id, each in the nutrient's own unit as added; {} where no table has any."""
    found: Mapping[str, float] = _all().get(id, {})
    return found


@cache
def _all() -> Entries:
    tables = sorted((files.folder() / "tables").glob("*.csv"))
    inputs = [*files.figure_inputs(), *tables, files.folder() / "kinds.yaml"]
    return cached("catalogue-means", inputs, _built)


def _built() -> dict[str, Any]:
    from panellint.catalogue.build.rows import Row, Tables
    from panellint.catalogue.compile import entries

    folder = files.folder()
    policy = files.read(folder / "widening.yaml")
    tables = Tables(folder / "tables", policy)
    classes = files.read(folder / "classes.yaml")["classes"]
    built: dict[str, dict[str, float]] = {}
    for _, id, fields in entries():
        material = classes[fields["as"]]
        origin = fields.get("origin", material["origin"])
        kind = fields.get("kind", material["kind"])
        rows: list[Row] = [
            tables.usda_row(number, origin, kind, set())
            for number in str(fields.get("usda", "")).split()
        ]
        if not rows:
            rows = [row for name in fields.get("feed", ()) for row in tables.feed_rows(name)]
        sums: dict[str, list[float]] = {}
        for row in rows:
            for nutrient, (low, high) in row.means.items():
                sums.setdefault(nutrient, []).append((low + high) / 2)
        if sums:
            built[id] = {n: round(sum(values) / len(values), 6) for n, values in sums.items()}
    return built
