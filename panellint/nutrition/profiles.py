"""Nutrient profiles: what AAFCO and FEDIAF ask of a complete food.

The tables stand in `rules/nutrients/aafco.yaml` and `fediaf.yaml`, each basis as printed; no
limit is ever converted from one basis to the other.
"""

from collections.abc import Iterable
from functools import cache
from typing import Any, NamedTuple

from panellint.core.errors import NotComputable
from panellint.rulepacks.data import data

#: The bases of profile tables; ratios stand on none.
DRY_MATTER, ENERGY, RATIO = "dry matter", "energy", "ratio"

#: What a message adds to a limit that was not read first-hand; no error rests on such a one.
UNREAD = " (the figure not read first-hand)"

#: Ratios in profiles: what is over what, as nutrient ids.
RATIOS = {
    "calcium-phosphorus": (("calcium",), ("phosphorus",)),
    "omega-6-omega-3": (("linoleic-acid", "arachidonic-acid"), ("alpha-linolenic-acid", "epa-dha")),
}


class NoProfile(NotComputable):
    """There is no such profile: the authority, edition, species or stage is not known."""


class ProfileLimit(NamedTuple):
    """What a profile sets for one nutrient: `low` and `high` in `unit` on `basis`.

    `legal` is True for an EU maximum, which stands on dry matter and is not corrected for
    energy. `columns` are the columns of the table that it was read from. `confirmed` is False
    where the figure is from memory, computed, or from secondary tables; `note` says so in words.
    `food` is "dry" or "wet" where the row is for such foods alone.
    """

    nutrient: str
    low: float | None
    high: float | None
    unit: str
    basis: str
    columns: tuple[str, ...]
    source: str
    confirmed: bool
    legal: bool = False
    food: str | None = None
    note: str = ""


class Profile(NamedTuple):
    """One profile of one species and stage, on one basis.

    `presumed` is the energy density that its dry-matter figures presume and `correct_above` the
    one above which a food is corrected, both in kcal/kg of dry matter.
    """

    authority: str
    edition: str
    title: str
    species: str
    stage: str
    columns: tuple[str, ...]
    basis: str
    presumed: float
    correct_above: float
    limits: tuple[ProfileLimit, ...]

    def of(self, nutrient: str) -> tuple[ProfileLimit, ...]:
        """The limits of one nutrient."""
        return tuple(limit for limit in self.limits if limit.nutrient == nutrient)


def authority_of(market: str) -> tuple[str, str]:
    """The authority and edition that a market's labels are judged by."""
    row = data("markets")["profiles"].get(market)
    if row is None:
        raise NoProfile(f"no nutrient profile for the market {market!r}")
    return row["authority"], row["edition"]


def is_under_fediaf(market: str) -> bool:
    """Whether a market goes by the guidelines of FEDIAF, for profiles and for energy."""
    return market in data("markets")["profiles"] and authority_of(market)[0] == "FEDIAF"


@cache
def _file(authority: str) -> Any:
    if authority not in ("AAFCO", "FEDIAF"):
        raise NoProfile(f"no nutrient profile of {authority!r}")
    return data(f"nutrients/{authority.lower()}")


#: The stage of a food that is for every stage.
ALL_STAGES = "all life stages"


def stage_of(stages: Iterable[str]) -> str | None:
    """The stage that a food for several stages is judged by; None where there is none.

    Stages are those of `rules/words/statements.yaml`. A food for growth and for adults is one
    for all stages.
    """
    listed = list(stages)
    young = [stage for stage in listed if stage.startswith("growth")]
    if ALL_STAGES in listed or (young and len(young) < len(listed)):
        return ALL_STAGES
    if "growth and reproduction" in listed:
        return "growth and reproduction"
    return listed[0] if listed else None


