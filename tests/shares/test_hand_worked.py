"""Cases worked by hand, in words, against both engines."""

from __future__ import annotations

import pytest

from panellint.catalogue.model import Range
from panellint.ingredients.model import Declaration
from panellint.label.model import Bound, PercentOf
from panellint.shares.exact.declaration_bounds import OrderAnswers
from panellint.shares.model import Base, Condition, Verdict
from panellint.shares.premises import DEFAULT, Premise
from panellint.shares.solver.formula_set import Formulas

from .labels import declare, entry, guarantee, percent, ranges_by_name

ENGINES = (OrderAnswers, Formulas)
FIVE = declare("chicken", "rice", "peas", "beef", "salt")


def most(engine: type, declaration: Declaration, *path: int, base: Base = Base.MIX) -> float:
    return engine(declaration).bounds({path: 1}, base).high


def least(engine: type, declaration: Declaration, *path: int, base: Base = Base.MIX) -> float:
    return engine(declaration).bounds({path: 1}, base).low


@pytest.mark.parametrize("engine", ENGINES)
class TestPlainLists:
    def test_the_fifth_holds_at_most_a_fifth(self, engine: type) -> None:
        """Four stand before it and each weighs at least as much: five of it fit at most."""
        assert most(engine, FIVE, 4) == 20

    def test_the_second_holds_at_most_a_half_and_may_hold_nothing(self, engine: type) -> None:
        assert most(engine, FIVE, 1) == 50
        assert least(engine, FIVE, 1) == 0

    def test_the_first_holds_at_least_its_part_and_at_most_everything(self, engine: type) -> None:
        """If the first of five held less than a fifth, all five would hold less than all."""
        assert least(engine, FIVE, 0) == 20
        assert most(engine, FIVE, 0) == 100

    def test_two_named_at_ranks_one_and_three(self, engine: type) -> None:
        """Corners "first k equal": 1, 1/2, 2/3, 2/4, 2/5 of five. Most 100, least 40 %."""
        bounds = engine(FIVE).bounds({(0,): 1, (2,): 1})
        assert (bounds.low, bounds.high) == (40, 100)

    def test_two_named_at_ranks_two_and_three(self, engine: type) -> None:
        """Corners: 0, 1/2, 2/3, 2/4, 2/5. Most two thirds."""
        assert engine(FIVE).bounds({(1,): 1, (2,): 1}).high == pytest.approx(200 / 3, abs=1e-9)

    def test_the_proof_counts_who_stands_before(self, engine: type) -> None:
        proof = engine(FIVE).bounds({(3,): 1}).high_proof
        assert proof.rests_on == (Premise.ORDER,)
        assert proof.sentences[0].startswith("Three ingredients are declared before beef")
        assert proof.sentences[-1] == "So beef is at most 25 % of the mix."

    def test_a_quarter_named_fifth_is_refuted_and_fourth_is_open(self, engine: type) -> None:
        asked = engine(FIVE)
        fifth = asked.judge([Condition({(4,): 1}, 25)])
        assert fifth.verdict is Verdict.REFUTED
        assert fifth.proof.rests_on == (Premise.ORDER,)
        fourth = asked.judge([Condition({(3,): 1}, 25)])
        assert fourth.verdict is Verdict.OPEN

    def test_two_conditions_each_open_and_together_refuted(self, engine: type) -> None:
        """Beef, fourth, at a quarter needs four quarters: chicken cannot be half as well."""
        quarter, half = Condition({(3,): 1}, 25), Condition({(0,): 1}, 50)
        asked = engine(FIVE)
        assert asked.judge([quarter]).verdict is Verdict.OPEN
        assert asked.judge([half]).verdict is Verdict.OPEN
        both = asked.judge([quarter, half])
        assert both.verdict is Verdict.REFUTED
        assert all(answer.verdict is Verdict.OPEN for answer in both.conditions)
        assert "though each may by itself" in both.proof.sentences[-1]

    def test_one_alternative_is_enough(self, engine: type) -> None:
        refuted, implied = Condition({(4,): 1}, 25), Condition({(0,): 1}, 20)
        assert engine(FIVE).judge([refuted], [implied]).verdict is Verdict.IMPLIED
        assert engine(FIVE).judge([refuted], [refuted]).verdict is Verdict.REFUTED

    def test_without_water_a_share_grows(self, engine: type) -> None:
        """Water first: the third is at most a third of all, and half of what is left."""
        listed = declare("water", "chicken", "rice")
        assert most(engine, listed, 2) == pytest.approx(100 / 3)
        assert most(engine, listed, 2, base=Base.MIX_WITHOUT_WATER) == 50
        assert least(engine, listed, 1, base=Base.MIX_WITHOUT_WATER) == 50

    def test_broth_is_no_processing_water(self, engine: type) -> None:
        listed = declare("chicken broth", "chicken", "rice")
        assert most(engine, listed, 2, base=Base.MIX_WITHOUT_WATER) == pytest.approx(100 / 3)

    def test_one_ingredient_is_everything(self, engine: type) -> None:
        bounds = engine(declare("beef")).bounds({(0,): 1})
        assert (bounds.low, bounds.high) == (100, 100)


