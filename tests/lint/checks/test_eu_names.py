"""The bands of the European code on names: under 4, from 4, from 14 and from 26 %.

The bands agree in several independent copies of the FEDIAF Code of Good Labelling Practice
(editions 2011 to 2019); the Code's own annex 5 was not readable.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Finding, Severity
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings

RULES = {"with": "eu-name-with", "rich": "eu-name-rich", "dish": "eu-name-dish"}
NAMES = {"with": "Adult Dog with Duck", "rich": "Pâté rich in Duck", "dish": "Duck Menu"}
BANDS = {"with": 4, "rich": 14, "dish": 26}
OTHERS = (
    "chicken, turkey, beef, lamb, pork, salmon, cod, herring, rice, oats, barley, maize, wheat,"
    " millet, peas, lentils, carrots, pumpkin, apple, potato, egg, linseed, beet pulp, spinach,"
    " broccoli, tomato, cheese"
).split(", ")


def found(text: str, rule: str, market: str = "eu") -> list[Finding]:
    settings = Settings().with_market(market)
    result = lint(Source(text, "label.panel"), settings, quick=True)
    return [one for one in result.findings if one.rule == rule]


def label(name: str, composition: str) -> str:
    return f"Product name: {name}\nComposition: {composition}\n"


@pytest.mark.parametrize("market", ["eu", "uk"])
@pytest.mark.parametrize("tier", BANDS)
@pytest.mark.parametrize(
    ("off", "fails"), [("-0.1", True), ("-0.06", True), ("0", False), ("0.1", False)]
)
def test_a_printed_percentage_at_the_edge(tier: str, off: str, fails: bool, market: str) -> None:
    """A figure stands for half a unit of its last digit on either side."""
    share = f"{float(BANDS[tier]) + float(off):.2f}".rstrip("0").rstrip(".")
    text = label(NAMES[tier], f"chicken 40 %, duck {share} %, rice, oats, peas, barley, maize")
    if tier == "with":
        text = label(NAMES[tier], f"chicken 90 %, duck {share} %, rice, oats, peas, barley")
    assert bool(found(text, RULES[tier], market)) is fails


@pytest.mark.parametrize("tier", BANDS)
def test_the_place_in_the_list_alone(tier: str) -> None:
    """Behind n others an ingredient is at most 100 / (n + 1) %: the last place that leaves the
    band open is silent, the next one is found. It is no proof: Article 17(1)(e) of Regulation (EC)
    No 767/2009 may order a list by the moisture of the feed."""
    last = int(100 / Fraction(BANDS[tier]))
    for place, fails in ((last, False), (last + 1, True)):
        text = label(NAMES[tier], ", ".join([*OTHERS[: place - 1], "duck", "salt"]))
        findings = found(text, RULES[tier])
        assert bool(findings) is fails, place
        for one in findings:
            assert one.certainty is Certainty.POSSIBLE
            assert one.rests_on == ("order", "one reading of the order")
            assert "what the order goes by" in one.proof[-1]


def test_the_weight_of_each_tier() -> None:
    """The industry's code binds nobody by law, and its own text was not read: no error."""
    low = "chicken 90 %, duck 1 %, rice, oats"
    weights = {tier: found(label(NAMES[tier], low), RULES[tier])[0].severity for tier in BANDS}
    assert weights == dict.fromkeys(("with", "rich", "dish"), Severity.WARNING)


def test_each_named_one_reaches_the_band() -> None:
    text = label("Adult Dog with Duck and Beef", "chicken 90 %, duck 5 %, beef 3 %, rice")
    (one,) = found(text, "eu-name-with")
    assert Source(text).slice(one.span) == "Beef"


@pytest.mark.parametrize(
    "composition",
    [
        # Label practice: a footnote or a bracket says what the figure is a part of.
        "meat and animal derivatives, cereals (3 %), duck (4 % in the chunk), minerals",
        "chicken, rice (3 %), duck (3 % rehydrated), oats",
    ],
)
def test_a_figure_of_a_part_is_to_be_verified(composition: str) -> None:
    (one,) = found(label("Adult Dog with Duck", composition), "eu-name-with")
    assert one.severity is Severity.INFORMATION
    assert one.certainty is Certainty.PRACTICE
    assert "Verify it by the formula" in one.message


