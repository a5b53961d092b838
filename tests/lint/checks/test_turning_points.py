"""Where a check turns: the figure on the line, the second case behind one that is in order, the
part of a message that says which. Each was a change of the code that no test had noticed."""

from __future__ import annotations

import pytest

from panellint.core.findings import Finding
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.lint.fix import corrected
from panellint.rulepacks.settings import Settings
from panellint.shares.model import Bounds, Condition, Verdict, verdict_of

FORMULATED = (
    "is formulated to meet the nutritional levels established by the AAFCO Dog Food Nutrient"
    " Profiles for {stage}."
)
TRIAL = (
    "Animal feeding tests using AAFCO procedures substantiate that {name} provides complete and"
    " balanced nutrition for {stage}."
)


def found(check: str, text: str, market: str = "us") -> list[Finding]:
    """The findings of every rule with a check."""
    settings = Settings().with_market(market)
    findings = lint(Source(text, "turn.panel"), settings).findings
    return [one for one in findings if settings.rules[one.rule].check == check]


def marked(text: str, findings: list[Finding]) -> list[str]:
    return [text[slice(*one.span)] for one in findings]


@pytest.mark.parametrize(
    ("at_most", "low", "high", "verdict"),
    [
        (False, 25, 50, Verdict.IMPLIED),
        (False, 24, 50, Verdict.OPEN),
        (False, 10, 25, Verdict.OPEN),
        (False, 10, 24, Verdict.REFUTED),
        (True, 10, 25, Verdict.IMPLIED),
        (True, 10, 26, Verdict.OPEN),
        (True, 25, 50, Verdict.OPEN),
        (True, 26, 50, Verdict.REFUTED),
    ],
)
def test_a_share_on_the_line_keeps_the_promise(at_most, low, high, verdict) -> None:
    condition = Condition({(0,): 1}, 25, at_most=at_most)
    assert verdict_of(condition, Bounds(low, high)) is verdict


@pytest.mark.parametrize(("least", "contradiction"), [("26", False), ("26.1", True)])
def test_a_minimum_may_be_the_maximum(least: str, contradiction: bool) -> None:
    text = (
        "Ingredients: duck, rice\nGuaranteed analysis\n"
        f"Crude fat (min.) {least}%\nCrude fat (max.) 26%\n"
    )
    assert bool(found("guarantee-figures", text)) is contradiction


def test_a_statement_of_feeding_tests_is_not_held_to_the_profile() -> None:
    text = (
        "Product name: Supper for Dogs\nForm: kibble\n"
        "Ingredients: white rice, sunflower oil, salt\n"
        "Guaranteed analysis: crude protein (min.) 5%, crude fat (min.) 3%, moisture (max.) 10%\n"
    )
    stage = "maintenance"
    claimed = f"{text}Nutritional adequacy: Supper {FORMULATED.format(stage=stage)}\n"
    assert found("profile-reach", claimed)
    tried = f"{text}Nutritional adequacy: {TRIAL.format(name='Supper', stage=stage)}\n"
    assert not found("profile-reach", tried)


def test_the_animal_that_the_claim_may_be_of_is_named() -> None:
    text = "Claims: single animal protein\nIngredients: duck, salmon, potatoes\n"
    [finding] = found("single-protein-claim", text)
    assert marked(text, [finding]) == ["salmon"]
    assert "duck" in finding.message.lower()


@pytest.mark.parametrize(
    ("text", "mended"),
    [
        ("Ingredients: duck, rice (brown\n", "Ingredients: duck, rice (brown)\n"),
        ("Ingredients: duck, rice (brown.\n", "Ingredients: duck, rice (brown).\n"),
        ("Ingredients: duck, rice (brown, white\n", None),
        ("Ingredients: duck, rice (\n", None),
        (
            "Ingredients: duck (lean\nFeeding directions: feed daily, with water\n",
            "Ingredients: duck (lean)\nFeeding directions: feed daily, with water\n",
        ),
    ],
)
def test_a_bracket_is_closed_where_there_is_one_place_for_it(text: str, mended: str | None) -> None:
    settings = Settings()
    assert corrected(Source(text, "x"), settings, lambda rule: True)[0] == (mended or text)


def test_a_second_claim_is_judged_behind_one_in_order() -> None:
    text = "Claims: made with real duck, made with real salmon\nIngredients: duck, chicken, rice\n"
    assert [f.certainty for f in found("made-with-claim", text)] == ["proven"]


def test_a_second_statement_is_judged_behind_one_that_is_not_due() -> None:
    text = (
        "Product name: Supper for Dogs\nIngredients: duck, rice\n"
        "Nutritional adequacy: Supper is intended for intermittent or supplemental feeding only.\n"
        f"Nutritional adequacy: Supper {FORMULATED.format(stage='maintenance')}\n"
        f"Nutritional adequacy: Supper {FORMULATED.format(stage='growth')}\n"
    )
    assert len(found("adequacy-large-size", text)) == 1


def test_what_is_not_natural_is_named_three_at_most() -> None:
    made = "ethoxyquin, BHA, BHT, red 40, yellow 5"
    text = f"Product name: Supper\nClaims: all natural\nIngredients: duck, {made}\n"
    [finding] = [one for one in found("natural-claim", text) if one.certainty == "proven"]
    named = [word for word in made.lower().split(", ") if word in finding.message.lower()]
    assert len(named) == 3


def test_pounds_and_ounces_are_one_quantity() -> None:
    head = "Product name: Supper\nIngredients: duck, rice\nNet weight: "
    assert not found("net-quantity-agreement", f"{head}1 lb 4 oz (567 g)\n")
    assert not found(
        "net-quantity-agreement", f"{head}2 lb (907 g), with a sachet of 4 oz (113 g)\n"
    )
    [finding] = found("net-quantity-agreement", f"{head}1 lb 4 oz (454 g)\n")
    assert "567" in finding.message


def test_a_second_family_is_seen_behind_one_that_stays_small() -> None:
    text = (
        "Ingredients: chicken, peas, pea protein, pea fiber, oats, oat flour, salt\n"
        "Guaranteed analysis: crude protein (min.) 20%\n"
    )
    assert any(one.message for one in found("split-family", text))


def test_what_is_stressed_twice_is_asked_for_once() -> None:
    text = (
        "Product name: Dinner with Duck for Dogs\nClaims: with duck\n"
        "Complete pet food for adult dogs\nComposition: chicken, duck, rice\n"
    )
    once = found("emphasis-percentage", text, "eu")
    assert marked(text, once) == ["duck"]
