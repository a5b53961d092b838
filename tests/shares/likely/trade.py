"""Formulas drawn with the inclusion patterns of the trade, and labels as makers print them.

Patterns are common practice (no source): what a food of each form is customarily made of, in
percent of the mix. The margins between the truth and what is printed are those of Hill, Choate,
Scott and Molenberghs 2009 (JAVMA 234:347-351). What each batch of an ingredient holds is drawn
inside the catalogue's range.
"""

from __future__ import annotations

import random
from dataclasses import dataclass

from panellint.catalogue import load
from panellint.catalogue.model import PARTS

Span = tuple[float, float]


@dataclass(frozen=True)
class Group:
    """`count` of the `names`, together between two shares of the mix, in percent."""

    names: str
    count: tuple[int, int]
    together: Span


@dataclass(frozen=True)
class Pattern:
    """What foods of one form are made of; `moisture` of the finished food, percent as fed
    (None: that of the mix)."""

    form: str
    groups: tuple[Group, ...]
    moisture: Span | None
    market: str = "US"
    species: str = "dog"


@dataclass(frozen=True)
class Drawn:
    """A label, with the true shares (percent of the mix) in printed order, and the true parts of
    the food in percent as fed."""

    text: str
    form: str
    market: str
    shares: tuple[float, ...]
    parts: dict[str, float]


