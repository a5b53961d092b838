"""A compiled row of the catalogue as the entry that others read."""

from collections.abc import Mapping, Sequence
from typing import Any

from panellint.catalogue.model import (
    Binding,
    CatalogueEntry,
    Figure,
    Glycaemic,
    Hazard,
    Range,
)


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
