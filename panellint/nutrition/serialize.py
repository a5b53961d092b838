"""A statement as plain data: the object of `nutrition --format json`, without its path."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from math import isfinite
from typing import Any

from panellint.catalogue.model import Range
from panellint.nutrition import energy as me
from panellint.nutrition import ranges
from panellint.nutrition.adequacy import Adequacy, Judgement, outside
from panellint.nutrition.assessment import Assessment
from panellint.nutrition.data import figures
from panellint.nutrition.statement import Box, Energy

#: Figures are told to this many places, which is finer than any source of theirs.
_PLACES = 4

#: The ranges that are told: what they are called, and how each is found.
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


def told(value: float | None) -> float | None:
    """A figure as it is told; None for one that is unknown or without limit."""
    return None if value is None or not isfinite(value) else round(value, _PLACES) + 0.0


def parts_told(parts: Mapping[str, float | None]) -> dict[str, float | None]:
    """The parts of one basis as they are told."""
    return {part: told(value) for part, value in parts.items()}


def tell(
    statement: Assessment,
    more: Mapping[str, Iterable[tuple[Range, tuple[str, ...]]]] | None = None,
) -> dict[str, Any]:
    """The statement as plain data.

    `more` are ranges that were found elsewhere (from the shares of ingredients), by the names of
    the ranges told, with the premises that they rest on.
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
            "as_fed": parts_told(statement.analysis.as_dict()),
            "dry_matter": parts_told(statement.dry_matter),
            "per_1000_kcal": parts_told(statement.per_1000_kcal),
        },
        "ranges": found,
        "energy": _energy(statement.energy),
        "carbohydrate": _carbohydrate(statement),
        "calcium_phosphorus": _calcium_phosphorus(statement),
        "profile": _profile(statement.adequacy),
        "prepared": _prepared(statement),
        "not_computed": [
            {"what": refused.what, "because": refused.reason, "names": list(refused.names)}
            for refused in statement.refused
        ],
        "notes": list(statement.notes),
    }


def _ranges(found: Iterable[tuple[Range, tuple[str, ...]]]) -> list[dict[str, Any]]:
    return [
        {"low": told(low), "high": told(high), "rests_on": list(rests_on)}
        for (low, high), rests_on in found
    ]


def _energy(energy: Energy | None) -> dict[str, Any] | None:
    if energy is None:
        return None
    label = energy.label
    return {
        "kcal_per_kg": told(energy.kcal_per_kg),
        "method": me.method(energy.method).title,
        "source": me.method(energy.method).source,
        "shares": parts_told(energy.shares._asdict()),
        "by_method": [
            {
                "method": me.method(name).title,
                "kcal_per_kg": told(value),
                "source": me.method(name).source,
            }
            for name, value in energy.by_method.items()
        ],
        "from_minima": None
        if energy.uplift is None
        else {
            "kcal_per_kg": told(energy.kcal_per_kg * energy.uplift),
            "factor": energy.uplift,
            "practice": True,
        },
        "steps": None if energy.steps is None else parts_told(energy.steps._asdict()),
        "label": None
        if label is None
        else {
            "kcal_per_kg": told(label.kcal_per_kg),
            "method": label.method,
            "difference": told(label.difference),
            "difference_percent": told(label.percent),
            "possible": label.possible,
        },
    }


def _carbohydrate(statement: Assessment) -> dict[str, Any]:
    """The food's carbohydrate beside the practice's target, research and the NRC."""
    data = figures("data/carbohydrate")
    species = statement.facts.species
    share = statement.energy.shares.carbohydrate if statement.energy else None
    dry = statement.dry_matter["carbohydrate"]
    target = data["targets"]["species"].get(species)
    return {
        "energy_share": told(share),
        "dry_matter": told(dry),
        "target": None
        if target is None
        else {
            **target,
            "practice": True,
            "says": data["targets"]["says"].strip(),
            "of_energy": _place(share, target),
            "of_dry_matter": _place(dry, target),
        },
        "research": [
            {key: row[key] for key in row if key != "species"}
            for row in data["research"]
            if row["species"] == species
        ],
        "research_says": data["research_says"],
        "requirement": data["nrc"]["says"],
        "requirement_source": data["nrc"]["source"]["document"],
    }


def _place(value: float | None, target: Mapping[str, float]) -> str | None:
    if value is None:
        return None
    if value < target["low"]:
        return "below"
    return "above" if value > target["high"] else "within"


def _calcium_phosphorus(statement: Assessment) -> dict[str, Any] | None:
    found = statement.calcium_phosphorus
    return None if found is None else parts_told(found._asdict())


def _profile(adequacy: Adequacy | None) -> dict[str, Any] | None:
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
        "kcal_per_kg_dry_matter": told(adequacy.density),
        "presumed": prof.presumed,
        "corrected_by": told(adequacy.factor),
        "judged": [_judgement(judgement) for judgement in adequacy.judgements],
        "not_judged": list(adequacy.unjudged),
        "notes": list(adequacy.notes),
    }


def _judgement(judgement: Judgement) -> dict[str, Any]:
    return {
        "nutrient": judgement.nutrient,
        "side": judgement.side,
        "verdict": judgement.verdict,
        "proven": judgement.proven,
        "value": told(judgement.value),
        "limit": told(judgement.limit),
        "outside_percent": told(100 * outside(judgement)),
        "unit": judgement.unit,
        "basis": judgement.basis,
        "bound": judgement.bound,
        "legal": judgement.legal,
        "source": judgement.source,
        "confirmed": judgement.confirmed,
        "notes": list(judgement.notes),
    }


def _prepared(statement: Assessment) -> dict[str, Any] | None:
    """The food in the bowl: more water, the same dry matter and the same energy in all."""
    water, bowl = statement.facts.water, statement.prepared
    if water is None or bowl is None:
        return None
    kcal = statement.kcal_per_kg
    return {
        "water_per_weight": told(water),
        "as_fed": parts_told(bowl.as_dict()),
        "kcal_per_kg": told(None if kcal is None else kcal / (1 + water)),
        "energy_method": None
        if statement.energy is None
        else me.method(statement.energy.method).title,
    }