@cache
def profile(
    authority: str,
    species: str,
    stage: str,
    edition: str | None = None,
    *,
    basis: str | None = None,
    food: str | None = None,
    large_size: bool | None = None,
) -> Profile:
    """The profile of a species and stage.

    `stage` is a life stage of `rules/words/statements.yaml`, or for FEDIAF a column of its
    tables; several columns are merged to the strictest of each limit. `basis` is "dry matter" or
    "energy", by default the one that the authority is best read on. `food` is "dry" or "wet" for
    rows that differ (None keeps both kinds); `large_size` is whether the food is for growth of
    large-size dogs too (None: not said, read as not). Raises NoProfile.
    """
    tables = _file(authority)
    editions = {row["id"]: row for row in tables["editions"]}
    edition = edition or tables["editions"][0]["id"]
    if edition not in editions:
        raise NoProfile(f"no edition {edition!r} of {authority}; there are {', '.join(editions)}")
    stages = tables["columns"].get(species)
    if stages is None:
        raise NoProfile(f"{authority} has no profile for the species {species!r}")
    columns = stages.get(stage)
    if columns is None:
        raise NoProfile(f"{authority} has no stage {stage!r}; there are {', '.join(stages)}")
    basis = basis or tables["prefer"]
    rows = [
        row
        for row in tables["rows"]
        if row["edition"] == edition
        and row["species"] == species
        and (row["basis"] in (basis, RATIO) or "legal" in row)
        and food in (None, row.get("food", food))
        and row.get("large_size", bool(large_size)) is bool(large_size)
    ]
    if not any(row["basis"] == basis for row in rows):
        raise NoProfile(f"{authority} {edition} has no table on the basis {basis!r}")
    energy = editions[edition]["energy"][species]
    return Profile(
        authority=authority,
        edition=edition,
        title=editions[edition]["title"],
        species=species,
        stage=stage,
        columns=tuple(columns),
        basis=basis,
        presumed=float(energy["presumed"]),
        correct_above=float(energy["correct_above"]),
        limits=tuple(_limits(rows, columns, tables["sources"], basis)),
    )


def notes(prof: Profile, nutrient: str) -> tuple[str, ...]:
    """What the profile's footnotes add for a nutrient, in words."""
    columns = set(prof.columns)
    return tuple(
        str(note["says"])
        for note in _notes(prof.authority).get(nutrient, ())
        if prof.species in note["species"] and columns & set(note.get("columns", columns))
    )


@cache
def _notes(authority: str) -> dict[str, list[Any]]:
    """The footnotes of an authority's tables by nutrient."""
    by_nutrient: dict[str, list[Any]] = {}
    for note in _file(authority)["notes"]:
        by_nutrient.setdefault(note["nutrient"], []).append(note)
    return by_nutrient


def rise(prof: Profile, nutrient: str) -> tuple[str, float, float] | None:
    """A minimum that rises with another content, or None.

    The other nutrient, the base in percent of dry matter above which it counts, and by how many
    grams for each gram above.
    """
    tables = _file(prof.authority)
    for row in tables.get("rises", ()):
        if row["species"] == prof.species and row["nutrient"] == nutrient:
            bases = [row["above"][c] for c in prof.columns if c in row["above"]]
            if bases:
                return str(row["with"]), float(min(bases)), float(row["by"])
    return None


def _limits(
    rows: Iterable[dict[str, Any]], columns: list[str], sources: dict[str, str], basis: str
) -> Iterable[ProfileLimit]:
    """The limits that rows set for columns: the strictest where there are several."""
    merged: dict[tuple[str, str, bool, str | None], list[ProfileLimit]] = {}
    for row in rows:
        for side, legal in (("min", False), ("max", False), ("legal", True)):
            if not legal and row["basis"] not in (basis, RATIO):
                continue
            values = {c: float(v) for c, v in row.get(side, {}).items() if c in columns}
            if not values:
                continue
            pick = max if side == "min" else min
            strictest = pick(values.values())
            limit = ProfileLimit(
                nutrient=row["nutrient"],
                low=strictest if side == "min" else None,
                high=None if side == "min" else strictest,
                unit=row["unit"],
                basis=row["basis"],
                columns=tuple(c for c in columns if values.get(c) == strictest),
                source=sources[row["source"]],
                confirmed=bool(row["confirmed"]),
                legal=legal,
                food=row.get("food"),
                note=row.get("note", ""),
            )
            key = (row["nutrient"], "min" if side == "min" else "max", legal, row.get("food"))
            merged.setdefault(key, []).append(limit)
    for (_, side, _, _), limits in merged.items():
        if side == "min":
            yield max(limits, key=lambda limit: limit.low or 0.0)
        else:
            yield min(limits, key=lambda limit: limit.high or 0.0)
