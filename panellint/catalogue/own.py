"""Ingredients of a user's own: files beside the labels, named in `panellint.yaml`.

Each is a kind of something that the catalogue knows and takes from it all that the file does not
give: animal or plant, kind, hazards, ranges. Its id is its name behind "own-".
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from panellint.catalogue import files
from panellint.catalogue.model import CatalogueEntry, Figure, Range
from panellint.catalogue.rows import Figures
from panellint.core.cache import cached, short_digest

if TYPE_CHECKING:
    from panellint.catalogue.store import Catalogue


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


NONE = OwnIngredients()


def read(paths: tuple[Path, ...], catalogue: Catalogue) -> OwnIngredients:
    """Returns the ingredients of these files, checked against the catalogue. Raises InputError
    with every fault of them."""

    def build() -> dict[str, Any]:
        from panellint.catalogue.own_files import compiled

        return compiled(paths, catalogue)

    code = [Path(__file__).with_name("own_files.py")]
    inputs = [*paths, *code, *files.name_inputs(), *files.figure_inputs()]
    entries = cached(f"ingredients-{short_digest(paths)}", inputs, build)
    return OwnIngredients(entries["names"], entries["rows"])
