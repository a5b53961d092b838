"""A food's figures on every basis, for people: what `nutrition --format json` prints, as tables."""

from collections.abc import Iterator, Mapping, Sequence

from panellint.core.numbers import number
from panellint.nutrition.bases import PARTS
from panellint.output.document import (
    Block,
    Heading,
    Paragraph,
    caution,
    figure,
    headed,
    likely_words,
    table,
)
from panellint.output.likely import content_sentences, helpful_sentences, target_sentence
from panellint.results import nutrition as shapes
from panellint.results.likely import HelpfulQuestion, LikelyPart
from panellint.rulepacks.data import data as pack_data

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


def view(data: shapes.Nutrition) -> Iterator[Block]:
    """Yields the figures of one food."""
    yield Heading(1, data["path"])
    yield Paragraph(", ".join(_read_as(data)), indent=0)
    if data["likely"]:
        yield from _likely(data["likely"], data["questions"])
    yield Heading(2, "On every basis, as printed")
    yield from bases(data)
    yield from _ranges(data["ranges"], data["printed"])
    yield from further(data, data["likely"].get("carbohydrate"))
    sources = enumerate(_sources(data), start=1)
    yield from headed("Sources", (f"{at}. {source}" for at, source in sources))
    yield from caution()


def _likely(
    likely: Mapping[str, LikelyPart], questions: Sequence[HelpfulQuestion]
) -> Iterator[Block]:
    """Yields where nine of ten foods with such a label lie, and what would tell more."""
    yield Heading(2, "Likely: nine of ten foods with such a label, an estimate")
    yield from map(Paragraph, content_sentences(likely))
    rows = [
        [
            _part_name(part),
            likely_words(likely_part["as_fed"]),
            likely_words(likely_part["dry_matter"]),
            likely_words(likely_part["energy_share"]),
        ]
        for part, likely_part in likely.items()
    ]
    yield table(("%", "as fed", "of dry matter", "of the energy"), rows, (1, 2, 3))
    yield Paragraph(
        "They rest on the list, the guarantees as makers set them, a calculated calorie line and "
        "what ingredients usually hold. Carbohydrate is by difference, as the trade counts it: "
        "crude fibre misses some fibre, which stands in it. Starch and sugar are what is left."
    )
    if questions:
        yield Paragraph("What a maker could tell, and how far it narrows the carbohydrate:")
        yield from (Paragraph(words, indent=4) for words in helpful_sentences(questions))


def further(data: shapes.Assessed, carbohydrate: LikelyPart | None = None) -> Iterator[Block]:
    """Yields energy, carbohydrate (likely, where known) beside practice and research, minerals,
    profile and notes."""
    if data["energy"] is not None:
        yield from _energy(data["energy"])
    yield from _beside_targets(data["carbohydrate"], carbohydrate)
    if data["calcium_phosphorus"] is not None:
        yield from _minerals(data["calcium_phosphorus"])
    if data["profile"] is not None:
        yield from _profile(data["profile"])
    gaps = (f"{gap['what']}: {gap['because']}." for gap in data["not_computed"])
    yield from headed("Not worked out", gaps)
    yield from headed("Notes", data["notes"])


def _read_as(data: shapes.Nutrition) -> Iterator[str]:
    if data["name"]:
        yield data["name"]
    yield data["species"] or "species not stated"
    yield from data["stages"]
    form = data["form"]
    how = {"stated": "stated", "words": "inferred from words", "moisture": "inferred from moisture"}
    kind = form["id"] if form["id"] != "unknown" else form["moisture_class"] or "form unknown"
    yield f"{kind} ({how.get(form['how'], 'nothing says so')})"
    yield f"market {data['market']}"


def _part_name(part: str) -> str:
    return str(pack_data("words/reading")["parts"].get(part, part))


def nutrient_name(nutrient: str) -> str:
    """Returns what a nutrient or a ratio of the profile is called: vitamin A, zinc."""
    ratios = pack_data("words/reading")["ratios"]
    if nutrient in ratios:
        return str(ratios[nutrient])
    rows = pack_data("nutrients/nutrients")["nutrients"]
    name = next((row["names"]["en"][0] for row in rows if row["id"] == nutrient), nutrient)
    first, _, letter = name.partition(" ")
    return f"{first} {letter.upper()}" if first == "vitamin" else str(name)


