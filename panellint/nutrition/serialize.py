"""An assessment as plain data: the object of `nutrition --format json`, without its path."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from math import isfinite
from typing import TYPE_CHECKING, overload

from panellint.catalogue.model import Range
from panellint.nutrition import energy as me
from panellint.nutrition import ranges
from panellint.nutrition.adequacy import Adequacy, ProfileJudgement, outside
from panellint.nutrition.assessment import Assessment
from panellint.nutrition.statement import Box, Energy
from panellint.rulepacks.data import data

if TYPE_CHECKING:
    from panellint.results.likely import LikelyPart, LikelyRange
    from panellint.results.nutrition import (
        Assessed,
        CarbohydrateData,
        EnergyData,
        JudgementData,
        PreparedFood,
        ProfileData,
        RangeData,
    )

#: Figures are rounded to this many places, which is finer than any source of theirs.
_PLACES = 4

#: The ranges by their names in the data, and how each is computed.
_RANGES: dict[str, Callable[[Box], Range]] = {
    "carbohydrate": lambda box: ranges.part_range(box, "carbohydrate"),
    "ash": lambda box: ranges.part_range(box, "ash"),
    "carbohydrate_dry_matter": lambda box: ranges.dry_matter_range(box, "carbohydrate"),
    "carbohydrate_per_1000_kcal": lambda box: ranges.per_1000_kcal_range(box, "carbohydrate"),
    "carbohydrate_energy_share": lambda box: ranges.energy_share_range(box, "carbohydrate"),
    "protein_dry_matter": lambda box: ranges.dry_matter_range(box, "protein"),
    "protein_per_1000_kcal": lambda box: ranges.per_1000_kcal_range(box, "protein"),
    "fat_dry_matter": lambda box: ranges.dry_matter_range(box, "fat"),
    "fat_per_1000_kcal": lambda box: ranges.per_1000_kcal_range(box, "fat"),
    "energy": ranges.energy_range,
}


@overload
def rounded(value: float) -> float: ...
@overload
def rounded(value: float | None) -> float | None: ...
def rounded(value: float | None) -> float | None:
    """Returns a figure to four places; None for one that is unknown or without limit."""
    return None if value is None or not isfinite(value) else round(value, _PLACES) + 0.0


def rounded_parts(parts: Mapping[str, float | None]) -> dict[str, float | None]:
    """Returns the parts of one basis, each to four places."""
    return {part: rounded(value) for part, value in parts.items()}


def to_dict(
    statement: Assessment,
    more: Mapping[str, Iterable[tuple[Range, tuple[str, ...]]]] | None = None,
    likely: LikelyPart | None = None,
) -> Assessed:
    """Returns the assessment as plain data.

    `more` are ranges computed elsewhere (from the shares of ingredients), by their names in the
    data, with the premises that they rest on; `likely` is the carbohydrate of nine of ten foods
    with such a label, by which it is held against a target.
    """
    found = {name: _ranges(statement.range_of(quantity)) for name, quantity in _RANGES.items()}
    for name, others in (more or {}).items():
        found[name] += _ranges(others)
    return {
        "ash_assumed": "ash" in statement.assumed,
        "moisture_assumed": "moisture" in statement.assumed,
        "form": {
            "id": statement.facts.form.id,
            "how": statement.facts.form.how,
            "moisture_class": statement.facts.form.moisture_class,
        },
        "species": statement.facts.species,
        "stages": list(statement.facts.stages),
        "market": statement.facts.market,
        "printed": {
            nutrient: {"bound": one.bound, "low": one.low, "high": one.high, "unit": one.unit}
            for nutrient, one in statement.facts.printed.items()
        },
        "bases": {
            "as_fed": rounded_parts(statement.analysis.as_dict()),
            "dry_matter": rounded_parts(statement.dry_matter),
            "per_1000_kcal": rounded_parts(statement.per_1000_kcal),
        },
        "ranges": found,
        "energy": _energy(statement.energy),
        "carbohydrate": _carbohydrate(statement, likely),
        "calcium_phosphorus": _calcium_phosphorus(statement),
        "profile": _profile(statement.adequacy),
        "prepared": _prepared(statement),
        "not_computed": [
            {"what": refused.what, "because": refused.reason, "names": list(refused.names)}
            for refused in statement.refused
        ],
        "notes": list(statement.notes),
    }


def _ranges(found: Iterable[tuple[Range, tuple[str, ...]]]) -> list[RangeData]:
    return [
        {"low": rounded(low), "high": rounded(high), "rests_on": list(rests_on)}
        for (low, high), rests_on in found
    ]


def _energy(energy: Energy | None) -> EnergyData | None:
    if energy is None:
        return None
    label = energy.label
    return {
        "kcal_per_kg": rounded(energy.kcal_per_kg),
        "method": me.method(energy.method).title,
        "source": me.method(energy.method).source,
        "shares": rounded_parts(energy.shares._asdict()),
        "by_method": [
            {
                "method": me.method(name).title,
                "kcal_per_kg": rounded(value),
                "source": me.method(name).source,
            }
            for name, value in energy.by_method.items()
        ],
        "from_minima": None
        if energy.uplift is None
        else {
            "kcal_per_kg": rounded(energy.kcal_per_kg * energy.uplift),
            "factor": energy.uplift,
            "practice": True,
        },
        "steps": None if energy.steps is None else rounded_parts(energy.steps._asdict()),
        "label": None
        if label is None
        else {
            "kcal_per_kg": rounded(label.kcal_per_kg),
            "method": label.method,
            "difference": rounded(label.difference),
            "difference_percent": rounded(label.percent),
            "possible": label.possible,
        },
    }


def _carbohydrate(statement: Assessment, likely: LikelyPart | None) -> CarbohydrateData:
    """The food's carbohydrate beside the practice's target, research and the NRC.

    It is below, within or above a target only where all of the likely range is; without one, all
    of what the guarantees and practice leave.
    """
    energy, dry_matter = (likely["energy_share"], likely["dry_matter"]) if likely else (None, None)
    practice = data("data/carbohydrate")
    species = statement.facts.species
    share = statement.energy.shares.carbohydrate if statement.energy else None
    dry = statement.dry_matter["carbohydrate"]
    target = practice["targets"]["species"].get(species)
    return {
        "energy_share": rounded(share),
        "dry_matter": rounded(dry),
        "target": None
        if target is None
        else {
            "low": target["low"],
            "high": target["high"],
            "practice": True,
            "says": practice["targets"]["says"].strip(),
            "of_energy": _place(statement, "carbohydrate_energy_share", energy, target),
            "of_dry_matter": _place(statement, "carbohydrate_dry_matter", dry_matter, target),
        },
        "research": [
            {
                "what": row["what"],
                "protein": row["protein"],
                "fat": row["fat"],
                "carbohydrate": row["carbohydrate"],
                "source": row["source"],
                "confirmed": row["confirmed"],
            }
            for row in practice["research"]
            if row["species"] == species
        ],
        "research_says": practice["research_says"],
        "requirement": practice["nrc"]["says"],
        "requirement_source": practice["nrc"]["source"]["document"],
    }


def _place(
    statement: Assessment, name: str, likely: LikelyRange | None, target: Mapping[str, float]
) -> str | None:
    """Below, within or above; None where the range lies on more than one side."""
    ends = [(likely["low"], likely["high"])] if likely else []
    ends += [(low, high) for (low, high), _ in statement.range_of(_RANGES[name])[-1:]]
    if not ends:
        return None
    low, high = ends[0]
    if high < target["low"]:
        return "below"
    if low > target["high"]:
        return "above"
    return "within" if target["low"] <= low and high <= target["high"] else None


def _calcium_phosphorus(statement: Assessment) -> dict[str, float | None] | None:
    found = statement.calcium_phosphorus
    return None if found is None else rounded_parts(found._asdict())


def _profile(adequacy: Adequacy | None) -> ProfileData | None:
    if adequacy is None:
        return None
    prof = adequacy.profile
    return {
        "authority": prof.authority,
        "edition": prof.edition,
        "title": prof.title,
        "species": prof.species,
        "stage": prof.stage,
        "columns": list(prof.columns),
        "basis": prof.basis,
        "kcal_per_kg_dry_matter": rounded(adequacy.density),
        "presumed": prof.presumed,
        "corrected_by": rounded(adequacy.factor),
        "judged": [_judgement(judgement) for judgement in adequacy.judgements],
        "not_judged": list(adequacy.unjudged),
        "notes": list(adequacy.notes),
    }


def _judgement(judgement: ProfileJudgement) -> JudgementData:
    return {
        "nutrient": judgement.nutrient,
        "side": judgement.side,
        "verdict": judgement.verdict,
        "proven": judgement.proven,
        "value": rounded(judgement.value),
        "limit": rounded(judgement.limit),
        "outside_percent": rounded(100 * outside(judgement)),
        "unit": judgement.unit,
        "basis": judgement.basis,
        "bound": judgement.bound,
        "legal": judgement.legal,
        "source": judgement.source,
        "confirmed": judgement.confirmed,
        "notes": list(judgement.notes),
    }


def _prepared(statement: Assessment) -> PreparedFood | None:
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
