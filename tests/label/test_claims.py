"""The register of claims: the same keys in each language, rules that exist, claims by class."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from panellint.core.source import Source
from panellint.core.wording import Wording
from panellint.label.claims import claims_of, languages
from panellint.label.reader import read_label
from panellint.lint.engine import lint
from panellint.rulepacks import packs
from panellint.rulepacks.data import data
from panellint.rulepacks.settings import Settings

CLASSES = [one["class"] for one in data("words/claims")["classes"]]


def shape(words: Mapping[str, Any]) -> dict[str, Any]:
    return {key: sorted(value) if isinstance(value, dict) else None for key, value in words.items()}


def classes(text: str) -> list[tuple[str, str]]:
    return [(one.kind, one.words) for one in claims_of(read_label(Source(text, "-")))]


def test_each_language_has_the_same_keys() -> None:
    shapes = {code: shape(words) for code, words in languages().items()}
    assert len(shapes) == 12
    assert all(one == shapes["en"] for one in shapes.values())


QUALITIES = {
    name: words
    for name, words in data("words/expressions")["expressions"].items()
    if isinstance(words, dict)
}


@pytest.mark.parametrize("name", sorted(QUALITIES))
def test_words_of_a_quality_stand_in_each_of_the_six_languages(name: str) -> None:
    words = QUALITIES[name]
    assert list(words) == ["en", "fr", "de", "es", "it", "nl"]
    assert all(sorted(own) == sorted(words["en"]) or name == "light" for own in words.values())
    for own in words.values():
        Wording([own]).compiled()


@pytest.mark.parametrize(
    ("name", "organic", "plain"),
    [
        ("Bio-Huhn mit Reis", "Bio-Huhn 70 %, Bio-Reis 30 %", "Huhn 70 %, Reis 30 %"),
        ("Poulet bio", "poulet bio 100 %", "poulet 100 %"),
        ("Pollo ecológico", "pollo ecológico 100 %", "pollo 100 %"),
        ("Pollo biologico", "pollo biologico 100 %", "pollo 100 %"),
        ("Biologische kip", "biologische kip 100 %", "kip 100 %"),
    ],
)
def test_organic_is_read_in_each_language(name: str, organic: str, plain: str) -> None:
    rules = Settings().with_market("eu")

    def is_warned_of(listed: str) -> bool:
        text = f"{name}\nAlleinfuttermittel für Hunde\nZusammensetzung: {listed}\n"
        return any(one.rule == "eu-organic-name" for one in lint(Source(text), rules).findings)

    assert is_warned_of(plain)
    assert not is_warned_of(organic)


@pytest.mark.parametrize("code", sorted(languages()))
def test_each_language_has_words_for_each_class(code: str) -> None:
    words = languages()[code]
    assert all(words["claims"].values())
    assert {*words["claims"], "disease", "absence"} == set(CLASSES)
    for given in (
        *words["claims"].values(),
        *words["phrases"].values(),
        *words["disease"].values(),
    ):
        Wording(given).compiled()


def test_each_class_leads_to_rules_that_there_are() -> None:
    named = {rule for one in data("words/claims")["classes"] for rule in one["rules"]}
    assert named <= set(packs.load())


@pytest.mark.parametrize(
    ("claims", "kind", "words"),
    [
        ("Helps prevent arthritis", "disease", "Helps prevent arthritis"),
        ("Supports healthy joints", "structure", "Supports healthy joints"),
        ("Fördert die Verdauung", "structure", "Fördert die Verdauung"),
        ("riche en oméga-3", "nutrient", "riche en"),
        ("30 % more protein than before", "comparison", "30 % more protein than"),
        ("senza cereali", "absence", "senza cereali"),
        ("hecho en España", "origin", "hecho en España"),
        ("Veterinarian recommended", "endorsement", "Veterinarian recommended"),
        ("FDA approved", "approval", "FDA approved"),
        ("geschikt voor menselijke consumptie", "quality", "geschikt voor menselijke consumptie"),
        ("biologico", "organic", "biologico"),
        ("for sensitive stomachs", "suitability", "for sensitive stomachs"),
        ("hausgemacht", "image", "hausgemacht"),
        ("tails wag at dinner time", "", "tails wag at dinner time"),
    ],
)
def test_a_claim_is_classed_by_its_words(claims: str, kind: str, words: str) -> None:
    text = f"Product name: Supper for Dogs\nClaims: {claims}\nIngredients: duck, oats\n"
    assert (kind, words) in classes(text)


@pytest.mark.parametrize("claims", ["Supports healthy joints", "Fördert die Verdauung"])
def test_what_the_food_does_in_the_body_is_of_one_class(claims: str) -> None:
    text = f"Product name: Supper for Dogs\nClaims: {claims}\nIngredients: duck, oats\n"
    assert {kind for kind, _ in classes(text)} == {"structure"}


def test_what_is_of_no_class_is_listed_beside_what_is() -> None:
    text = "Product name: Supper\nClaims: grain free, wags tails\nIngredients: duck, oats\n"
    assert classes(text) == [("absence", "grain free"), ("", "wags tails")]


@pytest.mark.parametrize(
    ("rule", "claim", "heading", "declared"),
    [
        ("single-protein-and-another", "Monoprotein", "Zusammensetzung", "Ente, Huhn"),
        ("single-protein-and-another", "monoproteico", "Composizione", "anatra, pollo"),
        ("single-ingredient-and-another", "un seul ingrédient", "Ingrédients", "canard, riz"),
        ("human-grade-claim", "calidad humana", "Ingredientes", "pato, arroz"),
    ],
)
def test_a_claim_is_held_against_the_list_in_its_own_language(
    rule: str, claim: str, heading: str, declared: str
) -> None:
    text = f"Larder\n{claim}\n{heading}: {declared}\n"
    found = lint(Source(text), Settings().with_market("eu")).findings
    assert rule in [one.rule for one in found]
