"""The clauses that rules cite: in force, read first-hand where an error rests on them."""

from __future__ import annotations

import re
from datetime import date

import pytest

from panellint.core.findings import Severity
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks import packs
from panellint.rulepacks.data import data
from panellint.rulepacks.model import RuleSource
from panellint.rulepacks.requirements import requirements, state_text
from panellint.rulepacks.settings import Settings, markets

RULES = packs.load()
LAW = [rule for rule in RULES.values() if rule.pack in ("us", "eu", "uk", "ca")]
REPEALED = [row["section"] for row in data("data/repealed")["repealed"]]
STATES = (
    "North Dakota", "Washington", "Ohio", "Kentucky", "Maryland", "Missouri", "Colorado",
    "Pennsylvania", "Michigan",
)  # fmt: skip


def rests_on_what_is_repealed(source: RuleSource) -> bool:
    words = f"{source.document} {source.section}"
    past = source.until != "" and source.until <= date.today().isoformat()
    return past or any(section in words for section in REPEALED)


@pytest.mark.parametrize("rule", LAW, ids=lambda rule: rule.id)
def test_no_rule_rests_on_a_repealed_section(rule) -> None:
    assert not rests_on_what_is_repealed(rule.source)


def test_no_requirement_rests_on_a_repealed_section() -> None:
    asked = [one for market in markets() for one in requirements(market)]
    assert [o.id for o in asked if o.source and rests_on_what_is_repealed(o.source)] == []
    clauses = [c.source for name in STATES for c in state_text(name).clauses.values()]
    assert clauses
    assert not any(map(rests_on_what_is_repealed, clauses))


def test_a_repealed_section_would_be_seen() -> None:
    assert rests_on_what_is_repealed(RuleSource("WAC", "16-252-061(2)(b)"))
    assert rests_on_what_is_repealed(RuleSource("An act", "1", until="2018-11-24"))
    assert not rests_on_what_is_repealed(RuleSource("An act", "1", until="9999-01-01"))


@pytest.mark.parametrize("rule", LAW, ids=lambda rule: rule.id)
def test_what_was_not_read_first_hand_is_no_error(rule) -> None:
    if not rule.source.seen and not rule.source.practice:
        assert Severity.ERROR not in rule.severity.values()
        assert "not seen first-hand" in str(rule.source)


@pytest.mark.parametrize("rule", RULES.values(), ids=lambda rule: rule.id)
def test_no_error_rests_on_a_clause_that_is_not_confirmed(rule) -> None:
    words = f"{rule.source.document} {rule.source.section} {rule.source.edition}"
    if not rule.source.confirmed:
        assert Severity.ERROR not in rule.severity.values()
        assert "the text in force was not read" in str(rule.source)
    elif Severity.ERROR in rule.severity.values():
        assert not re.search(r"as (?:it is )?proposed|before 2018|older text|not read", words)


def test_lines_of_a_box_that_was_not_read_are_a_warning_that_says_so() -> None:
    text = (
        "Product name: Duck Recipe for Dogs\nIngredients: duck, millet\n"
        "Guaranteed analysis: crude protein (min) 26%, crude fat (min) 14%, moisture (max) 8%\n"
    )
    for edition, severity in (("legacy", "error"), ("modernised", "warning")):
        settings = Settings().with_market("us", edition)
        findings = lint(Source(text, "duck"), settings, quick=True).findings
        (missing,) = (f for f in findings if f.rule == "guarantee-missing")
        assert str(missing.severity) == severity
        assert ("lower lines of the box were not read" in missing.message) == (
            edition == "modernised"
        )


UNREAD_IN_KENTUCKY = ("3:012", "3:022", "3:028", "3:032", "3:039", "3:042")


def test_a_states_clause_that_is_not_confirmed_says_so() -> None:
    clauses = state_text("Kentucky").clauses
    for name, clause in clauses.items():
        unread = clause.source.section.startswith(UNREAD_IN_KENTUCKY)
        assert ("the text in force was not read" in str(clause.source)) == unread, name
    assert "the text in force was not read" not in str(clauses["ingredient-order"].source)


def test_a_clause_says_from_when_and_until_when_it_holds() -> None:
    source = RuleSource("WAC", "16-252-061", seen=True, since="2016-11-23", until="2018-11-24")
    assert str(source) == "WAC, 16-252-061, in force from 2016-11-23, in force to 2018-11-24"
    assert "in force from 2024-07-01" in str(RULES["name-quarter"].source)


@pytest.mark.parametrize("name", STATES)
def test_a_state_names_what_was_read_and_what_was_not(name: str) -> None:
    text = state_text(name)
    assert text.adopted
    assert text.unknown
    assert set(text.clauses) <= {one.id for one in requirements("us")}


@pytest.mark.parametrize(
    ("name", "cited", "not_cited"),
    [("name-with", "7-17-03-01(3)(d)", "(3)(c);"), ("moisture-ceiling", "R 285.635.3(d)", "3:027")],
)
def test_a_rule_cites_the_clause_that_has_it(name: str, cited: str, not_cited: str) -> None:
    """The clause on “with” is (3)(d), and the Kentucky text in force has none on moisture."""
    source = str(packs.load()[name].source)
    assert cited in source
    assert not_cited not in source
