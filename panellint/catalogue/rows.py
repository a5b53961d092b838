"""Compiled rows of the catalogue as what others read: the entry, its figures, and the means of the
composition tables.

The catalogue's ranges bound; an estimate wants the mean. It is the plain average over the table
rows that the catalogue ties to an ingredient, and stands for no particular delivery. The means
are generated with the ranges, by `rules/tables/generate.py`.

Ingredients of a user's own stand in files beside the labels, named in `panellint.yaml`. Each is a
kind of something that the catalogue knows and takes from it all that the file does not give: animal
or plant, kind, hazards, ranges. Its id is its name behind "own-".
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from panellint.catalogue import files
from panellint.catalogue.model import Binding, CatalogueEntry, Figure, Glycaemic, Hazard, Range
from panellint.core.cache import Entries, cached, short_digest

if TYPE_CHECKING:
    from panellint.catalogue.store import Catalogue


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


class OwnIngredients(NamedTuple):
    """Compiled files: the ids by language or region ("en-gb") and folded name, and the rows."""

    names: Mapping[str, Mapping[str, str]] = {}
    rows: Mapping[str, Mapping[str, Any]] = {}

    def entry(self, id: str, above: CatalogueEntry) -> CatalogueEntry:
        """Returns an own ingredient: what it is a kind of, with the names and figures given."""
        row = self.rows[id]
        given = {
            nutrient: Figure(Range(float(low), float(high)), unit, row["source"])
            for nutrient, (low, high, unit) in row["figures"].items()
        }
        return above._replace(
            id=id,
            names=tuple(row["names"]),
            member=row["names"][0] if above.member else "",
            figures=Figures(lambda: {**above.figures, **given}),
            notes=(row["note"],),
            classes=(id, *above.classes),
            kind_of=above.kind_of or above.id,
            own_of=above.id,
        )


NO_OWN = OwnIngredients()


def own_ingredients(paths: tuple[Path, ...], catalogue: Catalogue) -> OwnIngredients:
    """Returns the ingredients of these files, checked against the catalogue. Raises InputError
    with every fault of them."""

    def build() -> dict[str, Any]:
        from panellint.catalogue.own_files import compiled

        return compiled(paths, catalogue)

    code = [Path(__file__).with_name("own_files.py")]
    inputs = [*paths, *code, *files.name_inputs(), *files.figure_inputs()]
    entries = cached(f"ingredients-{short_digest(paths)}", inputs, build)
    return OwnIngredients(entries["names"], entries["rows"])
