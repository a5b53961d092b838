"""What the guarantees come to, on every basis, with ranges, energy and profile."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from panellint.core.numbers import number
from panellint.core.phrases import listed
from panellint.report.model import Band, Figures, Limit, Part
from panellint.report.saying import figure, premises

if TYPE_CHECKING:
    from panellint.results.nutrition import (
        Assessed,
        EnergyData,
        PrintedLimit,
        ProfileData,
        Study,
    )

_PARTS = ("protein", "fat", "carbohydrate", "fibre", "ash", "moisture")
_SAYS = {"min": "at least", "max": "at most", "declared": ""}
_VERDICTS = {"meets": "meets it", "misses": "misses it", "open": "not settled by the label"}


def figures(told: Assessed, names: dict[str, str]) -> Figures:
    """The figures of `panellint.nutrition.serialize.tell`; `names` are nutrients' names by id."""
    energy = told["energy"]
    return Figures(
        tuple(_parts(told)),
        tuple(
            Band(band["low"], band["high"], premises(band["rests_on"]))
            for band in told["ranges"]["carbohydrate"]
            if band["low"] is not None and band["high"] is not None
        ),
        tuple(_energy(energy)),
        energy["kcal_per_kg"] if energy else None,
        tuple(_carbohydrate(told)),
        _profile(told["profile"]),
        tuple(_limits(told["profile"], names)),
        told["profile"] is not None and told["profile"]["corrected_by"] != 1,
        tuple(_profile_notes(told["profile"], names)),
        tuple(_notes(told)),
    )


def _parts(told: Assessed) -> Iterator[Part]:
    shares = told["energy"]["shares"] if told["energy"] else {}
    assumed = {"ash": told["ash_assumed"], "moisture": told["moisture_assumed"]}
    bases = told["bases"]
    for part in _PARTS:
        as_fed, dry, energy = (
            basis.get(part)
            for basis in (bases["as_fed"], bases["dry_matter"], bases["per_1000_kcal"])
        )
        wet = part == "moisture"
        yield Part(
            part,
            _printed(told["printed"].get(part)),
            as_fed,
            None if wet else dry,
            energy,
            shares.get(part),
            assumed.get(part, False),
        )


def _printed(line: PrintedLimit | None) -> str:
    if line is None:
        return "not printed"
    low, high = line["low"], line["high"]
    if low is not None and high is not None:
        return f"{number(low)} %" if low == high else f"{number(low)} to {number(high)} %"
    value = low if low is not None else high
    return "not printed" if value is None else f"{_SAYS.get(line['bound'], '')} {number(value)} %"


def _energy(energy: EnergyData | None) -> Iterator[str]:
    if energy is None:
        yield "The label does not give what its energy could be worked out from."
        return
    yield (
        f"Worked out from the guarantees: {figure(energy['kcal_per_kg'], 0)} kcal/kg as fed "
        f"({energy['method']})."
    )
    for other in energy["by_method"]:
        if other["method"] != energy["method"]:
            yield f"By the {other['method']}: {figure(other['kcal_per_kg'], 0)} kcal/kg."
    label = energy["label"]
    if label:
        yield (
            f"The label says {figure(label['kcal_per_kg'], 0)} kcal/kg, "
            f"{_differing(label['difference_percent'])}."
        )
        if label["possible"] is False:
            yield "No food that fits the guarantees has the label's energy by modified Atwater."


def _differing(percent: float) -> str:
    if abs(percent) < 0.5:
        return "which agrees"
    return f"{figure(abs(percent))} % {'more' if percent > 0 else 'less'} than worked out"