_MEATS = "chicken|turkey|beef|lamb|pork|duck|salmon|whitefish|venison|rabbit"
_MEALS = "chicken meal|turkey meal|lamb meal|fish meal|poultry by-product meal|duck meal"
_GRAINS = "brown rice|white rice|barley|oatmeal|corn|sorghum|millet|brewers rice|quinoa"
_PULSES = "peas|lentils|chickpeas|sweet potatoes|dried potatoes|tapioca starch|pea flour"
_FRUITS = "blueberries|cranberries|carrots|spinach|apples|pumpkin|kale|broccoli"
_FATS = "chicken fat|canola oil|sunflower oil|salmon oil|beef fat"
_FIBRES = "dried plain beet pulp|powdered cellulose|tomato pomace|flaxseed"
_SMALL = (
    Group("salt", (1, 1), (0.2, 0.8)),
    Group("calcium carbonate|dicalcium phosphate|potassium chloride", (1, 3), (0.4, 2.0)),
    Group("choline chloride|taurine|dl-methionine|l-lysine", (1, 3), (0.15, 0.6)),
    Group(
        "vitamin e supplement|niacin supplement|vitamin a supplement|biotin", (2, 4), (0.02, 0.2)
    ),
    # Trace elements as the profiles have them: 50 to 250 mg of zinc and iron, 5 to 25 of copper
    # and manganese to the kg.
    Group("zinc proteinate", (0, 1), (0.04, 0.15)),
    Group("ferrous sulfate", (0, 1), (0.02, 0.08)),
    Group("copper sulfate", (0, 1), (0.002, 0.008)),
    Group("manganese sulfate", (0, 1), (0.002, 0.010)),
    Group("mixed tocopherols|rosemary extract", (1, 2), (0.02, 0.15)),
)
_CAN_SMALL = (
    Group("guar gum|carrageenan|xanthan gum|agar-agar|cassia gum", (1, 2), (0.2, 0.9)),
    Group("salt|potassium chloride|calcium carbonate", (1, 3), (0.2, 1.2)),
    Group("taurine|choline chloride", (1, 2), (0.05, 0.25)),
    Group("vitamin e supplement|niacin supplement|biotin", (2, 3), (0.01, 0.08)),
    Group("zinc proteinate", (0, 1), (0.01, 0.05)),
    Group("copper sulfate", (0, 1), (0.0005, 0.003)),
    Group("manganese sulfate", (0, 1), (0.0005, 0.003)),
)
PATTERNS = (
    Pattern(
        "kibble",
        (
            Group(_MEATS, (0, 2), (8, 28)),
            Group(_MEALS, (1, 2), (14, 32)),
            Group(_GRAINS, (2, 4), (30, 58)),
            Group(_FATS, (1, 2), (3, 10)),
            Group(_FIBRES, (1, 2), (1.5, 6)),
            Group("natural flavor|chicken liver flavor", (1, 1), (0.8, 2.5)),
            Group(_FRUITS, (0, 3), (0.1, 1.5)),
            *_SMALL,
        ),
        (6, 10),
    ),
    Pattern(
        "kibble",
        (
            Group(_MEATS, (1, 2), (12, 35)),
            Group(_MEALS, (1, 2), (12, 26)),
            Group(_PULSES, (2, 4), (28, 50)),
            Group(_FATS, (1, 2), (4, 11)),
            Group("pea protein|potato protein", (0, 1), (2, 8)),
            Group(_FIBRES, (0, 1), (1, 4)),
            Group("natural flavor", (1, 1), (0.8, 2.5)),
            Group(_FRUITS, (1, 4), (0.2, 2.5)),
            *_SMALL,
        ),
        (6, 10),
        species="cat",
    ),
    Pattern(
        "canned",
        (
            Group(_MEATS, (1, 3), (28, 62)),
            Group("chicken liver|beef liver|pork liver|turkey liver", (0, 1), (4, 16)),
            Group("water|chicken broth|water sufficient for processing", (1, 1), (18, 45)),
            Group("brown rice|oatmeal|dried egg|potato starch|peas|carrots", (1, 3), (2, 10)),
            *_CAN_SMALL,
        ),
        None,
    ),
    Pattern(
        "canned",
        (
            Group(_MEATS, (1, 2), (18, 38)),
            Group("chicken liver|pork liver", (0, 1), (3, 12)),
            Group("water|chicken broth", (1, 1), (35, 55)),
            Group("wheat gluten|corn starch|potato starch|tapioca starch", (1, 2), (2.5, 9)),
            Group("carrots|peas|potatoes|green beans", (1, 3), (3, 12)),
            *_CAN_SMALL,
        ),
        None,
        species="cat",
    ),
    Pattern(
        "freeze-dried",
        (
            Group(_MEATS, (1, 2), (55, 85)),
            Group("chicken liver|beef liver|beef heart|turkey liver|lamb kidney", (1, 2), (6, 22)),
            Group("ground chicken bone|ground beef bone", (0, 1), (3, 10)),
            Group(_FRUITS, (2, 5), (2, 12)),
            Group(
                "salt|mixed tocopherols|vitamin e supplement|zinc proteinate", (2, 4), (0.1, 0.8)
            ),
        ),
        (3, 6),
    ),
    Pattern(
        "dehydrated",
        (
            Group("dehydrated chicken|dehydrated beef|dehydrated turkey", (1, 1), (22, 48)),
            Group(
                "oats|dehydrated potatoes|dehydrated sweet potatoes|millet|flaxseed",
                (2, 4),
                (30, 55),
            ),
            Group(
                "dehydrated carrots|dehydrated cabbage|dehydrated spinach|dehydrated apples",
                (2, 4),
                (4, 16),
            ),
            Group("dried kelp", (1, 1), (0.1, 1.0)),
            Group("dicalcium phosphate|calcium carbonate", (1, 2), (0.6, 3.0)),
            Group("choline chloride|taurine", (1, 2), (0.1, 0.5)),
            Group("vitamin e supplement|zinc proteinate|potassium iodide", (2, 3), (0.02, 0.2)),
        ),
        (5, 9),
    ),
    Pattern(
        "fresh",
        (
            Group(_MEATS, (1, 2), (35, 65)),
            Group("chicken liver|beef liver", (1, 1), (3, 9)),
            Group("sweet potatoes|potatoes|brown rice|lentils|quinoa", (1, 2), (10, 28)),
            Group("carrots|green beans|spinach|apples|broccoli", (2, 3), (6, 18)),
            Group("fish oil|sunflower oil|canola oil", (1, 1), (0.4, 2.0)),
            Group(
                "calcium carbonate|dicalcium phosphate|salt|choline chloride", (2, 4), (0.6, 2.2)
            ),
            Group("vitamin e supplement|zinc gluconate|copper gluconate", (2, 3), (0.01, 0.1)),
        ),
        None,
    ),
    Pattern(
        "baked",
        (
            Group("chicken|turkey|salmon|lamb", (1, 2), (14, 40)),
            Group(
                "oat flour|barley flour|brown rice flour|whole wheat|rye flour", (2, 3), (40, 68)
            ),
            Group("chicken fat|sunflower oil", (1, 1), (2, 7)),
            Group("dried egg|flaxseed|pumpkin|molasses", (1, 3), (2, 10)),
            *_SMALL,
        ),
        (6, 10),
    ),
)


