"""Compiled rows of the catalogue as what others read: the entry, its figures, and the means of the
composition tables.

The catalogue's ranges bound; an estimate wants the mean. It is the plain average over the table
rows that the catalogue ties to an ingredient, and stands for no particular delivery. The means
are generated with the ranges, by `rules/tables/generate.py`.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from typing import Any

from panellint.catalogue import files
from panellint.catalogue.model import (
    Binding,
    CatalogueEntry,
    Figure,
    Glycaemic,
    Hazard,
    Range,
)
from panellint.core.cache import Entries, cached


class Figures(Mapping[str, Figure]):
    """The figures of one ingredient, fetched from the compiled figures when first asked."""

    __slots__ = ("_fetch", "_figures")

    def __init__(self, fetch: Callable[[], dict[str, Figure]]) -> None:
        self._fetch = fetch
        self._figures: dict[str, Figure] | None = None

    def _all(self) -> dict[str, Figure]:
        if self._figures is None:
            self._figures = self._fetch()
        return self._figures

    def __getitem__(self, nutrient: str) -> Figure:
        return self._all()[nutrient]

    def __iter__(self) -> Iterator[str]:
        return iter(self._all())

    def __len__(self) -> int:
        return len(self._all())

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Mapping) and self._all() == dict(other)

    __hash__ = None  # type: ignore[assignment]

    def __repr__(self) -> str:
        return f"Figures({self._all()!r})"


def decoded(rows: dict[str, list[Any]], data: Mapping[str, Any]) -> dict[str, Figure]:
    """Compiled rows as `Figure`s."""
    sources, units = data["sources"], data["units"]
    return {
        nutrient: Figure(Range(float(low), float(high)), units[nutrient], sources[at], confirmed)
        for nutrient, (low, high, at, confirmed) in rows.items()
    }


def entry(
    id: str,
    row: Sequence[Any],
    families: Sequence[str],
    lineage: Sequence[str],
    figures: Mapping[str, Figure],
) -> CatalogueEntry:
    """Returns an entry of a row as `panellint.catalogue.compile.names` makes it; `families` are
    those that it is summed in, `lineage` its animal or plant and all above it."""
    names, kind, origin, species, state, supplies, carries, notes, _, *rest = row
    kind_of, nitrogen, joined = rest
    usual = joined.get("usual")
    return CatalogueEntry(
        id=id,
        names=tuple(names),
        kind=kind,
        origin=origin,
        species=species,
        family=families[0] if families else "",
        member=names[0] if families else "",
        state=state,
        figures=figures,
        supplies=tuple(supplies),
        carries=tuple(dict.fromkeys([*carries, *joined.get("carries", [])])),
        glycaemic=tuple(Glycaemic(**fields) for fields in joined.get("glycaemic", [])),
        binding=tuple(
            Binding(**{**fields, "forms": tuple(fields["forms"]), "usual": _range(fields["usual"])})
            for fields in joined.get("binders", [])
        ),
        hazards=tuple(
            Hazard(**{**fields, "also": tuple(fields.get("also", ()))})
            for fields in joined.get("hazards", [])
        ),
        usual=_range(usual["range"]) if usual else None,
        notes=(*notes, *(f"{r['text']} ({r['source']})" for r in joined.get("notes", []))),
        classes=tuple(dict.fromkeys(filter(None, (id, *families, *lineage)))),
        kind_of=kind_of,
        nitrogen=_range(nitrogen) if nitrogen else None,
    )


def _range(ends: Sequence[float]) -> Range:
    low, high = ends
    return Range(float(low), float(high))


def means_of(id: str) -> Mapping[str, float]:
    """Means by nutrient id, each in the nutrient's own unit as added; {} where no table has any."""
    means: Mapping[str, float] = _all().get(id, {})
    return means


@cache
def _all() -> Entries:
    file = files.means_file()
    return cached("catalogue-means", [file], lambda: files.read(file)["means"])
