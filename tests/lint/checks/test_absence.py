"""Claims that something is absent: how lists of things are read, and hostile pairs of names."""

from __future__ import annotations

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.source import Source
from panellint.lint.checks.absence import absences
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings

RULE = "absent-but-declared"


def case_of(text: str) -> LabelContext:
    return LabelContext.of(Source(text, "claims.panel"), Settings(), quick=True)


def against(claim: str, ingredients: str) -> list[tuple[str, str]]:
    """Certainty and marked words for each absence that the list speaks against."""
    text = f"Product name: Supper\nClaims: {claim}\n\nIngredients: {ingredients}\n"
    result = lint(Source(text, "claims.panel"), Settings(), quick=True)
    return [
        (f.certainty.value, result.source.slice(f.span)) for f in result.findings if f.rule == RULE
    ]


@pytest.mark.parametrize(
    ("claim", "names"),
    [
        ("Grain free", ["grain"]),
        ("grain-, soy- and gluten-free", ["grain", "soy", "gluten"]),
        ("grain and potato free", ["grain", "potato"]),
        ("No corn, wheat, or soy", ["corn", "wheat", "soy"]),
        ("no wheat/soy & no dairy", ["wheat", "soy", "dairy"]),
        ("free from any beef or chicken", ["beef", "chicken"]),
        (
            "No artificial preservatives, colours or flavours",
            ["artificial preservatives", "artificial colours", "artificial flavours"],
        ),
        ("contains no egg", ["egg"]),
        ("Beef and Rice – Grain free", ["grain"]),
        ("Without grain - pick a size: 3 kg / 12 kg", ["grain"]),
        ("No soy – chicken and rice", ["soy"]),
        ("Bully sticks, odor free", []),
        ("½ the fuss ✨ grain free 🐟 without by-products", ["grain", "by-products"]),
        ("made without carrageenan", ["carrageenan"]),
        # French "mais" (but) ends a list, Italian and German "mais" (maize) is a thing in one.
        ("Senza mais, senza soia", ["mais", "soia"]),
        ("Ohne Soja, Mais und Getreide", ["soja", "mais", "getreide"]),
        ("Senza soia, mais.", ["soia", "mais"]),
        ("Sans soja, mais riche en canard", ["soja"]),
        # Words that say nothing is absent, or nothing that is an ingredient.
        ("free-range chicken, free run duck", []),
        ("no nonsense, no fillers, cage free", []),
        ("worry-free feeding with chicken", []),
        ("No need to add water. Chicken inside.", []),
    ],
)
def test_what_is_said_to_be_absent(claim: str, names: list[str]) -> None:
    found = absences(case_of(f"Claims: {claim}\n\nIngredients: oats\n"))
    assert [one.name for one in found] == names


def test_the_place_of_each_absence_lies_in_the_claim() -> None:
    context = case_of("Claims: ½ cup, no corn, wheat or soy.\n\nIngredients: oats\n")
    assert [context.source.slice(one.span) for one in absences(context)] == [
        "no corn",
        "no corn, wheat",
        "no corn, wheat or soy",
    ]