def draw(seed: int) -> Drawn:
    """A food and its label; the same seed gives the same one."""
    rng = random.Random(seed)
    pattern = PATTERNS[seed % len(PATTERNS)]
    listed = _amounts(pattern, rng)
    food = _food(listed, pattern, rng)
    return Drawn(
        _label(listed, food, pattern, rng),
        pattern.form,
        pattern.market,
        tuple(share for share, _ in listed),
        food,
    )


def _food(
    listed: list[tuple[float, str]], pattern: Pattern, rng: random.Random
) -> dict[str, float]:
    """Parts of the finished food in percent as fed."""
    found = dict.fromkeys(PARTS, 0.0)
    for share, name in listed:
        for part, value in _batch(name, rng).items():
            found[part] += share * value / 100
    dry = sum(value for part, value in found.items() if part != "moisture")
    moisture = 100 - dry if pattern.moisture is None else rng.uniform(*pattern.moisture)
    factor = (100 - moisture) / dry
    return {
        part: moisture if part == "moisture" else factor * value for part, value in found.items()
    }


def _batch(name: str, rng: random.Random) -> dict[str, float]:
    """What one batch of an ingredient holds, in percent: inside its ranges, to a sum of 100."""
    match = load().lookup(name, market="us", language="en")
    assert match is not None, name
    ranges = {
        part: match.known.figures[part].range if part in match.known.figures else (0.0, 0.0)
        for part in PARTS
    }
    best: dict[str, float] = {}
    miss = 1e9
    for _ in range(60):
        drawn = {p: lo + (hi - lo) * rng.betavariate(2.5, 2.5) for p, (lo, hi) in ranges.items()}
        slack = 100 - sum(drawn.values())
        # Water, then carbohydrate, takes up what the others leave, as far as its range goes.
        for part in ("moisture", "carbohydrate", "fat", "protein", "ash"):
            lo, hi = ranges[part]
            moved = min(max(drawn[part] + slack, lo), hi)
            slack -= moved - drawn[part]
            drawn[part] = moved
        if abs(slack) < miss:
            best, miss = drawn, abs(slack)
        if miss < 0.01:
            break
    total = sum(best.values()) or 100.0
    return {part: 100 * value / total for part, value in best.items()}


def _label(
    listed: list[tuple[float, str]], food: dict[str, float], pattern: Pattern, rng: random.Random
) -> str:
    wet = pattern.moisture is None
    lines = []
    for part, words, mean, deviation in (
        ("protein", "Crude protein (min.)", 1.5, 2.0),
        ("fat", "Crude fat (min.)", 1.2 if wet else 0.8, 1.7),
        ("fibre", "Crude fiber (max.)", -0.4 if wet else -0.9, 0.6 if wet else 1.3),
        ("moisture", "Moisture (max.)", -2.5 if wet else -4.0, 2.0 if wet else 3.0),
    ):
        printed = food[part] - rng.gauss(mean, deviation)
        printed = max(round(2 * printed) / 2, 0.5)
        lines.append(f"  {words} ...... {printed} %")
    kcal = 35 * (food["protein"] + food["carbohydrate"]) + 85 * food["fat"]
    kcal *= 1 + rng.gauss(0, 0.015)
    names = ", ".join(name for _, name in listed)
    return (
        f"Product name: Quillbrook Larder Trial Food\nSpecies: {pattern.species}\n"
        f"Form: {pattern.form}\nMarket: {pattern.market}\n\nIngredients: {names}.\n\n"
        "Guaranteed analysis\n"
        + "\n".join(lines)
        + f"\n\nCalorie content (calculated): {round(kcal, -1):.0f} kcal/kg\n"
    )


