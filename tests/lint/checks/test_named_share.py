"""Percentages of the name against the regulation's own figures.

North Dakota Administrative Code 7-17-03-01 (in force 1 July 2024, enacts the AAFCO model
regulation): 95 % without and 70 % with processing water; 25 % and 10 %; 3 % for each of several
and after "with". What follows from the order alone is arithmetic: the k-th entry of a descending
list is at most 100/k % of it.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Finding, State
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings

OTHERS = [
    "rice", "oats", "barley", "millet", "sorghum", "peas", "carrots", "apples", "pumpkin", "quinoa",
    "lentils", "chickpeas", "spinach", "kale", "cranberries", "pears", "celery", "parsley",
]  # fmt: skip


def found(text: str, rule: str, edition: str = "legacy", quick: bool = False) -> list[Finding]:
    """Returns what is refuted; that an open name leaves little room for the rest stands apart."""
    chosen = Settings().with_market("us", edition)
    result = lint(Source(text, "label.panel"), chosen, quick=quick)
    refuted = {Certainty.PROVEN, Certainty.POSSIBLE}
    return [one for one in result.findings if one.rule == rule and one.certainty in refuted]


def label(name: str, *ingredients: str) -> str:
    return f"Product name: {name}\nIngredients: {', '.join(ingredients)}\n"


@pytest.mark.parametrize(
    ("name", "rule", "last"),
    [
        # 95 %: only the first place can hold it; 25 %: the fourth at most, all four equal;
        # 3 %: the 33rd, out of reach of this list.
        ("Duck Dog Food", "name-ninety-five", 1),
        ("Duck Dinner", "name-quarter", 4),
        ("Chicken Dinner with Duck", "name-with", 33),
    ],
)
@pytest.mark.parametrize("quick", [True, False])
def test_the_place_down_to_which_a_share_can_be_held(
    name: str, rule: str, last: int, quick: bool
) -> None:
    for place in range(1, 12):
        before = OTHERS[: place - 1]
        text = label(name, *before, "duck", *OTHERS[place - 1 : 12])
        assert bool(found(text, rule, quick=quick)) == (place > last), place


@pytest.mark.parametrize(
    ("share", "fails"), [("2.4", True), ("2.99", True), ("3", False), ("2.9", True)]
)
def test_a_printed_share_counts_to_half_a_unit_of_its_last_digit(share: str, fails: bool) -> None:
    text = label("Chicken Dinner with Kale", "chicken", "rice", f"kale ({share}%)")
    assert bool(found(text, "name-with")) == fails


def test_processing_water_is_left_out_of_the_base_and_broth_may_be() -> None:
    wet = label("Duck Dinner", "water", "rice", "oats", "barley", "duck")
    assert not found(wet, "name-quarter")  # a fourth without the water
    (finding,) = found(
        label("Duck Dinner", "water", "rice", "oats", "barley", "millet", "duck"), "name-quarter"
    )
    assert finding.certainty is Certainty.PROVEN
    assert "20 % of the recipe without processing water" in finding.message
    (finding,) = found(
        label("Duck Dinner", "chicken broth", "rice", "oats", "barley", "duck"), "name-quarter"
    )
    assert finding.certainty is Certainty.POSSIBLE


def test_water_first_leaves_no_seventy_per_cent() -> None:
    (finding,) = found(label("Chicken Cat Food", "water", "chicken"), "name-ninety-five")
    assert "at most 50 %" in finding.message
    assert "needs 70 %" in finding.message
    assert finding.rests_on == ("order",)
    assert any("1/2" in sentence for sentence in finding.proof)


def test_only_the_modernised_text_counts_plants_at_ninety_five() -> None:
    # "Lamb and Rice Dog Food" needs 95 % lamb in the legacy reading (conference proceedings of
    # 2008, FDA guidance as restated), lamb and rice together in the modernised text.
    text = label("Lamb & Rice Dog Food", "lamb (60%)", "rice (36%)", "salt")
    assert found(text, "name-ninety-five", "legacy")
    assert not found(text, "name-ninety-five", "modernised")


def test_names_without_an_animal_are_left_alone_in_the_legacy_edition() -> None:
    text = label("Pumpkin Dog Food", "oats", "pumpkin")
    assert not found(text, "name-ninety-five", "legacy")
    assert found(text, "name-ninety-five", "modernised")


def test_mended_brackets_prove_nothing() -> None:
    text = label("Duck Recipe", *OTHERS[:8], "minerals (zinc oxide, salt", "duck")
    assert not found(text, "name-quarter")


def test_one_that_is_not_declared_is_no_matter_of_shares() -> None:
    text = label("Duck & Salmon Recipe", *OTHERS[:9], "duck")
    assert not found(text, "name-quarter")
    assert found(text, "name-not-declared")


@st.composite
def honest(draw: st.DrawFn) -> tuple[str, dict[str, Fraction]]:
    """A list in descending order with the weights behind it."""
    names = draw(st.permutations(["duck", "water", *OTHERS]))[: draw(st.integers(2, 14))]
    parts = sorted((draw(st.integers(1, 1000)) for _ in names), reverse=True)
    return ", ".join(names), dict(zip(names, (Fraction(part) for part in parts), strict=True))


@settings(max_examples=60)
@given(honest())
def test_an_honest_name_is_never_refuted(made: tuple[str, dict[str, Fraction]]) -> None:
    text, weights = made
    duck, water, whole = weights.get("duck"), weights.get("water", 0), sum(weights.values())
    if duck is None:
        return
    dry, wet = duck / (whole - water) if whole > water else Fraction(0), duck / whole
    for name, rule, kept in (
        ("Duck Dog Food", "name-ninety-five", dry * 100 >= 95 and wet * 100 >= 70),
        ("Duck Dinner", "name-quarter", dry * 100 >= 25 and wet * 100 >= 10),
        ("Dinner with Duck", "name-with", dry * 100 >= 3),
    ):
        if kept:
            assert not found(f"Product name: {name}\nIngredients: {text}\n", rule, quick=True)


def test_the_solver_is_not_asked_where_a_formula_keeps_the_promise() -> None:
    text = label("Duck Dinner", "duck", "rice", "oats", "salt") + (
        "Form: kibble\nGuaranteed analysis: crude protein (min) 22%, crude fat (min) 10%,"
        " crude fiber (max) 5%, moisture (max) 10%\n"
    )
    context = LabelContext.of(Source(text, "label.panel"))
    rule = context.settings.rules["name-quarter"]
    from panellint.lint import engine as linting

    assert [one.state for one in linting.observations(rule, context)] == [State.MET]
    assert "formulas" not in vars(context)
