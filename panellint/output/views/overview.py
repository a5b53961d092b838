"""What is in a food at a glance, in a few sentences."""

from collections.abc import Iterator, Sequence

from panellint.core.numbers import number
from panellint.core.phrases import listed
from panellint.results.outline import CatNeed, FirstEntry, Glance, NutrientSource


def paragraphs(data: Glance) -> Iterator[str]:
    """Yields what `analysis.overview.glance` gives, each part with its heading."""
    yield from (f"{heading}: {words}" for heading, words in _parts(data))


def _parts(data: Glance) -> Iterator[tuple[str, str]]:
    if data["first"]:
        yield "first", "; ".join(_entry(entry) for entry in data["first"])
    animals = {animal or "not named": names for animal, names in data["animals"].items()}
    if animals:
        named = (f"{animal} ({', '.join(names)})" for animal, names in animals.items())
        yield "animals", "; ".join(named)
    if data["nutrients"]:
        beside = data["beside_a_diet"]
        yield "vitamins and minerals", "; ".join(_nutrients(data["nutrients"], beside))
    for need in data["cat"]:
        yield "for a cat", _need(need)
    yield "palatants", ", ".join(data["palatants"]) or "none declared"
    yield "preservatives", ", ".join(data["preservatives"]) or "none declared"
    if data["binders"]:
        yield (
            "binders",
            "; ".join(f"{b['name']}: {b['does']} ({b['why']})" for b in data["binders"]),
        )
    if data["unknown"]:
        yield "names not known", ", ".join(data["unknown"])


def _entry(entry: FirstEntry) -> str:
    if entry["kind"] is None or entry["origin"] is None:
        what = "not known"
    else:
        words = (entry["kind"].replace("-", " "), entry["origin"])
        what = ", ".join(dict.fromkeys(words))
    if entry["low"] is None or entry["high"] is None:
        return f"{entry['name']} ({what})"
    low, high = (number(round(end, 1)) for end in (entry["low"], entry["high"]))
    return f"{entry['name']} ({what}, {low} to {high} %)"


def _nutrients(rows: Sequence[NutrientSource], beside_a_diet: bool) -> Iterator[str]:
    """Yields how many of the profile's have a declared source, and which have another or none; of
    a food beside a diet that it need not have them."""
    by: dict[str, list[NutrientSource]] = {}
    for row in rows:
        by.setdefault(row["source"], []).append(row)
    yield f"{len(by.get('declared', ()))} of {len(rows)} of the profile have a declared source"
    if premix := by.get("unlisted premix"):
        yield f"{len(premix)} may be in {listed(premix[0]['from'])}"
    for row in by.get("whole food", ()):
        yield f"{row['name']} from {listed(row['from'])}"
    if beside_a_diet:
        yield "such a food need not supply the rest: the diet beside it does"
    elif none := by.get("none found"):
        yield f"none found for {listed(row['name'] for row in none)}"


def _need(need: CatNeed) -> str:
    source = "none found" if need["source"] == "none found" else f"from {listed(need['from'])}"
    useless = f"; {listed(need['not_from'])} no source" if need["not_from"] else ""
    return f"{need['name']} {source}{useless} ({need['note']})"
