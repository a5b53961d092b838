"""An assessment as plain data: the object of `nutrition --format json`, without its path."""

from collections.abc import Iterable, Mapping
from math import isfinite
from typing import overload

from panellint.catalogue.model import Range
from panellint.core.records import to_data
from panellint.nutrition import energy as me
from panellint.nutrition.adequacy import Adequacy
from panellint.nutrition.assessment import Assessment
from panellint.nutrition.statement import Energy
from panellint.nutrition.targets import AS_FED, DRY_MATTER, ENERGY_SHARE, PER_1000_KCAL
from panellint.results import nutrition as shapes
from panellint.results.shares import LikelyPart, LikelyRange
from panellint.rulepacks.data import data

#: Figures are rounded to this many places, which is finer than any source of theirs.
PLACES = 4

#: The ranges by their names in the data: of what part, on which basis.
_RANGES = {
    "carbohydrate": ("carbohydrate", AS_FED),
    "ash": ("ash", AS_FED),
    "carbohydrate_dry_matter": ("carbohydrate", DRY_MATTER),
    "carbohydrate_per_1000_kcal": ("carbohydrate", PER_1000_KCAL),
    "carbohydrate_energy_share": ("carbohydrate", ENERGY_SHARE),
    "protein_dry_matter": ("protein", DRY_MATTER),
    "protein_per_1000_kcal": ("protein", PER_1000_KCAL),
    "fat_dry_matter": ("fat", DRY_MATTER),
    "fat_per_1000_kcal": ("fat", PER_1000_KCAL),
}


@overload
def rounded(value: float) -> float: ...
@overload
def rounded(value: float | None) -> float | None: ...
def rounded(value: float | None) -> float | None:
    """Returns a figure to four places; None for one that is unknown or without limit."""
    return None if value is None or not isfinite(value) else round(value, PLACES) + 0.0


def rounded_parts(parts: Mapping[str, float | None]) -> dict[str, float | None]:
    """Returns the parts of one basis, each to four places."""
    return {part: rounded(value) for part, value in parts.items()}


def to_dict(
    statement: Assessment,
    more: Mapping[str, Iterable[tuple[Range, tuple[str, ...]]]] | None = None,
    likely: LikelyPart | None = None,
) -> shapes.Assessed:
    """Returns the assessment as plain data.

    `more` are ranges computed elsewhere (from the shares of ingredients), by their names in the
    data, with the premises that they rest on; `likely` is the carbohydrate of nine of ten foods
    with such a label, by which it is held against a target.
    """
    ranges = {name: _ranges(statement.range_of(*which)) for name, which in _RANGES.items()}
    ranges["energy"] = _ranges(statement.range_of())
    for name, others in (more or {}).items():
        ranges[name] += _ranges(others)
    ratio = statement.calcium_phosphorus
    return to_data(
        shapes.Assessed,
        statement.facts,
        ash_assumed="ash" in statement.assumed,
        moisture_assumed="moisture" in statement.assumed,
        bases={
            "as_fed": rounded_parts(statement.analysis.as_dict()),
            "dry_matter": rounded_parts(statement.dry_matter),
            "per_1000_kcal": rounded_parts(statement.per_1000_kcal),
        },
        ranges=ranges,
        energy=_energy(statement.energy),
        carbohydrate=_carbohydrate(statement, likely),
        calcium_phosphorus=ratio and rounded_parts(ratio._asdict()),
        profile=_profile(statement.adequacy),
        prepared=_prepared(statement),
        not_computed=statement.refused,
        notes=statement.notes,
    )


def _ranges(ranges: Iterable[tuple[Range, tuple[str, ...]]]) -> list[shapes.RangeData]:
    return [
        {"low": rounded(low), "high": rounded(high), "rests_on": list(rests_on)}
        for (low, high), rests_on in ranges
    ]


def _energy(energy: Energy | None) -> shapes.EnergyData | None:
    if energy is None:
        return None
    uplift = energy.uplift
    return to_data(
        shapes.EnergyData,
        energy,
        PLACES,
        **_titled(energy.method),
        shares=energy.shares._asdict(),
        by_method=[
            {**_titled(name), "kcal_per_kg": rounded(kcal)}
            for name, kcal in energy.by_method.items()
        ],
        from_minima=uplift
        and {
            "kcal_per_kg": rounded(energy.kcal_per_kg * uplift),
            "factor": uplift,
            "practice": True,
        },
        steps=energy.steps and energy.steps._asdict(),
    )


def _titled(name: str) -> dict[str, str]:
    method = me.method(name)
    return {"method": method.title, "source": method.source}


def _carbohydrate(statement: Assessment, likely: LikelyPart | None) -> shapes.CarbohydrateData:
    """The food's carbohydrate beside the practice's target, research and the NRC."""
    practice = data("data/carbohydrate")
    species = statement.facts.species
    return to_data(
        shapes.CarbohydrateData,
        practice,
        PLACES,
        energy_share=statement.energy and statement.energy.shares.carbohydrate,
        dry_matter=statement.dry_matter["carbohydrate"],
        target=target_of(statement, likely),
        research=[
            to_data(shapes.Study, row) for row in practice["research"] if row["species"] == species
        ],
        requirement=practice["nrc"]["says"],
        requirement_source=practice["nrc"]["source"]["document"],
    )


def target_of(statement: Assessment, likely: LikelyPart | None) -> shapes.CarbohydrateTarget | None:
    """Returns the trade's target of carbohydrate and where the food stands; None without one.

    It is below, within or above only where all of the `likely` range is; without one, all of what
    the guarantees and practice leave.
    """
    practice = data("data/carbohydrate")["targets"]
    target = practice["species"].get(statement.facts.species)
    if target is None:
        return None
    energy, dry_matter = (likely["energy_share"], likely["dry_matter"]) if likely else (None, None)
    return {
        "low": target["low"],
        "high": target["high"],
        "practice": True,
        "says": practice["says"].strip(),
        "of_energy": _place(statement, "carbohydrate_energy_share", energy, target),
        "of_dry_matter": _place(statement, "carbohydrate_dry_matter", dry_matter, target),
    }


def _place(
    statement: Assessment, name: str, likely: LikelyRange | None, target: Mapping[str, float]
) -> str | None:
    """Below, within or above; None where the range lies on more than one side."""
    ends = [(likely["low"], likely["high"])] if likely else []
    ends += [(low, high) for (low, high), _ in statement.range_of(*_RANGES[name])[-1:]]
    if not ends:
        return None
    low, high = ends[0]
    if high < target["low"]:
        return "below"
    if low > target["high"]:
        return "above"
    return "within" if target["low"] <= low and high <= target["high"] else None


def _profile(adequacy: Adequacy | None) -> shapes.ProfileData | None:
    return adequacy and to_data(
        shapes.ProfileData,
        adequacy.profile,
        PLACES,
        kcal_per_kg_dry_matter=adequacy.density,
        corrected_by=adequacy.factor,
        judged=adequacy.judgements,
        not_judged=adequacy.unjudged,
        notes=adequacy.notes,
    )


def _prepared(statement: Assessment) -> shapes.PreparedFood | None:
    """The food in the bowl: more water, the same dry matter and the same energy in all."""
    water, bowl = statement.facts.water, statement.prepared
    if water is None or bowl is None:
        return None
    kcal = statement.kcal_per_kg
    return {
        "water_per_weight": rounded(water),
        "as_fed": rounded_parts(bowl.as_dict()),
        "kcal_per_kg": rounded(None if kcal is None else kcal / (1 + water)),
        "energy_method": None
        if statement.energy is None
        else me.method(statement.energy.method).title,
    }
