"""Words that deny a claim, or speak of another food, are no claim of this one."""

from __future__ import annotations

import pytest

from panellint.core.findings import Severity
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings

LABEL = """Quillbrook Larder Turkey Dinner
Complete dry pet food for adult dogs
{}
Composition: dried turkey 28%, rice 26%, barley, turkey fat, beet pulp, minerals.
"""
RULES = {"eu-disease-claim", "eu-dietetic-implied", "absent-but-declared"}


def _found(sentence: str) -> set[str]:
    source = Source(LABEL.format(sentence), "-")
    findings = lint(source, Settings().with_market("uk"), quick=True).findings
    return {one.rule for one in findings if one.severity is not Severity.HINT} & RULES


@pytest.mark.parametrize(
    "sentence",
    [
        "This food does not treat, prevent or cure any disease.",
        "It is not meant to cure arthritis.",
        "Not suitable for dogs with pancreatitis.",
        "Ask your vet if your dog has kidney trouble.",
        "Unlike diets for kidney disease, this is an everyday food.",
        "Looking for grain free? Try our Trout Dinner.",
        "With rice, so it is not grain free.",
        "Ce produit ne guérit aucune maladie.",
        "Dieses Futter ist nicht getreidefrei.",
        "Our cat range is grain free.",
        "If your dog needs grain free food, see our Salmon Supper.",
        "Our treats are grain free; this one is not.",
        "The Salmon Supper is grain free.",
    ],
)
def test_a_denied_claim_is_none(sentence: str) -> None:
    assert not _found(sentence)


@pytest.mark.parametrize(
    ("sentence", "rule"),
    [
        ("It cures arthritis, not hunger.", "eu-disease-claim"),
        ("Suitable for dogs with pancreatitis: it prevents kidney stones.", "eu-disease-claim"),
        ("Not organic, but grain free.", "absent-but-declared"),
        ("Our dog range is grain free.", "absent-but-declared"),
        ("Our turkey dinners are grain free.", "absent-but-declared"),
        ("The recipe is grain free.", "absent-but-declared"),
        ("It is not only tasty: it is grain free.", "absent-but-declared"),
        ("Dieses Futter ist getreidefrei.", "absent-but-declared"),
    ],
)
def test_a_claim_beside_a_denial_is_one(sentence: str, rule: str) -> None:
    assert rule in _found(sentence)