@pytest.mark.parametrize(
    ("claim", "ingredients", "expected"),
    [
        # Gluten and grain are two things: rice and maize are grains without gluten.
        ("gluten free", "chicken, brown rice, corn gluten meal", []),
        ("grain free", "chicken, brown rice", [("proven", "brown rice")]),
        ("gluten free", "chicken, wheat gluten", [("proven", "wheat gluten")]),
        ("gluten free", "chicken, oat flour", [("possible", "oat flour")]),
        ("grain free", "chicken, buckwheat, quinoa, rice bran oil, peas", []),
        ("grain free", "chicken, corn starch", [("proven", "corn starch")]),
        ("grain free", "chicken, oat fiber", [("possible", "oat fiber")]),
        # Bran alone means wheat bran.
        ("no bran", "chicken, rice bran", []),
        ("no bran", "chicken, wheat bran", [("proven", "wheat bran")]),
        # A flavour holds little of the animal.
        ("no chicken", "duck, natural chicken flavor", [("possible", "natural chicken flavor")]),
        ("no chicken", "duck, chicken meal", [("proven", "chicken meal")]),
        ("no chicken", "duck, eggs", []),
        # One tree of animals and plants.
        ("no ruminants", "duck, venison", [("proven", "venison")]),
        ("no ruminants", "duck, pork", []),
        ("no poultry", "pork, dried turkey", [("proven", "dried turkey")]),
        ("no poultry", "pork, goose fat", [("possible", "goose fat")]),
        ("no poultry", "pork, eggs", []),
        (
            "no chicken",
            "duck, freeze-dried chicken hearts",
            [("proven", "freeze-dried chicken hearts")],
        ),
        ("no beef", "duck, cow's milk", []),
        ("no fish", "duck, tuna", [("proven", "tuna")]),
        ("no fish", "duck, shrimp", []),
        ("no fish", "duck, mixed seafood", []),
        ("no shellfish", "duck, shrimp", [("proven", "shrimp")]),
        ("no seafood", "duck, krill", [("proven", "krill")]),
        ("no goat milk", "duck, goat milk", [("proven", "goat milk")]),
        ("no wheat", "duck, spelt", [("proven", "spelt")]),
        ("no coconut", "duck, coconut oil", [("possible", "coconut oil")]),
        ("no coconut", "duck, dried coconut", [("proven", "dried coconut")]),
        ("no cocoa", "duck, carob", []),
        ("no currants", "duck, blackcurrants", []),
        ("potato free", "duck, sweet potatoes", []),
        ("potato free", "duck, potato starch", [("proven", "potato starch")]),
        ("no soy", "duck, soybean oil", [("possible", "soybean oil")]),
        ("free from soy", "duck, soy flour", [("proven", "soy flour")]),
        ("no by-products", "duck, duck liver, beet pulp, wheat bran", []),
        (
            "no by-products",
            "duck, poultry by-product meal",
            [("proven", "poultry by-product meal")],
        ),
        ("no artificial preservatives", "fat (preserved with mixed tocopherols)", []),
        ("no artificial preservatives", "fat (preserved with BHA)", [("proven", "BHA")]),
        ("no artificial colors", "duck, beet powder, paprika", []),
        ("no artificial colors", "duck, Red 40", [("proven", "Red 40")]),
        ("no artificial flavors", "duck, natural flavor", []),
        ("no meat meals", "duck, salmon oil, dried duck", []),
        ("never any corn meal", "duck, corn gluten meal", []),
    ],
)
def test_hostile_pairs(claim: str, ingredients: str, expected: list[tuple[str, str]]) -> None:
    assert against(claim, ingredients) == expected


def test_a_product_name_claims_too() -> None:
    text = "Product name: Grain Free Duck Dinner\nIngredients: duck, barley\n"
    result = lint(Source(text, "name.panel"), Settings(), quick=True)
    found = next(f for f in result.findings if f.rule == RULE)
    assert result.source.slice(found.related[0].span) == "Grain Free"
    assert found.message == "“Grain Free” stands against the list: barley."


@pytest.mark.parametrize(
    ("claim", "listed", "breaks"),
    [
        ("Kaninchen & Pastinake, Trockenfutter getreidefrei", "Kaninchen, Pastinake", False),
        ("Kaninchen, soja- und getreidefrei", "Kaninchen, Sojaschrot", True),
        ("Kaninchen, getreidefrei", "Kaninchen, Weizen", True),
    ],
)
def test_a_compound_says_of_its_own_word_that_it_is_absent(
    claim: str, listed: str, breaks: bool
) -> None:
    text = f"Produktname: {claim}\nAlleinfuttermittel für Hunde\nZusammensetzung: {listed}\n"
    findings = lint(Source(text, "label"), Settings().with_market("eu")).findings
    assert any(finding.rule == "absent-but-declared" for finding in findings) is breaks


def test_a_name_says_of_one_thing_that_it_is_absent() -> None:
    """In a claim a list may follow; in a name the words behind a comma are its others."""
    listed = "Aliment complet pour chiens\nComposition : canard 30 %, pois\n"
    settings = Settings().with_market("eu")
    name = Source(f"Nom : Croquettes sans céréales, chien adulte, canard\n{listed}", "label")
    assert "absent-but-declared" not in {f.rule for f in lint(name, settings).findings}
    words = "Allégations : sans céréales, canard ni sucre."
    claim = Source(f"Nom : Croquettes\n{words}\n{listed}", "label")
    assert "absent-but-declared" in {f.rule for f in lint(claim, settings).findings}