#: What a list of the EU leaves to the heading of additives, by words of its name.
_ADDITIVES = ("supplement", "biotin", "proteinate", "sulfate", "tocopherols", "taurine", "chloride")
_WATER = ("water", "water sufficient for processing")


def draw_eu(seed: int) -> Drawn:
    """The food of a seed under a label of the EU: percentages of what the name would mention, of
    wet foods at times categories ("of which"), additives and at times water unlisted, and declared
    values. `shares` end with what is not listed."""
    rng = random.Random(seed + 1_000_000)
    pattern = PATTERNS[seed % len(PATTERNS)]
    listed = _amounts(pattern, random.Random(seed))
    food = _food(listed, pattern, rng)
    wet = pattern.form == "canned"
    additives = [e for e in listed if any(word in e[1] for word in _ADDITIVES)]
    water = [e for e in listed if wet and e[1] in _WATER and rng.random() < 0.7]
    left = [e for e in listed if e not in additives and e not in water]
    groups = [(share, name, ((share, name),)) for share, name in left]
    meats = [e for e in left if e[1].split(" liver")[0] in _MEATS.split("|")]
    if wet and len(meats) > 1 and rng.random() < 0.6:
        whole = sum(share for share, _ in meats)
        groups = [g for g in groups if g[2][0] not in meats]
        groups.append((whole, "meat and animal derivatives", tuple(sorted(meats, reverse=True))))
    words, shares = [], []
    for place, (share, name, members) in enumerate(sorted(groups, reverse=True)):
        if len(members) > 1:
            named, amount = members[-1][1], members[-1][0]
            words.append(f"{name} (of which {named} {_printed(amount)} %)")
            shares += [share - amount, amount]
        else:
            percent = (
                f" {_printed(share)} %" if share > 3 and rng.random() < 0.5 - place / 8 else ""
            )
            words.append(name + percent)
            shares.append(share)
    shares.append(sum(share for share, _ in water))
    shares.append(sum(share for share, _ in additives))
    declared = ", ".join(
        f"{words_} {max(round(food[part] + rng.gauss(0, deviation), 1), 0.1)} %"
        for part, words_, deviation in (
            ("protein", "crude protein", 0.8),
            ("fat", "crude fat", 0.6),
            ("fibre", "crude fibre", 0.3),
            ("ash", "crude ash", 0.4),
            ("moisture", "moisture", 1.0),
        )
    )
    text = (
        f"Product name: Quillbrook Larder Trial Food\nSpecies: {pattern.species}\n"
        f"Form: {pattern.form}\nMarket: EU\n\nComposition: {', '.join(words)}.\n\n"
        f"Analytical constituents: {declared}.\n"
    )
    return Drawn(text, pattern.form, "EU", tuple(shares), food)


def _printed(share: float) -> str:
    return f"{share:.0f}" if share >= 1.5 else f"{share:.1f}"


def _amounts(pattern: Pattern, rng: random.Random) -> list[tuple[float, str]]:
    """What a food is made of, percent of the mix, in descending order."""
    amounts: dict[str, float] = {}
    for group in pattern.groups:
        names = rng.sample(group.names.split("|"), rng.randint(*group.count))
        together = rng.uniform(*group.together)
        parts = sorted((rng.gammavariate(2.0, 1.0) for _ in names), reverse=True)
        for name, part in zip(names, parts, strict=True):
            amounts[name] = together * part / sum(parts)
    total = sum(amounts.values())
    return sorted(((100 * v / total, k) for k, v in amounts.items()), reverse=True)
