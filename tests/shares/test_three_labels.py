"""Three labels, each with one claim proven, one refuted and one open, checked with a pencil."""

from __future__ import annotations

import pytest

from panellint.catalogue.model import Range
from panellint.label.model import Bound
from panellint.shares.model import Condition, Judgement, Verdict
from panellint.shares.premises import LABEL_ALONE, Premise
from panellint.shares.solver.formula_set import Formulas

from .labels import declare, entry, guarantee, percent, ranges_by_name


def ask(asked: Formulas, of: str, path: int, needs: float) -> Judgement:
    return asked.judge([Condition({(path,): 1}, needs, of=of)])


class TestBeefDinner:
    """A dry food that lists chicken, rice, peas, oats, beef, salt, and nothing else to go by."""

    asked = Formulas(declare("chicken", "rice", "peas", "oats", "beef", "salt"))

    def test_a_quarter_of_beef_is_refuted(self) -> None:
        """Beef is fifth. If it were 25 %, the four before it would be 25 % each at least, and
        five quarters are more than all there is."""
        found = ask(self.asked, "beef", 4, 25)
        assert found.verdict is Verdict.REFUTED
        assert found.proof.rests_on == (Premise.ORDER,)
        assert found.proof.sentences == (
            "Four ingredients are declared before beef and none weighs less, so beef is at most "
            "1/5 of the mix.",
            "So beef is at most 20 % of the mix.",
        )

    def test_a_tenth_of_chicken_is_proven(self) -> None:
        """Chicken is first of six: were it less than a sixth, all six would be less than all."""
        found = ask(self.asked, "chicken", 0, 10)
        assert found.verdict is Verdict.IMPLIED
        assert found.proof.sentences[-1] == "So chicken is at least 16.6667 % of the mix."

    def test_a_quarter_of_rice_is_open(self) -> None:
        """Rice is second: half chicken and half rice fits, and so does chicken alone."""
        found = ask(self.asked, "rice", 1, 25)
        assert found.verdict is Verdict.OPEN
        assert found.kept is not None
        assert found.broken is not None
        assert found.kept[(1,)] >= 25 - 1e-6
        assert found.broken[(1,)] < 25


class TestWetFoodWithPercentages:
    """A wet food: chicken 40 %, chicken broth, rice (at least 4 %), peas, minerals. The market
    lets the list leave out water that was added."""

    asked = Formulas(
        declare(
            entry("chicken", percent=percent("40")),
            "chicken broth",
            entry("rice", percent=percent("4", Bound.MIN)),
            "peas",
            "minerals",
        ),
        unlisted=["water"],
    )

    def test_chicken_above_a_quarter_is_proven(self) -> None:
        """40 % printed without a decimal stands for 39.5 to 40.5 %."""
        found = ask(self.asked, "chicken", 0, 26)
        assert found.verdict is Verdict.IMPLIED
        assert found.proof.rests_on == (Premise.PERCENTAGES,)

    def test_more_broth_than_chicken_is_refuted(self) -> None:
        """Broth stands behind chicken, and chicken is at most 40.5 %."""
        found = ask(self.asked, "chicken broth", 1, 55)
        assert found.verdict is Verdict.REFUTED
        assert found.proof.sentences == (
            "Chicken is declared before chicken broth, so it weighs at least as much.",
            "40 % is printed for chicken, so it is between 39.5 % and 40.5 % of the mix.",
            "So chicken broth is at most 40.5 % of the mix.",
        )

    def test_as_many_peas_as_rice_is_open(self) -> None:
        """Peas may be as much as rice, or nearly nothing; the missing water fills the rest."""
        found = ask(self.asked, "peas", 3, 4)
        assert found.verdict is Verdict.OPEN
        assert found.kept is not None
        assert found.kept[(5,)] > 0


class TestKibbleWithGuarantees:
    """Maize, chicken meal, chicken fat; protein at least 30 %, fat at least 14 %, and at most
    12 % of the mix lost as water. Ranges: maize 7 to 10 % protein, chicken meal 58 to 68 %."""

    asked = Formulas(
        declare("maize", "chicken meal", "chicken fat"),
        guarantees=[guarantee("protein", "30"), guarantee("fat", "14")],
        ranges=ranges_by_name(
            {
                "maize": {"moisture": (10, 14), "protein": (7, 10), "fat": (3, 5)},
                "chicken meal": {"moisture": (4, 10), "protein": (58, 68), "fat": (8, 15)},
                "chicken fat": {"moisture": (0, 1), "protein": (0, 0.5), "fat": (98, 100)},
            }
        ),
        water=Range(0, 12),
    )

    def test_a_fifth_of_chicken_meal_is_proven(self) -> None:
        """The food is at least 88 % of the mix, so its protein is at least 0.30 x 88 = 26.4 and
        its fat 0.14 x 88 = 12.32 parts of 100. With m meal, f fat and the rest maize:
        68 m + 10 (1 - m - f) + 0.5 f >= 26.4 and 15 m + 5 (1 - m - f) + 100 f >= 12.32, so
        58 m - 9.5 f >= 16.4 and 10 m + 95 f >= 7.32. A tenth of the second added to the first
        gives 59 m >= 17.132, and m is at least 29.04 %."""
        found = ask(self.asked, "chicken meal", 1, 20)
        assert found.verdict is Verdict.IMPLIED
        low = self.asked.bounds({(1,): 1}).low
        assert low == pytest.approx(100 * 17.132 / 59, abs=0.01)
        assert set(found.proof.rests_on) == {Premise.GUARANTEES, Premise.WATER, Premise.COMPOSITION}
        assert not set(found.proof.rests_on) <= LABEL_ALONE, "no more than a warning"
        assert "Protein is guaranteed at least 30 %." in found.proof.sentences

    def test_seven_tenths_of_maize_are_refuted(self) -> None:
        """Meal is at least 29.04 %, and fat at least (7.32 - 10 x 0.2904) / 95 = 4.65 %; what is
        left for maize is at most 66.3 %."""
        found = ask(self.asked, "maize", 0, 70)
        assert found.verdict is Verdict.REFUTED
        assert self.asked.bounds({(0,): 1}).high == pytest.approx(66.3, abs=0.05)

    def test_two_fifths_of_chicken_meal_are_open(self) -> None:
        found = ask(self.asked, "chicken meal", 1, 40)
        assert found.verdict is Verdict.OPEN
        assert found.kept is not None
        assert found.broken is not None
        for formula in (found.kept, found.broken):
            assert sum(formula.values()) == pytest.approx(100)
            assert formula[(0,)] >= formula[(1,)] - 1e-6 >= formula[(2,)] - 2e-6