def test_an_open_promise_shows_a_formula_on_either_side() -> None:
    found = Formulas(FIVE).judge([Condition({(0,): 1}, 50)])
    assert found.verdict is Verdict.OPEN
    assert found.kept is not None
    assert found.broken is not None
    for formula in (found.kept, found.broken):
        weights = [formula[(i,)] for i in range(5)]
        assert sum(weights) == pytest.approx(100)
        assert weights == sorted(weights, reverse=True) or weights == pytest.approx(
            sorted(weights, reverse=True)
        )
    assert found.kept[(0,)] >= 50 - 1e-6
    assert found.broken[(0,)] < 50


@pytest.mark.parametrize("engine", ENGINES)
class TestOtherLists:
    def test_a_printed_percentage_stands_for_half_a_unit_either_way(self, engine: type) -> None:
        listed = declare(entry("duck", percent=percent("26")), "rice", "peas")
        bounds = engine(listed).bounds({(0,): 1})
        assert engine(listed).consistent is False or (bounds.low, bounds.high) == (25.5, 26.5)
        four = declare(entry("duck", percent=percent("26")), "rice", "peas", "salt")
        bounds = engine(four).bounds({(0,): 1})
        assert (bounds.low, bounds.high) == (25.5, 26.5)
        assert "between 25.5 % and 26.5 %" in bounds.high_proof.sentences[0]

    def test_first_of_three_cannot_be_a_quarter(self, engine: type) -> None:
        """Three that are no more than 26.5 % each make 79.5 % at most."""
        asked = engine(declare(entry("duck", percent=percent("26")), "rice", "peas"))
        assert not asked.consistent
        assert {line.premise for line in asked.clash} <= {Premise.ORDER, Premise.PERCENTAGES}
        assert asked.clash

    def test_at_least_and_at_most_are_one_sided(self, engine: type) -> None:
        listed = declare(entry("duck", percent=percent("30", Bound.MIN)), "rice", "peas")
        assert least(engine, listed, 0) == pytest.approx(100 / 3)
        assert most(engine, listed, 0) == 100
        capped = declare(entry("duck", percent=percent("40", Bound.MAX)), "rice", "peas")
        assert most(engine, capped, 0) == 40
        assert least(engine, capped, 1) == pytest.approx(30)

    def test_about_and_unclear_prove_nothing(self, engine: type) -> None:
        for printed in (percent("60", Bound.ABOUT), percent("60", of=PercentOf.UNCLEAR)):
            assert most(engine, declare(entry("duck", percent=printed), "rice"), 0) == 100

    def test_a_tail_caps_each_and_orders_none(self, engine: type) -> None:
        tail = [entry(n, at_most=percent("2").value) for n in ("salt", "kelp", "taurine")]
        listed = declare("beef", "rice", *tail)
        assert [most(engine, listed, i) for i in (2, 3, 4)] == [2, 2, 2]
        assert least(engine, listed, 0) == pytest.approx(47)

    def test_a_full_group_takes_its_place_from_its_sum(self, engine: type) -> None:
        """The group is second: its first member at most a half, its second at most a quarter."""
        listed = declare("beef", entry("vegetables", entry("carrot"), entry("pea")), "salt")
        assert most(engine, listed, 1) == 50
        assert most(engine, listed, 1, 0) == 50
        assert most(engine, listed, 1, 1) == 25
        assert most(engine, listed, 2) == pytest.approx(100 / 3)

    def test_of_which_is_not_a_full_list(self, engine: type) -> None:
        """ "of which chicken": the rest of the group has a weight of its own."""
        group = entry("meat", entry("chicken"), entry("duck"), partial=True)
        listed = declare(group, "rice")
        assert least(engine, listed, 0) == 50
        assert least(engine, listed, 0, 0) == 0
        assert most(engine, listed, 0, 1) == 100

    def test_a_percentage_of_the_parent(self, engine: type) -> None:
        chicken = entry("chicken", percent=percent("4", Bound.MIN, PercentOf.PARENT))
        listed = declare(entry("meat", chicken, partial=True), "rice")
        assert least(engine, listed, 0, 0) == pytest.approx(2)

    def test_and_or_may_be_absent_and_stands_in_no_order(self, engine: type) -> None:
        listed = declare("beef", "rice", entry("tallow", any_of=True), entry("lard", any_of=True))
        assert least(engine, listed, 0) == 0
        assert most(engine, listed, 2) == 100

    def test_percentages_over_a_hundred_are_a_clash(self, engine: type) -> None:
        listed = declare(
            entry("beef", percent=percent("60")), entry("rice", percent=percent("50")), "salt"
        )
        asked = engine(listed)
        assert not asked.consistent
        assert any("60 % is printed for beef" in line.words for line in asked.clash)
        assert any("50 % is printed for rice" in line.words for line in asked.clash)
        assert asked.judge([Condition({(0,): 1}, 10)]).verdict is Verdict.OPEN

    def test_all_percentages_printed(self, engine: type) -> None:
        listed = declare(
            entry("beef", percent=percent("60")),
            entry("rice", percent=percent("30")),
            entry("peas", percent=percent("10")),
        )
        asked = engine(listed)
        assert asked.consistent
        bounds = asked.bounds({(2,): 1})
        assert (bounds.low, bounds.high) == (9.5, 10.5)

    def test_leaving_a_premise_out_leaves_its_proofs_out(self, engine: type) -> None:
        others = [p for p in DEFAULT if p is not Premise.ORDER]
        assert engine(FIVE, premises=others).bounds({(4,): 1}).high == 100
        grouped = declare("beef", entry("vegetables", entry("carrot"), entry("pea")), "salt")
        alone = engine(grouped, premises=[Premise.ORDER])
        assert alone.bounds({(1,): 1}).high == 100
        assert alone.bounds({(2,): 1}).high == 50

    def test_editions_in_which_a_bracket_is_in_no_order(self, engine: type) -> None:
        grouped = declare("beef", entry("vegetables", entry("carrot"), entry("pea")), "salt")
        asked = engine(grouped, groups_ordered=False)
        assert asked.bounds({(1, 1): 1}).high == 50

    def test_a_path_that_is_not_there(self, engine: type) -> None:
        with pytest.raises(KeyError, match="no ingredient"):
            engine(FIVE).bounds({(9,): 1})