def _carbohydrate(told: Assessed) -> Iterator[str]:
    """Carbohydrate in words: nobody prints it, what it is beside the target and the research."""
    found = told["carbohydrate"]
    fed = told["bases"]["as_fed"]["carbohydrate"]
    if fed is None:
        yield "The label gives too little to work out the carbohydrate."
        return
    assumed = {"ash": told["ash_assumed"], "moisture": told["moisture_assumed"]}
    taken = [part for part, usual in assumed.items() if usual]
    usual = f", with a usual {listed(taken)} for such a food" if taken else ""
    yield (
        f"Carbohydrate is not printed. It is what the other parts leave of 100: about "
        f"{figure(fed)} % as fed{usual}. Guarantees are limits and no analyses, so the truth "
        "lies in a range."
    )
    target = found["target"]
    if target and found["energy_share"] is not None:
        yield (
            f"It gives about {figure(found['energy_share'])} % of the energy, "
            f"{target['of_energy']} the {number(target['low'])} to {number(target['high'])} % that "
            f"some in the trade ask for. {target['says']}"
        )
    if found["research"]:
        studies = "; ".join(_study(study) for study in found["research"])
        yield (
            f"Carbohydrate in studies, percent of the energy: {studies}. {found['research_says']}"
        )
    yield f"{found['requirement'].rstrip('.')} ({found['requirement_source']})."


def _study(study: Study) -> str:
    unseen = "" if study["confirmed"] else ", not confirmed"
    return f"{study['carbohydrate']}, {study['what']} ({study['source']}{unseen})"


# The profile ---------------------------------------------------------------------------------


def _profile(profile: ProfileData | None) -> str:
    if profile is None:
        return ""
    basis = {"energy": "per 1000 kcal"}.get(profile["basis"], f"on {profile['basis']}")
    return f"{profile['title']}: {profile['species']}, {profile['stage']}, {basis}"


def _limits(profile: ProfileData | None, names: dict[str, str]) -> Iterator[Limit]:
    for one in profile["judged"] if profile else ():
        verdict = _VERDICTS[one["verdict"]]
        if one["verdict"] == "meets" and not one["proven"]:
            verdict = "meets it by the printed figure"
        yield Limit(
            names.get(one["nutrient"], one["nutrient"].replace("-", " ")),
            "–" if one["value"] is None else f"{number(one['value'])} {one['unit']}",
            f"{one['side']} {number(one['limit'])} {one['unit']}",
            verdict,
        )


def _profile_notes(profile: ProfileData | None, names: dict[str, str]) -> Iterator[str]:
    if profile is None:
        return
    if profile["corrected_by"] != 1:
        yield (
            f"The food is richer in energy ({figure(profile['kcal_per_kg_dry_matter'], 0)} kcal "
            f"per kg of dry matter) than the profile presumes ({figure(profile['presumed'], 0)}), "
            f"so its figures count times {number(profile['corrected_by'])}: less of it is eaten."
        )
    if profile["not_judged"]:
        words = [names.get(one, one.replace("-", " ")) for one in profile["not_judged"]]
        yield (
            f"The label prints nothing that could be held against the profile's limits for "
            f"{listed(words)}. That is usual, and says neither that they are met nor missed."
        )
    yield from profile["notes"]


def _notes(told: Assessed) -> Iterator[str]:
    prepared = told["prepared"]
    if prepared:
        fed = prepared["as_fed"]
        yield (
            f"Prepared as the label says, with {number(prepared['water_per_weight'])} parts of "
            f"water to one of food: {figure(fed['moisture'])} % water, {figure(fed['protein'])} % "
            f"protein, {figure(fed['fat'])} % fat, {figure(prepared['kcal_per_kg'], 0)} kcal/kg."
        )
    ratio = told["calcium_phosphorus"]
    if ratio:
        low, high = ratio.get("low"), ratio.get("high")
        ends = f"{figure(low, 2)} to {figure(high, 2)}" if low != high else figure(low, 2)
        yield f"Calcium to phosphorus: {ends} to 1."
    for one in told["not_computed"]:
        yield f"Not worked out: {one['what']}, because {one['because']}."
    yield from told["notes"]
