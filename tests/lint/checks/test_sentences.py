"""Sentences of findings as a buyer reads them: the words as printed, numbers and units in order."""

from __future__ import annotations

import pytest

from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings

EU = "Market: eu\nComplete pet food for adult dogs\n"
US = "Market: us\nSpecies: dog\n"


@pytest.mark.parametrize(
    ("label", "rule", "marks", "says"),
    [
        (
            f"{US}Product name: Dog Food with Cranberries\nIngredients: chicken, rice, salt\n",
            "name-not-declared",
            "Cranberries",
            "The name promises “Cranberries”, and the list has nothing of that name.",
        ),
        (
            "Market: eu\nProduct name: Menü mit Lamm\nAlleinfuttermittel für Hunde\n"
            "Zusammensetzung: Huhn 60 %, Reis\n",
            "eu-name-not-declared",
            "Lamm",
            "The name stresses “Lamm”, and no entry of the composition is called that.",
        ),
        (
            f"{EU}Product name: Turkey Dinner\nComposition: turkey broth, turkey, rice\n",
            "eu-emphasis-percentage",
            "turkey",
            "The label stresses “Turkey”, whose percentage by weight is not in the composition.",
        ),
        (
            f"{EU}Composition: chicken 60 %, rice 2 %, carrots 4 %\n",
            "eu-percentages-fall",
            "carrots",
            "“carrots” has 4 %, behind “rice” with 2 %; the list is in descending order by weight.",
        ),
        (
            f"{US}Net Wt 15 lb (7.8 kg)\nIngredients: chicken, rice\n",
            "us-net-figures-agree",
            "7.8 kg",
            "“7.8 kg” is not “15 lb”, which is 6.8 kg.",
        ),
        (
            f"{US}Ingredients: chicken, rice, potasium chloride\n",
            "misspelt-name",
            "potasium chloride",
            "“potasium chloride” is not known; “potassium chloride” is one slip away.",
        ),
    ],
)
def test_what_a_finding_says_and_marks(label: str, rule: str, marks: str, says: str) -> None:
    source = Source(label, "a.panel")
    findings = [one for one in lint(source, Settings()).findings if one.rule == rule]
    assert [(source.slice(one.span), one.message) for one in findings] == [(marks, says)]