DRY = ranges_by_name(
    {
        "chicken": {"moisture": (70, 70), "protein": (20, 20), "fat": (10, 10), "ash": (0, 0),
                    "fibre": (0, 0), "carbohydrate": (0, 0)},
        "rice": {"moisture": (10, 10), "protein": (8, 8), "fat": (0, 0), "ash": (0, 0),
                 "fibre": (2, 2), "carbohydrate": (80, 80)},
    }
)  # fmt: skip


class TestGuarantees:
    """Two materials with sharp composition, so that the answer is one number."""

    def test_protein_fixes_the_mix(self) -> None:
        """No water lost: 20 c + 8 (100 - c) over 100 at least 17 means c at least 75 %."""
        asked = Formulas(
            declare("chicken", "rice"), guarantees=[guarantee("protein", "17")], ranges=DRY
        )
        none_lost = Formulas(
            declare("chicken", "rice"),
            guarantees=[guarantee("protein", "17")],
            ranges=DRY,
            water=Range(0, 0),
        )
        assert none_lost.bounds({(0,): 1}).low == pytest.approx(75)
        assert asked.bounds({(0,): 1}).low == 50
        proof = none_lost.bounds({(0,): 1}).low_proof
        assert Premise.COMPOSITION in proof.rests_on
        assert Premise.GUARANTEES in proof.rests_on

    def test_lost_water_is_tied_to_the_water_there_is(self) -> None:
        """Half and half holds 40 % water; carbohydrate of the finished food stays below
        40 / 60 of it."""
        listed = declare(
            entry("chicken", percent=percent("50.0")), entry("rice", percent=percent("50.0"))
        )
        asked = Formulas(listed, ranges=DRY)
        bounds = asked.nutrient("carbohydrate")
        assert bounds.high == pytest.approx(200 / 3, abs=0.2)
        assert asked.nutrient("carbohydrate", Base.DRY_MATTER).low == pytest.approx(
            200 / 3, abs=0.2
        )

    def test_order_and_guarantees_that_cannot_both_be_true(self) -> None:
        asked = Formulas(
            declare("rice", "chicken"),
            guarantees=[guarantee("carbohydrate", "5", Bound.MAX)],
            ranges=DRY,
        )
        assert not asked.consistent
        premises = {line.premise for line in asked.clash}
        assert Premise.GUARANTEES in premises
        assert Premise.COMPOSITION in premises
        assert Premise.COMPOSITION in asked.clash_rests_on
        assert asked.bounds({(0,): 1}).sure is False

    def test_a_clash_of_the_labels_own_words_names_no_ranges(self) -> None:
        asked = Formulas(
            declare(entry("rice", percent=percent("30")), "chicken"),
            guarantees=[guarantee("carbohydrate", "5", Bound.MAX)],
            ranges=DRY,
            water=Range(-10, 50),
        )
        assert not asked.consistent
        assert set(asked.clash_rests_on) == {Premise.ORDER, Premise.PERCENTAGES}
        assert len(asked.clash) == 2, "any one of them left out, the others fit"

    def test_dry_matter_guarantees(self) -> None:
        """Chicken alone has 20 of 30 dry parts protein; rice 8 of 90."""
        asked = Formulas(
            declare("chicken", "rice"),
            guarantees=[guarantee("protein", "66", basis="dry matter")],
            ranges=DRY,
        )
        assert asked.bounds({(0,): 1}).low > 98

    def test_unknown_is_never_zero(self) -> None:
        asked = Formulas(
            declare("chicken", "rice", "mystery"),
            guarantees=[guarantee("calcium", "1", Bound.MIN)],
            ranges=DRY,
        )
        assert asked.consistent
        assert asked.nutrient("calcium").high == 100

    def test_the_most_that_whole_foods_supply(self) -> None:
        """5 % of an ingredient with at most 2 % calcium cannot bring more than 0.1 %."""
        table = ranges_by_name({"egg": {"calcium": (0, 2)}, "beef": {"calcium": (0, 0)}})
        listed = declare("beef", entry("egg", percent=percent("5", Bound.MAX)))
        bounds = Formulas(listed, ranges=table).nutrient("calcium", Base.MIX)
        assert bounds.high == pytest.approx(0.1)
