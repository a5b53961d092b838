"""Rules of the markets: limits of US claims, honest labels, a US label in Europe, languages."""

from __future__ import annotations

from pathlib import Path

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Finding, Severity
from panellint.core.source import Source
from panellint.lint.engine import findings_of, lint
from panellint.lint.runner.files import source_of
from panellint.rulepacks import packs
from panellint.rulepacks.settings import Settings

ROOT = Path(__file__).parents[3]
#: Moisture that stands just inside each class: below 20, from 20 to below 65, from 65 on.
INSIDE = {"dry": ("0.1", "19.9"), "semi-moist": ("20", "64.9"), "wet": ("65", "90")}


def found(text: str, rule: str, market: str = "us") -> list[Finding]:
    settings = Settings().with_market(market)
    result = lint(Source(text, "label.panel"), settings, quick=True)
    return [one for one in result.findings if one.rule == rule]


# Kentucky 12 KAR 3:028 and Colorado 8 CCR 1202-7 part 11: kcal ME/kg as fed.
LIGHT = {
    "dog": {"dry": 3100, "semi-moist": 2500, "wet": 900},
    "cat": {"dry": 3250, "semi-moist": 2650, "wet": 950},
}
# Small Animal Clinical Nutrition, 5th ed., Box 27-6, p. 513: % crude fat as fed.
LEAN = {"dog": {"dry": 9, "semi-moist": 7, "wet": 4}, "cat": {"dry": 10, "semi-moist": 8, "wet": 5}}
EACH = [(animal, kind) for animal in LIGHT for kind in INSIDE]


@pytest.mark.parametrize(("animal", "kind"), EACH)
@pytest.mark.parametrize("over", [0, 1])
def test_light_at_its_limit(animal: str, kind: str, over: int) -> None:
    for moisture in INSIDE[kind]:
        text = (
            f"Product name: Light {animal.capitalize()} Food\nIngredients: chicken, oats\n"
            f"Guaranteed analysis: moisture (max) {moisture}%\n"
            f"Calorie content (calculated): {LIGHT[animal][kind] + over} kcal/kg, 300 kcal/cup\n"
        )
        findings = found(text, f"light-{animal}-food")
        assert [one.certainty for one in findings] == [Certainty.PROVEN] * over


@pytest.mark.parametrize(("animal", "kind"), EACH)
@pytest.mark.parametrize(("more", "over"), [("0", 0), (".1", 1)])
def test_lean_at_its_limit(animal: str, kind: str, more: str, over: int) -> None:
    limit = f"{LEAN[animal][kind]}{more if more != '0' else ''}"
    for moisture in INSIDE[kind]:
        text = (
            f"Product name: Lean {animal.capitalize()} Food\nIngredients: chicken, oats\n"
            f"Guaranteed analysis: crude fat (min) 3%, crude fat (max) {limit}%,"
            f" moisture (max) {moisture}%\n"
        )
        findings = found(text, f"lean-{animal}-food")
        assert [one.certainty for one in findings] == [Certainty.PROVEN] * over


@pytest.mark.parametrize(
    "name",
    [
        "Chicken with Light Brown Rice Dog Food",
        "Delight Dog Food",
        "Lean Beef Dinner for Dogs",
        "Chunk Light Tuna Dog Food",
    ],
)
def test_words_that_are_no_such_claim(name: str) -> None:
    text = f"Product name: {name}\nIngredients: chicken\nGuaranteed analysis: moisture (max) 10%\n"
    assert found(text, "light-dog-food") == []
    assert found(text, "lean-dog-food") == []


@pytest.mark.parametrize(
    ("claim", "lacks"),
    [
        ("reduced fat", "the percentage and the product that it is compared with"),
        ("25% less fat", "the product that it is compared with"),
        ("less calories than our Chicken Recipe", "the percentage"),
        ("25% less fat than our Chicken Recipe", None),
        ("Wheat free. Reduced fat. 20% more taste than ever.", "the percentage"),
        ("regardless of fat", None),
    ],
)
def test_less_by_how_much_and_than_what(claim: str, lacks: str | None) -> None:
    text = f"Product name: Dog Food\nClaims: {claim}\nIngredients: chicken\n"
    findings = found(text, "less-than-what")
    assert bool(findings) is (lacks is not None)
    assert all(str(lacks) in one.message for one in findings)


@pytest.mark.parametrize(
    ("ingredients", "fails"),
    [
        # 7 CFR 205.301: 95 % without water and salt. Behind one other an ingredient is at most
        # 50 %; the last of twenty is at most 5 %, the last of twenty-one less.
        ("organic duck, organic millet, salt, water", False),
        ("water, organic duck, organic millet", False),
        ("organic duck, millet", False),
        ("duck, organic millet", True),
        ("organic duck, organic millet (90%), peas (6%)", False),
        ("organic duck (60%), organic millet (34%), peas (6%)", True),
        ("duck*, millet*. *Organic", False),
    ],
)
def test_organic_in_the_name(ingredients: str, fails: bool) -> None:
    text = f"Product name: Organic Duck Recipe for Dogs\nIngredients: {ingredients}\n"
    assert bool(found(text, "organic-name")) is fails