def bases(data: shapes.Assessed) -> Iterator[Block]:
    """Yields the parts as printed and on every basis, with the energy of each."""
    on, bowl = data["bases"], data["prepared"]
    shares = data["energy"]["shares"] if data["energy"] else {}
    headings = ["", "printed, %", "as fed, %", "dry, %", "g/1000 kcal", "energy, %"]
    headings += ["bowl, %"] * bool(bowl)
    rows, assumed = [], _assumed(data)
    for part in PARTS:
        name = _part_name(part) + "*" * (part in assumed)
        row = [name, _printed(data["printed"].get(part))]
        dry = None if part == "moisture" else on["dry_matter"][part]
        row += map(figure, (on["as_fed"][part], dry, on["per_1000_kcal"][part], shares.get(part)))
        if bowl:
            row.append(figure(bowl["as_fed"][part]))
        rows.append(row)
    kcal = data["energy"]["kcal_per_kg"] if data["energy"] else None
    moisture = on["as_fed"]["moisture"]
    dry = None if kcal is None or moisture is None else kcal / (100 - moisture) * 100
    energy = ["energy, kcal/kg", "", figure(kcal, 0), figure(dry, 0), "", ""]
    if data["energy"] and data["energy"]["label"]:
        energy[1] = figure(data["energy"]["label"]["kcal_per_kg"], 0)
    if bowl:
        energy.append(figure(bowl["kcal_per_kg"], 0))
    yield table(headings, [*rows, energy])
    if assumed:
        yield Paragraph(
            f"* usual for such a food; the label does not declare {' and '.join(assumed)}."
        )
    yield Paragraph(
        "Carbohydrate is not printed; it is 100 less the five others. Guarantees are limits and "
        "no analyses, so each figure is one of a range."
    )
    if bowl:
        weights = number(bowl["water_per_weight"])
        yield Paragraph(f"In the bowl: one weight of food with {weights} of water.")


def _assumed(data: shapes.Assessed) -> list[str]:
    """Returns the parts that are usual for such a food and not declared."""
    assumed = {"ash": data["ash_assumed"], "moisture": data["moisture_assumed"]}
    return [part for part, usual in assumed.items() if usual]


def _printed(bounds: shapes.PrintedLimit | None) -> str:
    if bounds is None:
        return "-"
    low, high = bounds["low"], bounds["high"]
    if bounds["bound"] == "min and max":
        return f"{_short(low)} to {_short(high)}"
    value = _short(high if low is None else low)
    return value if bounds["bound"] == "declared" else f"{bounds['bound']} {value}"


def _ranges(
    ranges: Mapping[str, Sequence[shapes.RangeData]], printed: Mapping[str, shapes.PrintedLimit]
) -> Iterator[Block]:
    if not any(ranges.values()):
        return
    yield Heading(2, "How wide the truth can be")
    rows = []
    for name, words, unit in _RANGES:
        places = 0 if unit == "kcal/kg" else 1
        for row, width in enumerate(ranges[name]):
            most = "no limit" if width["high"] is None else figure(width["high"], places)
            least, by = figure(width["low"], places), ", ".join(width["rests_on"])
            rows.append(["" if row else words, least, most, unit, by])
    yield table(("", "least", "most", "", "rests on"), rows, (1, 2))
    declared = any(limit["bound"] == "declared" for limit in printed.values())
    yield Paragraph(
        "A declared value has the tolerance of its market; practice expects it closer."
        if declared
        else "Guarantees are bounds: a food may hold more than a minimum and less than a maximum. "
        "Practice takes them as printed near the truth, with the ash usual for the form."
    )


def _energy(energy: shapes.EnergyData) -> Iterator[Block]:
    yield Heading(2, "Energy")
    label = energy["label"]
    rows: list[list[str]] = []
    for method in energy["by_method"]:
        mark = " (taken here)" if method["method"] == energy["method"] else ""
        kcal = method["kcal_per_kg"]
        rows.append([method["method"] + mark, figure(kcal, 0), _against(kcal, label)])
    minima = energy["from_minima"]
    if minima and minima["factor"] != 1:
        words = f"as practice expects it from minima, times {number(minima['factor'])}"
        kcal = minima["kcal_per_kg"]
        rows.append([words, figure(kcal, 0), _against(kcal, label)])
    if label is not None:
        how = f" ({label['method']})" if label["method"] else ""
        rows.append([f"the label's own{how}", figure(label["kcal_per_kg"], 0), ""])
    yield table(("", "kcal/kg", "the label against it"), rows, (1,))
    if label is not None and label["possible"] is False:
        yield Paragraph("No food within the guarantees has the label's energy by modified Atwater.")


