"""Faults of the text: marked at the place, and settled by the remedy on offer."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panellint.core.findings import Finding, Remedy
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.data import data
from panellint.rulepacks.settings import Settings


def findings(text: str) -> list[Finding]:
    return list(lint(Source(text, "label.panel"), Settings(), quick=True).findings)


def of(text: str, rule: str) -> list[Finding]:
    return [one for one in findings(text) if one.rule == rule]


def applied(text: str, remedy: Remedy) -> str:
    for edit in sorted(remedy.edits, key=lambda edit: edit.span, reverse=True):
        text = text[: edit.span.start] + edit.text + text[edit.span.end :]
    return text


@pytest.mark.parametrize(
    ("ingredients", "rule", "marked", "mended"),
    [
        ("duck, salt), rice", "bracket-surplus", ")", "duck, salt, rice"),
        ("duck, mix (oats, salt], rice", "bracket-mismatched", "]", "duck, mix (oats, salt), rice"),
        ("duck, , rice", "entry-empty", ", ,", "duck, rice"),
        ("½ duck, oats pearled barley", "comma-missing", "oats pearled barley",
         "½ duck, oats, pearled barley"),
        ("duck, rice†", "mark-unexplained", "†", "duck, rice"),
    ],
)  # fmt: skip
def test_a_remedy_settles_its_fault(ingredients: str, rule: str, marked: str, mended: str) -> None:
    text = f"Ingredients: {ingredients}"
    (finding,) = of(text, rule)
    assert Source(text).slice(finding.span) == marked
    after = applied(text, finding.remedies[0])
    assert after == f"Ingredients: {mended}"
    assert of(after, rule) == []


def test_an_unknown_name_offers_what_is_like_it_and_takes_nothing_for_it() -> None:
    (finding,) = of("Ingredients: duck, potassium chlorinate, salt", "ingredient-unknown")
    assert finding.remedies
    assert of("Ingredients: duck, zorblat", "ingredient-unknown")[0].remedies == ()


def test_a_misspelt_name_is_told_once() -> None:
    rules = [one.rule for one in findings("Ingredients: duck, potasium chloride, salt")]
    assert "misspelt-name" in rules
    assert "ingredient-unknown" not in rules


def test_a_label_without_ingredients_says_so() -> None:
    assert of("Product name: Duck Dinner\nNet weight: 12 oz\n", "declaration-missing")
    assert not of("", "declaration-missing")


def test_rising_percentages_are_told_where_they_rise() -> None:
    text = "Ingredients: beef (30%), heart (28%), bison (32%), oats, kale (31%)"
    assert [Source(text).slice(one.span) for one in of(text, "percentages-fall")] == [
        "bison",
        "kale",
    ]
    assert not of("Ingredients: beef (30%), contains 5% or less of: salt (1%), kale (3%)",
                  "percentages-fall")  # fmt: skip


@settings(max_examples=60)
@given(st.text(alphabet="duck rice,;()[]{}%*†.:0123456789\n", max_size=120))
def test_no_text_makes_a_check_fail(text: str) -> None:
    source = Source(text, "label.panel")
    for finding in lint(source, Settings(), quick=True).findings:
        assert 0 <= finding.span.start <= finding.span.end <= len(text)
        for remedy in finding.remedies:
            assert all(0 <= e.span.start <= e.span.end <= len(text) for e in remedy.edits)


def test_of_very_many_unknown_names_the_first_are_compared() -> None:
    """A list of hundreds of unknown names is in no language that is read: each is found unknown,
    and the catalogue is searched for near names only so often."""
    most = data("words/near")["most-names"]
    names = [f"zq{chr(97 + n // 26)}{chr(97 + n % 26)}xv" for n in range(most)]
    text = f"Ingredients: duck, {', duck, rice, '.join(names)}, chickken, salmonn."
    unknown = of(text, "ingredient-unknown")
    assert len(unknown) == most + 2
    assert [bool(one.remedies) for one in unknown][-2:] == [False, False]
    assert len(of("Ingredients: duck, chickken, salmonn.", "misspelt-name")) == 2
