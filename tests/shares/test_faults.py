"""Input that cannot be right, and a solver that fails: a clear answer, never a wrong number."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from panellint.core.lp import Solution, Status
from panellint.label.model import Bound
from panellint.shares.exact.declaration_bounds import OrderAnswers
from panellint.shares.model import Base, Condition, Verdict
from panellint.shares.premises import DEFAULT, Premise
from panellint.shares.solver.constraints import Terms
from panellint.shares.solver.formula_set import Formulas
from panellint.shares.solver.problem import Program

from .labels import declare, guarantee, ranges_by_name

ENGINES = (OrderAnswers, Formulas)
FIVE = declare("chicken", "rice", "peas", "beef", "salt")
DRY = ranges_by_name({"chicken": {"protein": (20, 20)}, "rice": {"protein": (8, 8)}})


class TestFaults:
    def test_ranges_that_contradict_each_other(self) -> None:
        table = ranges_by_name({"beef": {"protein": (60, 70), "fat": (50, 60)}})
        asked = Formulas(declare("beef", "rice"), ranges=table, guarantees=[guarantee("fat", "9")])
        assert asked.consistent
        assert "beef" in asked.notes[0]
        assert asked.bounds({(0,): 1}).high == 100

    def test_ranges_that_are_upside_down_or_too_small(self) -> None:
        for table in (
            {"protein": (30, 20)},
            dict.fromkeys(("moisture", "protein", "fat", "fibre", "ash", "carbohydrate"), (0, 1)),
        ):
            asked = Formulas(declare("beef"), ranges=ranges_by_name({"beef": table}))
            assert len(asked.notes) == 1

    @pytest.mark.parametrize("engine", ENGINES)
    def test_nothing_declared(self, engine: type) -> None:
        asked = engine(declare())
        assert asked.consistent
        assert asked.bounds({}).sure is False

    @pytest.mark.parametrize("engine", ENGINES)
    def test_only_water(self, engine: type) -> None:
        asked = engine(declare("water"))
        assert asked.consistent
        bounds = asked.bounds({(0,): 1}, Base.MIX_WITHOUT_WATER)
        assert bounds.low <= 0
        assert bounds.high >= 100

    def test_the_solver_prints_nothing(self, capfd: pytest.CaptureFixture[str]) -> None:
        assert Formulas(FIVE).bounds({(1,): Fraction(1, 2)}).high == 25
        assert capfd.readouterr() == ("", "")

    def test_ranges_and_tolerances_without_an_end(self) -> None:
        table = ranges_by_name(
            {"beef": {"protein": (0, float("inf")), "calcium": (0, float("inf"))}}
        )
        asked = Formulas(
            declare("beef", "rice"),
            ranges=table,
            guarantees=[guarantee("protein", "9", Bound.DECLARED), guarantee("calcium", "1")],
            tolerance=lambda nutrient, declared: (1.0, float("inf")),
        )
        assert asked.consistent
        assert "no range" in asked.notes[0]

    def test_a_list_that_is_longer_than_any_label(self) -> None:
        """It is worked out from the declaration alone, and says so."""
        names = [f"ingredient {i}" for i in range(300)]
        asked = Formulas(declare(*names), guarantees=[guarantee("protein", "20")], ranges=DRY)
        assert asked.bounds({(1,): 1}).high == 50
        assert "without its guarantees" in asked.notes[-1]

    def test_a_guarantee_that_no_food_can_meet(self) -> None:
        asked = Formulas(declare("beef", "rice"), guarantees=[guarantee("protein", "260")])
        assert not asked.consistent
        assert "260 %" in " ".join(line.words for line in asked.clash)

    def test_what_cannot_be_compared_says_nothing(self) -> None:
        lines = [
            guarantee("vitamin-a", "5000", Bound.MIN, "IU/kg"),
            guarantee("energy", "3500", Bound.MIN, "kcal/kg"),
            guarantee("zinc", "150", Bound.MAX, "mg/cup"),
            guarantee("protein", "20", Bound.ABOUT),
            guarantee("fat", "15", Bound.DECLARED),
        ]
        asked = Formulas(declare("beef", "rice"), guarantees=lines)
        assert asked.consistent
        assert asked.bounds({(1,): 1}).high == 50

    def test_a_solver_that_fails_claims_nothing(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """No answer of the solver: the bounds that hold of anything, and said so."""
        monkeypatch.setattr(Program, "most", lambda self, cost: Solution(Status.TROUBLE))
        asked = Formulas(FIVE, guarantees=[guarantee("protein", "20")], ranges=DRY)
        assert asked.consistent
        bounds = asked.bounds({(4,): 1})
        assert bounds.sure is False
        assert bounds.low <= 0
        assert bounds.high >= 100
        assert asked.judge([Condition({(4,): 1}, 25)]).verdict is Verdict.OPEN

    @pytest.mark.parametrize("noise", [1e-9, 1e-3, 0.3])
    def test_wrong_multipliers_widen_and_never_lie(
        self, monkeypatch: pytest.MonkeyPatch, noise: float
    ) -> None:
        """Whatever the solver hands over, the bound stays above the truth."""
        right = Formulas(FIVE).bounds({(4,): 1}).high
        most = Program.most

        def disturbed(self: Program, cost: Terms) -> Solution:
            solution = most(self, cost)
            wrong = [m * (1 + noise) - noise * (i % 3) for i, m in enumerate(solution.multipliers)]
            return replace(solution, multipliers=wrong)

        monkeypatch.setattr(Program, "most", disturbed)
        assert right <= Formulas(FIVE).bounds({(4,): 1}).high <= 100

    def test_a_name_taken_as_kept(self) -> None:
        """Beef, first of two, kept at 95 %: rice is then at most 5 %, by the name's own word."""
        asked = Formulas(
            declare("beef", "rice"),
            kept=[Condition({(0,): 1}, 95, of="beef")],
            premises=(*DEFAULT, Premise.NAME),
        )
        bounds = asked.bounds({(1,): 1})
        assert bounds.high == 5
        assert Premise.NAME in bounds.high_proof.rests_on
        off = Formulas(declare("beef", "rice"), kept=[Condition({(0,): 1}, 95, of="beef")])
        assert off.bounds({(1,): 1}).high == 50
