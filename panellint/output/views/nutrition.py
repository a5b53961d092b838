"""A food's figures on every basis, for people: what `nutrition --format json` prints, as tables."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, TextIO

from panellint.core.numbers import number
from panellint.nutrition.profiles import RATIOS
from panellint.output.console import Page, figure
from panellint.output.render_options import CAUTION, RenderOptions
from panellint.rulepacks.data import data as pack_data

Data = Mapping[str, Any]

PARTS = ("protein", "fat", "fibre", "moisture", "ash", "carbohydrate")
_NAMES = {"fibre": "crude fibre", "protein": "crude protein", "fat": "crude fat"}
_BAR = 30

#: The ranges that are shown: name in the data, what it is a range of, and its unit.
_RANGES = (
    ("carbohydrate", "carbohydrate as fed", "%"),
    ("carbohydrate_dry_matter", "of the dry matter", "%"),
    ("carbohydrate_per_1000_kcal", "per 1000 kcal", "g"),
    ("carbohydrate_energy_share", "of the energy", "%"),
    ("ash", "ash as fed", "%"),
    ("protein_dry_matter", "protein of the dry matter", "%"),
    ("fat_dry_matter", "fat of the dry matter", "%"),
    ("energy", "energy as fed", "kcal/kg"),
)


def write(data: Data, stream: TextIO, look: RenderOptions) -> None:
    """The page of one food."""
    page = Page(stream, look)
    page.title(data["path"])
    page.line(", ".join(_read_as(data)), 0)
    page.section("On every basis")
    _bases(page, data)
    _ranges(page, data["ranges"], data["printed"])
    if data["energy"] is not None:
        _energy(page, data["energy"])
    _beside_targets(page, data["carbohydrate"])
    if data["calcium_phosphorus"] is not None:
        _minerals(page, data["calcium_phosphorus"])
    if data["profile"] is not None:
        _profile(page, data["profile"])
    if data["not_computed"]:
        page.section("Not worked out")
        for one in data["not_computed"]:
            page.line(f"{one['what']}: {one['because']}")
    if data["notes"]:
        page.section("Notes")
        for note in data["notes"]:
            page.line(note)
    page.section("Sources")
    for number_, source in enumerate(_sources(data), start=1):
        page.line(f"{number_}. {source}")
    page.section("Caution")
    page.line(CAUTION)


def _read_as(data: Data) -> Iterator[str]:
    if data["name"]:
        yield data["name"]
    yield data["species"] or "species not stated"
    yield from data["stages"]
    form = data["form"]
    how = {"stated": "stated", "words": "inferred from words", "moisture": "inferred from moisture"}
    kind = form["id"] if form["id"] != "unknown" else form["moisture_class"] or "form unknown"
    yield f"{kind} ({how.get(form['how'], 'nothing says so')})"
    yield f"market {data['market']}"


def called(nutrient: str) -> str:
    """What a nutrient or a ratio of the profile is called in a sentence."""
    if nutrient in RATIOS:
        return " to ".join(part.strip("-") for part in re.split("(?<=calcium)-|(?<=6)-", nutrient))
    rows = pack_data("nutrients/nutrients")["nutrients"]
    return str(next((r["names"]["en"][0] for r in rows if r["id"] == nutrient), nutrient))


# ---- the bases -----------------------------------------------------------------------------------


def _bases(page: Page, data: Data) -> None:
    bases, bowl = data["bases"], data["prepared"]
    headings = ["", "printed", "as fed", "dry matter", "per 1000 kcal"]
    units = ["", "%", "%", "%", "g"]
    if bowl:
        headings.append("in the bowl")
        units.append("%")
    rows = [units]
    for part in PARTS:
        row = [_called(part, data), _printed(data["printed"].get(part))]
        row += [figure(bases[basis][part]) for basis in ("as_fed", "dry_matter", "per_1000_kcal")]
        if bowl:
            row.append(figure(bowl["as_fed"][part]))
        rows.append(row)
    kcal = data["energy"]["kcal_per_kg"] if data["energy"] else None
    moisture = bases["as_fed"]["moisture"]
    dry = None if kcal is None or moisture is None else kcal / (100 - moisture) * 100
    energy = ["energy, kcal/kg", "", figure(kcal, 0), figure(dry, 0), ""]
    if data["energy"] and data["energy"]["label"]:
        energy[1] = figure(data["energy"]["label"]["kcal_per_kg"], 0)
    if bowl:
        energy.append(figure(bowl["kcal_per_kg"], 0))
    page.table(headings, [*rows, energy], right=range(1, len(headings)))
    assumed = [part for part in ("ash", "moisture") if data[f"{part}_assumed"]]
    if assumed:
        page.line(f"* usual for such a food; the label does not declare {' and '.join(assumed)}.")
    page.line("Carbohydrate by difference: 100 less the five others.")
    if bowl:
        weights = number(bowl["water_per_weight"])
        page.line(f"In the bowl: one weight of food with {weights} of water.")


def _called(part: str, data: Data) -> str:
    return _NAMES.get(part, part) + ("*" if data.get(f"{part}_assumed") else "")


def _printed(bounds: Mapping[str, Any] | None) -> str:
    if bounds is None:
        return "-"
    low, high = bounds["low"], bounds["high"]
    if bounds["bound"] == "min and max":
        return f"{number(low)} to {number(high)}"
    value = number(high if low is None else low)
    return value if bounds["bound"] == "declared" else f"{bounds['bound']} {value}"


def _ranges(page: Page, ranges: Mapping[str, Sequence[Data]], printed: Mapping[str, Data]) -> None:
    if not any(ranges.values()):
        return
    page.section("How wide the truth can be")
    rows = []
    for name, words, unit in _RANGES:
        for row, one in enumerate(ranges[name]):
            places = 0 if unit == "kcal/kg" else 1
            rows.append(
                [
                    "" if row else words,
                    figure(one["low"], places),
                    "no limit" if one["high"] is None else figure(one["high"], places),
                    unit,
                    ", ".join(one["rests_on"]),
                ]
            )
    page.table(["", "least", "most", "", "rests on"], rows, right=(1, 2))
    declared = any(one["bound"] == "declared" for one in printed.values())
    page.line(
        "A declared value has the tolerance of its market; practice expects it closer."
        if declared
        else "Guarantees are bounds: a food may hold more than a minimum and less than a maximum. "
        "Practice takes them as printed near the truth, with the ash usual for the form."
    )


# ---- energy --------------------------------------------------------------------------------------


def _energy(page: Page, energy: Data) -> None:
    page.section("Energy")
    label = energy["label"]
    rows = []
    for one in energy["by_method"]:
        mark = " (taken here)" if one["method"] == energy["method"] else ""
        rows.append([one["method"] + mark, figure(one["kcal_per_kg"], 0), _against(one, label)])
    if energy["from_minima"] and energy["from_minima"]["factor"] != 1:
        one = energy["from_minima"]
        words = f"as practice expects it from minima, times {number(one['factor'])}"
        rows.append([words, figure(one["kcal_per_kg"], 0), _against(one, label)])
    if label is not None:
        how = f" ({label['method']})" if label["method"] else ""
        rows.append([f"the label's own{how}", figure(label["kcal_per_kg"], 0), ""])
    page.table(["", "kcal/kg", "the label against it"], rows, right=(1,))
    if label is not None and label["possible"] is False:
        page.line("No food within the guarantees has the label's energy by modified Atwater.")
    rows = [
        [part, figure(energy["shares"][part]), page.stretch(0, share, 100, _BAR)]
        for part in ("protein", "fat", "carbohydrate")
        if (share := energy["shares"][part]) is not None
    ]
    page.line("")
    page.table(["part of the energy", "%", ""], rows, right=(1,))


def _against(one: Data, label: Data | None) -> str:
    if label is None:
        return ""
    gap = label["kcal_per_kg"] - one["kcal_per_kg"]
    return f"{gap:+.0f} kcal, {100 * gap / one['kcal_per_kg']:+.1f} %"


def _beside_targets(page: Page, carbohydrate: Data) -> None:
    target = carbohydrate["target"]
    if target is None and not carbohydrate["research"]:
        return
    page.section("Carbohydrate beside practice and research")
    if target is not None:
        page.line(
            f"Practice: {number(target['low'])} to {number(target['high'])} %. This food: "
            f"{figure(carbohydrate['energy_share'])} % of the energy ({target['of_energy']}), "
            f"{figure(carbohydrate['dry_matter'])} % of the dry matter ({target['of_dry_matter']})."
        )
        page.line(target["says"])
    rows = [
        [
            one["what"],
            *(figure(one[part], 0) for part in ("protein", "fat", "carbohydrate")),
            one["source"] + ("" if one["confirmed"] else " (not confirmed)"),
        ]
        for one in carbohydrate["research"]
    ]
    if rows:
        heads = ["% of the energy", "protein", "fat", "carb.", "source"]
        page.line("")
        page.table(heads, rows, right=(1, 2, 3))
        page.line(carbohydrate["research_says"])
    page.line(f"{carbohydrate['requirement']} ({carbohydrate['requirement_source']})")


# ---- against the profile -------------------------------------------------------------------------


def _minerals(page: Page, ratio: Data) -> None:
    page.section("Calcium to phosphorus")
    ends = [ratio["low"], ratio["high"]]
    words = f"{figure(ratio['value'], 2)} : 1 by the printed figures"
    if ends == [None, None]:
        words += "; their bounds leave the ratio open"
    elif ends[0] != ends[1]:
        low, high = (figure(end, 2) if end is not None else "no limit" for end in ends)
        words += f"; their bounds leave {low} to {high}"
    page.line(f"{words}.")


def _profile(page: Page, profile: Data) -> None:
    page.section(f"Against the {profile['title']}")
    page.line(f"For the {profile['species']}, {profile['stage']}; on {profile['basis']}.")
    if profile["corrected_by"] != 1:
        page.line(
            f"The food holds {figure(profile['kcal_per_kg_dry_matter'], 0)} kcal/kg of dry matter, "
            f"more than the {figure(profile['presumed'], 0)} that the profile presumes: its "
            f"figures are multiplied by {number(profile['corrected_by'])}."
        )
    rows = []
    for one in profile["judged"]:
        limit = f"{one['side']} {number(one['limit'])}" + ("" if one["confirmed"] else "*")
        rows.append(
            [
                called(one["nutrient"]),
                f"{one['bound']} {_short(one['value'])}".strip(),
                limit,
                one["unit"],
                _verdict(one),
            ]
        )
    if rows:
        heads = ["nutrient", "the label", "the profile", "unit", "so it"]
        page.table(heads, rows, right=(1, 2))
    if any(not one["confirmed"] for one in profile["judged"]):
        page.line("* the figure of the profile is from memory or computed, not read first-hand.")
    for one in profile["judged"]:
        for note in one["notes"]:
            page.line(f"{called(one['nutrient'])}: {note}.")
    if profile["not_judged"]:
        names = ", ".join(map(called, profile["not_judged"]))
        page.line(f"The label does not let one judge: {names}.")
    for note in profile["notes"]:
        page.line(note)


def _short(value: float | None) -> str:
    return "-" if value is None else number(value)


def _verdict(one: Data) -> str:
    if one["verdict"] == "open":
        return "is open: the figure does not bear on it"
    if one["verdict"] == "meets":
        return "meets it" if one["proven"] else "meets it by the printed figure"
    if one["proven"]:
        return "misses it"
    if one["bound"] == "min" and one["side"] == "minimum":
        return "is not shown to meet it; the food may hold more"
    return "misses it by the printed figure"


def _sources(data: Data) -> list[str]:
    found = []
    if data["energy"]:
        found += [f"{one['method']}: {one['source']}" for one in data["energy"]["by_method"]]
    if data["profile"]:
        found += [one["source"] for one in data["profile"]["judged"]]
    return list(dict.fromkeys(found))
