"""Disease claims and claims of absence, in each language that is read."""

from __future__ import annotations

import pytest

from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings


def _marked(rule: str, text: str, market: str = "eu") -> list[str]:
    found = lint(Source(text), Settings().with_market(market)).findings
    return [text[one.span.start : one.span.end] for one in found if one.rule == rule]


@pytest.mark.parametrize(
    "claim",
    [
        "soothes eczema",
        "Protects the bladder against infections",
        "bekämpft Flöhe",
        "Lutte contre les puces",
        "riduce il dolore",
        "Alivia los dolores",
        "helpt tegen jeuk",
        "diabetische Katzen",
        "geneest gewrichtspijn",
        "Lindert Gelenkschmerzen",
        "Soulage la raideur",
        "Guarisce",
        "heilen Arthrose",
        "curan la gingivitis",
        "prevengono le infezioni",
        "verlichten jeuk",
    ],
)
def test_a_disease_claim_is_found_wherever_it_stands(claim: str) -> None:
    text = f"Composition: duck 60 %, rice\nAdditives: antioxidants. {claim}. Batch: 3\n"
    assert _marked("eu-disease-claim", text) == [claim]


@pytest.mark.parametrize(
    "words",
    [
        "reduces waste",
        "for dogs with long coats",
        "Leckerli gegen Hunger",
        "cura del pelo",
        "reduce to a half",
    ],
)
def test_words_without_a_disease_are_no_claim(words: str) -> None:
    assert _marked("eu-disease-claim", f"Composition: duck 60 %, rice\nClaims: {words}\n") == []


@pytest.mark.parametrize(
    ("claim", "heading", "declared"),
    [
        ("getreidefrei", "Zusammensetzung", "Ente, Weizen"),
        ("ohne Getreide und Soja", "Zusammensetzung", "Ente, Hafer"),
        ("sans céréales", "Ingrédients", "canard, orge"),
        ("senza cereali", "Composizione", "anatra, orzo"),
        ("sin cereales", "Composición", "pato, avena"),
        ("graanvrij", "Samenstelling", "eend, gerst"),
    ],
)
def test_what_is_said_to_be_absent_is_held_against_the_list(
    claim: str, heading: str, declared: str
) -> None:
    text = f"Larder\n{claim}\n{heading}: {declared}\n"
    assert len(_marked("absent-but-declared", text)) == 1