def _against(kcal_per_kg: float | None, label: shapes.LabelEnergy | None) -> str:
    if label is None or kcal_per_kg is None:
        return ""
    gap = label["kcal_per_kg"] - kcal_per_kg
    return f"{gap:+.0f} kcal, {100 * gap / kcal_per_kg:+.1f} %"


def _beside_targets(
    carbohydrate: shapes.CarbohydrateData, likely: LikelyPart | None
) -> Iterator[Block]:
    target = carbohydrate["target"]
    if target is None and not carbohydrate["research"]:
        return
    yield Heading(2, "Carbohydrate beside practice and research")
    if target is not None:
        yield Paragraph(target_sentence(target, likely))
        yield Paragraph(target["says"])
    rows = [
        [
            study["what"],
            *(figure(part, 0) for part in (study["protein"], study["fat"], study["carbohydrate"])),
            study["source"] + ("" if study["confirmed"] else " (not confirmed)"),
        ]
        for study in carbohydrate["research"]
    ]
    if rows:
        heads = ["% of the energy", "protein", "fat", "carb.", "source"]
        yield table(heads, rows, (1, 2, 3))
        yield Paragraph(carbohydrate["research_says"])
    yield Paragraph(f"{carbohydrate['requirement']} ({carbohydrate['requirement_source']})")


def _minerals(ratio: shapes.Parts) -> Iterator[Block]:
    yield Heading(2, "Calcium to phosphorus")
    ends = [ratio["low"], ratio["high"]]
    words = f"{figure(ratio['value'], 2)} : 1 by the printed figures"
    if ends == [None, None]:
        words += "; their bounds leave the ratio open"
    elif ends[0] != ends[1]:
        low, high = (figure(end, 2) if end is not None else "no limit" for end in ends)
        words += f"; their bounds leave {low} to {high}"
    yield Paragraph(f"{words}.")


def _profile(profile: shapes.ProfileData) -> Iterator[Block]:
    yield Heading(2, f"Against the {profile['title']}")
    yield Paragraph(f"For the {profile['species']}, {profile['stage']}; on {profile['basis']}.")
    if profile["corrected_by"] != 1:
        yield Paragraph(
            f"The food holds {figure(profile['kcal_per_kg_dry_matter'], 0)} kcal/kg of dry matter, "
            f"more than the {figure(profile['presumed'], 0)} that the profile presumes: its "
            f"figures are multiplied by {number(profile['corrected_by'])}, since less of the food "
            "is eaten."
        )
    rows = []
    for row in profile["judged"]:
        limit = f"{row['side']} {number(row['limit'])}{'' if row['confirmed'] else '*'}"
        label = f"{row['bound']} {_short(row['value'])}".strip()
        name = nutrient_name(row["nutrient"])
        rows.append([name, label, limit, row["unit"], _verdict(row)])
    if rows:
        heads = ["nutrient", "the label", "the profile", "unit", "so it"]
        yield table(heads, rows, (1, 2))
    if any(not row["confirmed"] for row in profile["judged"]):
        yield Paragraph(
            "* the figure of the profile is from memory, computed or from secondary tables."
        )
    for row in profile["judged"]:
        for note in row["notes"]:
            yield Paragraph(f"{nutrient_name(row['nutrient'])}: {note}.")
    if profile["not_judged"]:
        names = ", ".join(map(nutrient_name, profile["not_judged"]))
        yield Paragraph(
            f"The label prints nothing that could be held against the limits for {names}. That is "
            "usual, and says neither that they are met nor missed."
        )
    for note in profile["notes"]:
        yield Paragraph(note)


def _short(value: float | None) -> str:
    return "-" if value is None else number(value)


def _verdict(judgement: shapes.JudgementData) -> str:
    if judgement["verdict"] == "open":
        return "is open: the figure does not bear on it"
    if judgement["verdict"] == "meets":
        return "meets it" if judgement["proven"] else "meets it by the printed figure"
    if judgement["proven"]:
        return "misses it"
    if judgement["bound"] == "min" and judgement["side"] == "minimum":
        return "is not shown to meet it; the food may hold more"
    return "misses it by the printed figure"


def _sources(data: shapes.Nutrition) -> list[str]:
    methods = data["energy"]["by_method"] if data["energy"] else ()
    sources = [f"{method['method']}: {method['source']}" for method in methods]
    sources += [row["source"] for row in (data["profile"]["judged"] if data["profile"] else ())]
    return list(dict.fromkeys(sources))
