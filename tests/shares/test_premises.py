"""The premises, their numbers, and what markets let a list leave out."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction

import pytest

from panellint.analysis.context import LabelContext
from panellint.analysis.shares_report import shares
from panellint.catalogue.model import CatalogueEntry, Match
from panellint.core.source import Source, read
from panellint.shares.exact.declaration_bounds import OrderAnswers
from panellint.shares.model import Base
from panellint.shares.premises import DEFAULT, Premise, chosen, in_order, numbers
from panellint.shares.solver.formula_set import Formulas

from .labels import declare, entry, percent

ENGINES = (OrderAnswers, Formulas)


def test_premises_are_chosen_by_name_in_one_order() -> None:
    assert chosen(["tail", "order"]) == (Premise.ORDER, Premise.TAIL)
    assert chosen([]) == ()
    assert in_order([Premise.COMPOSITION, Premise.ORDER]) == (Premise.ORDER, Premise.COMPOSITION)
    with pytest.raises(ValueError, match=r"unknown premise 'ordre'.*choose among order, groups"):
        chosen(["ordre"])
    with pytest.raises(ValueError, match="composition"):
        chosen(["composition"])


def test_the_numbers_are_read_exactly() -> None:
    found = numbers()
    assert 0 < found.kappa < 1
    assert found.kappa.denominator <= 1000
    assert found.ceilings["salt"] == pytest.approx(3.8)
    assert found.near["protein"].around(100) >= found.near["protein"].points


def small(name: str, kind: str, *supplies: str) -> object:
    known = CatalogueEntry(name, (name,), kind, "synthetic", supplies=supplies)

    return entry(name)._replace(match=Match(known, "listed"))


def test_practice_keeps_small_ingredients_small() -> None:
    listed = declare(
        "beef", "rice", small("niacin", "vitamin", "niacin"), small("zinc oxide", "mineral", "zinc")
    )
    plain = Formulas(listed).bounds({(2,): 1}).high
    asked = Formulas(listed, premises=(*DEFAULT, Premise.PRACTICE))
    bounds = asked.bounds({(2,): 1})
    assert plain == pytest.approx(100 / 3)
    assert bounds.high == 0.5
    assert Premise.PRACTICE in bounds.high_proof.rests_on
    assert "by practice niacin" in bounds.high_proof.sentences[0].lower()
    assert asked.bounds({(3,): 1}).high == 0.5, "no more than what stands before it"


@pytest.mark.parametrize("engine", ENGINES)
def test_water_that_need_not_be_listed(engine: type) -> None:
    """Without it the first of two is at least half; with it that holds of the rest alone."""
    listed = declare("chicken", "rice")
    asked = engine(listed, unlisted=["water"])
    assert asked.bounds({(0,): 1}).low == 0
    assert asked.bounds({(0,): 1}, Base.MIX_WITHOUT_WATER).low == 50
    assert asked.bounds({(1,): 1}).high == 50
    assert asked.tree.leaves[-1].name == "water that is not listed"


@pytest.mark.parametrize("engine", ENGINES)
def test_additives_listed_apart_take_little(engine: type) -> None:
    listed = declare(entry("chicken", percent=percent("60")), "rice")
    bounds = engine(listed, unlisted=["additives"]).bounds({(1,): 1})
    assert bounds.high == pytest.approx(40.5)
    assert bounds.low == pytest.approx(39.5 - 5)
    assert Premise.COMPOSITION in bounds.low_proof.rests_on


@pytest.mark.parametrize("engine", ENGINES)
def test_additives_with_a_most_of_their_own_may_be_more(engine: type) -> None:
    listed = declare(entry("chicken", percent=percent("60")), "rice")
    asked = engine(listed, unlisted={"additives": Fraction(17)})
    assert asked.bounds({(1,): 1}).low == pytest.approx(39.5 - 17)
    assert asked.bounds({(2,): 1}).high == pytest.approx(17)


def test_nothing_else_is_unlisted() -> None:
    with pytest.raises(ValueError, match="unlisted sand"):
        OrderAnswers(declare("chicken"), unlisted=["sand"])


def test_order_alone_loads_no_solver() -> None:
    code = (
        "import sys\n"
        "from panellint.shares.exact.declaration_bounds import OrderAnswers\n"
        "from panellint.shares.model import Condition\n"
        "from panellint.ingredients.model import Declaration, Ingredient\n"
        "from panellint.core.source import Span\n"
        "n = Span(0, 0)\n"
        "d = Declaration(tuple(Ingredient(x, n, n, (i,)) for i, x in enumerate('abcde')))\n"
        "assert OrderAnswers(d).judge([Condition({(4,): 1}, 25)]).verdict == 'refuted'\n"
        "print([m for m in ('highspy', 'numpy', 'yaml', 'pydantic') if m in sys.modules])\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_calculated_calorie_line_bounds_carbohydrate_where_asked_for() -> None:
    """At 990 kcal/kg, taken to within 5 %, protein of 10.5 and fat of 5 % leave at most
    (1039.5 - 367.5 - 425) / 35 = 7.06 % of carbohydrate."""
    text = (
        "Form: canned\nIngredients: water, lamb, potatoes, carrots, salt\nCrude protein (min) "
        "10.5%\nCrude fat (min) 5%\nMoisture (max) 78%\nCalorie content (calculated): 990 kcal/kg\n"
    )
    context = LabelContext.of(Source(text, "stew.panel"))
    plain = context.formulas.nutrient("carbohydrate")
    names = (*map(str, context.formulas.premises), "calories")
    asked = context.formulas_under(names).nutrient("carbohydrate")
    assert asked.high <= 7.07
    assert asked.high < plain.high
    assert Premise.CALORIES in asked.high_proof.rests_on
    assert Premise.CALORIES not in context.formulas.premises


def test_a_promise_that_is_no_sum_of_weights_is_said_and_not_taken() -> None:
    context = LabelContext.of(read("corpus/mixed-tray-cat-eu.panel"))
    answer = shares(context, ["order", "name"])
    assert answer["consistent"]
    assert any("is not taken as kept" in note for note in answer["notes"])