def test_where_no_formula_fits_the_figures_are_taken_at_their_word() -> None:
    text = label("Pâté rich in Salmon", "meat (40 %), salmon (4 %), chicken liver (6 %), cereals")
    (one,) = found(text, "eu-name-rich")
    assert one.certainty is Certainty.PROVEN
    assert one.rests_on == ("percentages",)


@pytest.mark.parametrize(
    ("name", "composition", "marked"),
    [
        ("100 % Chicken Liver", "chicken liver (100 %)", []),
        ("All Tuna for Cats", "tuna, water, taurine", []),
        ("All Tuna Flakes", "tuna (24 %), fish broth, rice", ["Tuna"]),
    ],
)
def test_all_of_one_thing(name: str, composition: str, marked: list[str]) -> None:
    text = label(name, composition)
    assert [Source(text).slice(one.span) for one in found(text, "eu-name-all")] == marked


@pytest.mark.parametrize(
    ("name", "composition", "fails"),
    [
        ("Adult Dog with Lamb", "dried lamb (22 %), rice", False),
        ("Adult Dog with Lamb", "wheat, lamb meal (5 %)", False),
        ("Adult Dog with Lamb", "chicken, rice", True),
        # A taste comes from a flavouring; the material may be absent.
        ("Lamb Flavour Dog Food", "chicken, rice", False),
        # A category may hold it, which is the matter of another rule.
        ("Adult Dog with Lamb", "meat and animal derivatives (4 % lamb), cereals", False),
    ],
)
def test_what_the_name_stresses_is_declared(name: str, composition: str, fails: bool) -> None:
    assert bool(found(label(name, composition), "eu-name-not-declared")) is fails


@pytest.mark.parametrize(
    ("name", "printed", "language"),
    [
        ("Lamm Menü für Hunde", "Lammfleischmehl", "de"),
        ("Lamm Menü für Hunde", "Lammmehl", "de"),
        ("Lamm Menü für Hunde", "getrocknetes Lammfleisch", "de"),
        ("Menu à l'agneau pour chiens", "agneau déshydraté", "fr"),
        ("Lamb Menu for Dogs", "lamb meal", "en"),
        ("Salmon Menu for Dogs", "salmon meal", "en"),
    ],
)
def test_a_meal_bears_the_name_of_its_animal(name: str, printed: str, language: str) -> None:
    """In the EU and the UK dried meat and its meal are the animal's; its fat is not, and in the
    United States a meal is an ingredient of its own."""
    heads = {"de": "Zusammensetzung", "fr": "Composition", "en": "Composition"}

    def supported(entry: str, market: str) -> list[str]:
        text = f"Product name: {name}\nLanguage: {language}\n{heads[language]}: {entry} 40 %, x\n"
        context = LabelContext.of(Source(text), Settings().with_market(market))
        return [e.name for entries in context.supported.values() for e in entries]

    assert supported(printed, "eu") == supported(printed, "uk") == [printed]
    assert supported("lamb fat", "eu") == []
    if "meal" in printed:
        assert supported(printed, "us") == []


def test_little_meal_is_too_little_of_its_animal() -> None:
    assert found(label("Lamb Menu", "maize, rice, lamb meal (10 %), minerals"), "eu-name-dish")
    assert not found(label("Lamb Menu", "maize, lamb meal (26 %), rice, minerals"), "eu-name-dish")


def test_a_compound_bears_the_name_that_it_ends_with() -> None:
    """Beef tripe is tripe ("pens"), in one word; rice is none."""
    text = "Samenstelling: kip 45 %, runderpens 20 %, rijst 10 %, mineralen\n"
    name = "Product name: Quillbrook Larder Hondenworst met "
    assert found(f"{name}pens\n{text}", "eu-name-not-declared") == []
    text = text.replace("runderpens", "runderhart")
    assert len(found(f"{name}pens\n{text}", "eu-name-not-declared")) == 1
