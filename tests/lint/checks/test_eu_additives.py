"""Additives by number, by name and by amount: EU register and legal maxima.

The maxima are those of the authorisations (FEDIAF Nutritional Guidelines, September 2025, tables
III-3a and III-4a); that cobalt is for other animals: Implementing Regulation (EU) No 601/2013; that
a complementary food holds at most 100 times the maximum: Regulation (EC) No 767/2009, Art. 8(1).
"""

from __future__ import annotations

import re

import pytest

from panellint.analysis.additive_register import named_in, register
from panellint.core.findings import Certainty, Finding, Severity
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.data import data


def found(additives: str, kind: str = "Complete", language: str = "en") -> list[Finding]:
    text = (
        "Product name: Lamb Menu for Dogs\nMarket: EU\n"
        f"{kind} pet food for adult dogs\nComposition: lamb 60 %, rice\n"
        "Analytical constituents: protein 26 %, fat content 14 %, crude fibre 2 %, crude ash 7 %, "
        f"moisture 12 %\nAdditives (per kg): {additives}\n"
    )
    findings = lint(Source(text, "additives.panel"), quick=True).findings
    return [one for one in findings if "additive" in one.rule or "selenium" in one.rule]


def of(additives: str, rule: str, kind: str = "Complete") -> list[Finding]:
    return [one for one in found(additives, kind) if one.rule == rule]


def test_each_number_stands_once_and_has_the_shape_of_the_register() -> None:
    rows = [row for group in data("data/eu-additives")["groups"] for row in group["additives"]]
    numbers = [str(row["number"]).lower() for row in rows]
    assert len(numbers) == len(set(numbers)) >= 200
    shape = re.compile(r"\d[a-z]\d{3,5}[a-z]*(?:\([iv]+\))?|e\d{3}[a-z]?")
    assert [number for number in numbers if not shape.fullmatch(number)] == []


def test_most_rows_were_read_in_their_regulations_and_withdrawn_ones_have_their_date() -> None:
    groups = data("data/eu-additives")["groups"]
    read = sum(len(group["additives"]) for group in groups if group["source"]["seen"])
    assert read >= 130
    withdrawn = [group for group in groups if "withdrawn" in group]
    assert sum(len(group["additives"]) for group in withdrawn) >= 50
    assert all(group["status"] == "withdrawn" and group["note"] for group in withdrawn)


@pytest.mark.parametrize("additive", ["E 311", "E405", "E 218", "E418", "E 325", "2b920", "3b301"])
def test_an_additive_that_is_withdrawn_or_for_other_animals_is_found(additive: str) -> None:
    (finding,) = of(f"{additive} 40 mg", "eu-additive-unauthorised")
    assert finding.severity is Severity.ERROR


def test_what_the_union_withdrew_in_2021_is_not_held_against_a_british_label() -> None:
    text = (
        "Product name: Lamb Menu for Dogs\nMarket: UK\nComplete pet food for adult dogs\n"
        "Composition: lamb 60 %, rice\nAdditives (per kg): Preservatives: E325 40 mg, E311 40 mg\n"
    )
    findings = lint(Source(text, "uk.panel"), quick=True).findings
    marked = [one for one in findings if one.rule == "eu-additive-unauthorised"]
    assert [text[one.span.start : one.span.end] for one in marked] == ["E311 40 mg"]


def test_the_names_of_the_register_speak_of_what_they_are_a_source_of() -> None:
    known = data("data/eu-additives")["words"]
    for row in register().values():
        spoken = named_in(row.name)
        if row.of in known and spoken:
            assert row.of in spoken, row.number


@pytest.mark.parametrize("row", [row for row in register().values() if row.of in ("zinc", "iron")])
def test_every_compound_of_an_element_counts_towards_its_maximum(row) -> None:
    most = {"zinc": 200, "iron": 600}[row.of]
    assert not of(f"{row.number} {most} mg", "eu-additive-maximum")
    (finding,) = of(f"{row.number} {most + 1} mg", "eu-additive-maximum")
    assert (finding.severity, finding.certainty) == (Severity.WARNING, Certainty.POSSIBLE)