# AAFCO profiles, 2016: taurine stands in that of cats alone; glucosamine, L-carnitine, omega-3
# and omega-6 in neither; linoleic acid, calcium and vitamin E in both.
@pytest.mark.parametrize(
    ("guarantee", "dog", "cat"),
    [
        ("taurine (min) 0.15%", True, False),
        ("glucosamine (min) 400 mg/kg", True, True),
        ("L-carnitine (min) 100 mg/kg", True, True),
        ("omega-3 fatty acids (min) 0.5%", True, True),
        ("omega-6 fatty acids (min) 2%", True, True),
        ("vitamin C (min) 70 mg/kg", True, True),
        ("linoleic acid (min) 1.2%", False, False),
        ("calcium (min) 1.1%", False, False),
        ("vitamin E (min) 150 IU/kg", False, False),
        ("biotin (min) 0.3 mg/kg", True, False),
        ("arachidonic acid (min) 0.02%", True, False),
        ("DHA (min) 0.05%", False, False),
        ("EPA + DHA (min) 0.05%", False, False),
        ("total dietary fiber (max) 5%", False, False),
    ],
)
def test_which_guarantees_need_the_disclaimer(guarantee: str, dog: bool, cat: bool) -> None:
    for animal, due in (("Dogs", dog), ("Cats", cat)):
        text = f"Product name: Food for {animal}\nGuaranteed analysis: {guarantee}\n"
        assert bool(found(text, "guarantee-disclaimer")) is due, animal


@pytest.mark.parametrize(
    ("claims", "guarantees", "marked"),
    [
        ("with omega-3", "crude protein (min) 26%", ["omega-3"]),
        ("with omega-3", "omega-3 fatty acids (min) 0.5%", []),
        ("with DHA", "EPA + DHA (min) 0.05%", []),
        ("probiotics for the gut", "crude protein (min) 26%", ["probiotics"]),
        ("without probiotics", "crude protein (min) 26%", []),
        ("taurine-free", "crude protein (min) 26%", []),
    ],
)
def test_a_claim_asks_for_its_guarantee(claims: str, guarantees: str, marked: list[str]) -> None:
    text = (
        f"Product name: Food for Dogs\nClaims: {claims}\nIngredients: chicken\n"
        f"Guaranteed analysis: {guarantees}\n"
    )
    places = [Source(text).slice(one.span) for one in found(text, "claimed-not-guaranteed")]
    assert places == marked


# ---- honest labels, and a label from elsewhere ---------------------------------------------------

CLEAN = [
    path
    for path in sorted((ROOT / "corpus").glob("*.panel"))
    if "marks:" not in path.with_suffix(".expected.yaml").read_text(encoding="utf-8")
]
HONEST = sorted((ROOT / "tests" / "honest").glob("*.panel"))
OF_MARKETS = [rule for rule in packs.load().values() if rule.pack in {"us", "eu", "uk", "ca"}]


@pytest.mark.parametrize("path", [*CLEAN, *HONEST], ids=lambda path: path.stem)
def test_a_clean_label_is_clean_in_its_market(path: Path) -> None:
    context = LabelContext.of(source_of(str(path), None), Settings())
    loud = [
        (one.rule, context.source.slice(one.span), one.message)
        for one in findings_of(context, OF_MARKETS)
        if one.severity in {Severity.ERROR, Severity.WARNING}
    ]
    assert loud == []


def test_there_are_clean_labels_of_each_market() -> None:
    markets = [
        LabelContext.of(source_of(str(path), None), Settings()).market for path in [*CLEAN, *HONEST]
    ]
    assert {
        market: markets.count(market) >= n
        for market, n in (("us", 10), ("eu", 5), ("uk", 5), ("ca", 1))
    } == dict.fromkeys(("us", "eu", "uk", "ca"), True)


def test_what_a_us_label_would_have_to_change_in_the_eu() -> None:
    path = ROOT / "corpus" / "duck-millet-freeze-dried.panel"
    assert path in CLEAN
    context = LabelContext.of(source_of(str(path), None), Settings().with_market("eu"))
    findings = findings_of(context, OF_MARKETS)
    rules = {one.rule for one in findings}
    assert rules >= {
        "eu-feed-type",
        "eu-constituents",
        "eu-heading-composition",
        "eu-heading-constituents",
        "eu-emphasis-percentage",
        "eu-additive-misplaced",
        "eu-constituent-is-declared-value",
        "eu-constituent-names",
        "eu-batch",
    }
    told = {one.rule: one.message for one in findings}
    assert "to be sold in the European Union" in told["eu-feed-type"]
    assert "crude ash" in told["eu-constituents"]
    assert not any(rule.pack == "us" and rule.id in rules for rule in OF_MARKETS)


def test_what_an_eu_label_would_have_to_change_in_the_us() -> None:
    path = ROOT / "corpus" / "chicken-tray-cat-eu.panel"
    assert path in CLEAN
    context = LabelContext.of(source_of(str(path), None), Settings().with_market("us"))
    assert context.edition == "legacy"
    rules = [one.rule for one in findings_of(context, OF_MARKETS)]
    assert set(rules) >= {
        "statement-of-another-market",
        "us-heading-ingredients",
        "us-heading-guarantees",
        "percentage-in-list",
        "calorie-line",
        "guarantee-unbounded",
    }
    assert rules.count("european-category-in-list") == 4


def test_no_market_stands_in_a_check() -> None:
    """A rule is for a market by its pack; the functions know none."""
    for path in sorted((ROOT / "panellint" / "checks").glob("*.py")):
        text = path.read_text(encoding="utf-8")
        assert not any(f'market == "{m}"' in text for m in ("us", "eu", "uk", "ca")), path.name


# ---- languages -----------------------------------------------------------------------------------

LABELS = {
    language: ROOT / "corpus" / f"eu-duck-menu-{language}.panel"
    for language in ("de", "fr", "es", "it", "nl")
}


@pytest.mark.parametrize("language", LABELS)
def test_a_label_in_another_language_is_read_whole(language: str) -> None:
    """The same invented label five times: all of it is understood, and the rules see the same."""
    settings = Settings().with_market("eu")
    context = LabelContext.of(source_of(str(LABELS[language]), None), settings)
    assert context.language == language
    assert context.species == "dog"
    assert context.stages == ("maintenance",)
    assert [one.route for one in context.label.adequacy] == ["complete"]
    assert [one.known_as for one in context.declaration.ingredients] == [
        "chicken",
        "rice",
        "duck",
        "carrot",
        "sunflower-oil",
        "brewers-dried-yeast",
        "calcium-carbonate",
    ]
    assert {one.nutrient: float(one.value) for one in context.label.guarantees} == {
        "protein": 9.5,
        "fat": 6.0,
        "fibre": 0.4,
        "ash": 2.1,
        "moisture": 78.0,
    }
    assert [float(one.value or 0) for one in context.label.additives] == [200.0, 15.0]
    assert [one.tier for one in context.promises] == ["with"]
    assert findings_of(context, OF_MARKETS) == []


@pytest.mark.parametrize("language", LABELS)
def test_what_is_wrong_in_another_language_is_told_in_english(language: str) -> None:
    text = LABELS[language].read_text(encoding="utf-8")
    text = text.replace("(40 %)", "(60 %)").replace("(4 %)", "(3,4 %)")
    context = LabelContext.of(Source(text, language), Settings().with_market("eu"))
    (one,) = findings_of(context, OF_MARKETS)
    assert one.rule == "eu-name-with"
    assert "can be at most 3.45 %" in one.message


# ---- guarantees behind the mandatory lines -------------------------------------------------------

FOUR = "crude protein (min) 26%, crude fat (min) 14%, crude fiber (max) 4%, moisture (max) 10%"


@pytest.mark.parametrize(
    ("further", "marked"),
    [
        # The order of the AAFCO profile of dogs, 2016: fatty acids, minerals, trace elements,
        # vitamins; then what it does not list.
        ("linoleic acid (min) 2%, calcium (min) 1%, zinc (min) 150 mg/kg", []),
        ("calcium (min) 1%, calcium (max) 1.6%, phosphorus (min) 0.8%", []),
        ("DHA (min) 0.05%, calcium (min) 1%, glucosamine (min) 400 mg/kg", []),
        ("ash (max) 8%, calcium (min) 1%", []),
        ("calcium (min) 1%, linoleic acid (min) 2%", ["linoleic acid"]),
        ("glucosamine (min) 400 mg/kg, vitamin E (min) 150 IU/kg", ["vitamin E"]),
        ("taurine (min) 0.1%, calcium (min) 1%", ["calcium"]),
    ],
)
def test_further_guarantees_follow_the_profile(further: str, marked: list[str]) -> None:
    text = f"Product name: Food for Dogs\nGuaranteed analysis: {FOUR}, {further}\n"
    places = [Source(text).slice(one.span) for one in found(text, "further-guarantee-order")]
    assert places == marked


@pytest.mark.parametrize(
    ("animal", "further", "wanted"),
    [
        ("Cats", "taurine (min) 1500 mg/kg", "%"),
        ("Cats", "taurine (min) 0.15%", None),
        ("Dogs", "vitamin E (min) 100 mg/kg", "IU/kg"),
        ("Dogs", "zinc (min) 0.015%", "mg/kg"),
        ("Dogs", "taurine (min) 1500 mg/kg", None),
    ],
)
def test_further_guarantees_have_the_units_of_the_profile(
    animal: str, further: str, wanted: str | None
) -> None:
    text = f"Product name: Food for {animal}\nGuaranteed analysis: {FOUR}, {further}\n"
    messages = [one.message for one in found(text, "further-guarantee-units")]
    assert [wanted in one for one in messages if wanted] == ([True] if wanted else [])
    assert bool(messages) is (wanted is not None)