@pytest.mark.parametrize(
    ("additives", "severity"),
    [
        ("Zinc 201 mg", Severity.ERROR),
        ("E6 (Zn) 250 mg", Severity.ERROR),
        ("Zinc (3b605) 120 mg, Zinc (3b612) 90 mg", Severity.ERROR),
        ("Zink 250 mg", Severity.ERROR),
        ("Vitamin D3 3.000 I.E., Kupfer 10 mg", Severity.ERROR),
        ("Vitamina D3 3.000 U.I.", Severity.ERROR),
        ("3a671: 3000 IU", Severity.WARNING),
        ("zinc sulphate monohydrate 560 mg", Severity.ERROR),
        ("zinc sulphate monohydrate 550 mg (zinc 190 mg)", None),
        ("Zinc 100 mg, Zinc (3b612) 100 mg", None),
    ],
)
def test_amounts_are_held_against_the_maximum(additives: str, severity: Severity | None) -> None:
    findings = of(additives, "eu-additive-maximum")
    assert [one.severity for one in findings] == ([severity] if severity else [])


def test_a_complementary_food_holds_at_most_a_hundred_times_as_much() -> None:
    rule = "eu-additive-maximum"
    assert not of("Zinc 20000 mg, Vitamin D3 200000 IU", rule, "Complementary")
    assert len(of("Zinc 25000 mg, Vitamin D3 400000 IU", rule, "Complementary")) == 2


@pytest.mark.parametrize(
    ("additives", "count"),
    [
        ("Zinc (3b405) 10 mg, Copper (3b605) 10 mg", 2),
        ("Vitamin E (3a671) 100 mg", 1),
        ("Taurin (3a370) 1000 mg, Biotin (3a880) 0.2 mg, Zinkoxid (3b603) 20 mg", 0),
        ("Zinc chelate of amino acids hydrate (3b606) 20 mg", 0),
        ("zinc chelate of methionine (3b611) 20 mg, 3c301 DL-methionine 500 mg", 0),
        ("iodine (3b999) 1 mg", 0),
    ],
)
def test_a_number_and_a_name_that_disagree_are_found(additives: str, count: int) -> None:
    assert len(of(additives, "eu-additive-number")) == count


@pytest.mark.parametrize("additives", ["cobalt 0.5 mg", "3b304 1 mg", "Kobalt (3b302) 1 mg"])
def test_cobalt_is_for_other_animals(additives: str) -> None:
    (finding,) = of(additives, "eu-additive-unauthorised")
    assert finding.severity is Severity.ERROR
    assert "ruminants" in finding.message


def test_the_figure_of_a_vitamin_is_no_amount() -> None:
    marked = of("Vitamin D3, Zinc, Taurine", "eu-additive-amount")
    assert len(marked) == 2


def test_organic_selenium_has_a_limit_of_its_own() -> None:
    assert not of("Selenium (3b810) 0.2 mg, Selenium (3b801) 0.2 mg", "eu-organic-selenium")
    assert of("Selenium (3b810) 0.15 mg, Selenium (3b815) 0.15 mg", "eu-organic-selenium")


@pytest.mark.parametrize(
    ("additives", "over"),
    [
        ("cupric sulphate pentahydrate 49 mg", False),  # 12.5 mg of copper; 25 are the most
        ("cupric sulphate pentahydrate 120 mg", True),
        ("copper (cupric sulphate pentahydrate) 49 mg", True),  # of the element
        ("zinc sulphate monohydrate 330 mg", False),
        ("sodium selenite 0.59 mg", False),
        ("sodium selenite 1.4 mg", True),
    ],
)
def test_an_amount_of_a_compound_is_not_one_of_its_element(additives: str, over: bool) -> None:
    """The shares of the elements are those of the standard atomic weights."""
    assert bool(of(additives, "eu-additive-maximum")) is over
