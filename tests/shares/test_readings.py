"""A list that may count weight as mixed, dry matter, or a weight between: worked by hand.

Regulation (EC) No 767/2009, Article 17(1)(e), has the weight of a list "calculated on the moisture
content in the compound feed". Every weight that it may mean lies between an ingredient's dry matter
and its weight as mixed.
"""

from __future__ import annotations

from fractions import Fraction
from functools import partial

import pytest

from panellint import api
from panellint.shares.engine import FallbackEngine
from panellint.shares.exact.declaration_bounds import OrderAnswers
from panellint.shares.model import Base, Condition, Verdict
from panellint.shares.premises import Premise, Reading
from panellint.shares.solver.formula_set import Formulas

from .labels import declare, entry, percent, ranges_by_name

#: Rice and maize without any water, beef of three quarters water.
MOISTURES = ranges_by_name(
    {"rice": {"moisture": (0, 0)}, "beef": {"moisture": (75, 75)}, "maize": {"moisture": (0, 0)}}
)
LISTED = declare("rice", "beef", "maize")
UNDER = partial(Formulas, ranges=MOISTURES)


@pytest.mark.parametrize(
    ("reading", "path", "low", "high"),
    [
        # As mixed none weighs more than the one before: halves and thirds.
        (Reading.MIXED, 1, 0, 50),
        (Reading.MIXED, 2, 0, Fraction(100, 3)),
        # By dry matter 1 of rice stands before 4 of beef, and 4 of beef before 1 of maize.
        (Reading.DRY, 1, 0, 80),
        (Reading.DRY, 2, 0, Fraction(100, 6)),
        # Whatever is counted: each weighs at least the dry matter of any after it.
        (Reading.EITHER, 0, Fraction(100, 6), 100),
        (Reading.EITHER, 1, 0, 80),
        (Reading.EITHER, 2, 0, Fraction(100, 3)),
    ],
)
def test_what_each_reading_allows(reading: Reading, path: int, low: float, high: float) -> None:
    bounds = UNDER(LISTED, reading=reading).bounds({(path,): 1})
    assert (bounds.low, bounds.high) == (pytest.approx(float(low)), pytest.approx(float(high)))


def test_pairs_that_are_no_neighbours_are_compared() -> None:
    """Rice before beef before maize: maize is held by beef as mixed, and by rice at once."""
    listed = declare("rice", "beef", "beef", "maize")
    bounds = UNDER(listed, reading=Reading.EITHER).bounds({(3,): 1, (0,): -1})
    assert bounds.high == 0


def test_a_figure_holds_of_any_weight_that_it_may_count() -> None:
    """6 of rice and 4 of beef by dry matter are 6 and 16 as mixed: 8 of 11."""
    listed = declare("rice", entry("beef", percent=percent("40.0")))
    beef = UNDER(listed, reading=Reading.EITHER).bounds({(1,): 1})
    assert beef.low < 40
    assert Fraction(800, 11) < beef.high < 100


def test_what_both_readings_refute_and_what_is_between_allows_is_no_proof() -> None:
    """Beef of 55 % and maize of 20 %: as mixed beef is at most half; by dry matter maize is at most
    a quarter of beef; with 25 % of rice both are there, counted by a weight between."""
    asked = [Condition({(1,): 1}, 55, of="beef"), Condition({(2,): 1}, 20, of="maize")]
    both = [partial(UNDER, LISTED, reading=one) for one in (Reading.MIXED, Reading.DRY)]
    every = UNDER(LISTED, reading=Reading.EITHER)
    assert every.refuted(asked) is None
    trivial = OrderAnswers(LISTED, premises=())
    found = FallbackEngine(trivial, lambda: every, readings=both).refuted(asked)
    assert found is not None
    assert found.verdict is Verdict.REFUTED
    assert Premise.READING in found.proof.rests_on
    assert "where it goes by dry matter" in found.proof.sentences[-1]


def test_a_name_counts_as_its_list_does() -> None:
    """A figure decides; the place in the list alone does not, since a name may count as mixed."""
    label = "Product name: Adult Dog Rich in Beef\nMarket: EU\nForm: kibble\nComposition: "
    rows = (
        ("rice, beef (20 %), maize", "implied", ["percentages"]),
        ("rice, beef (9 %), maize", "refuted", ["percentages"]),
        ("rice, maize, wheat, barley, oats, peas, beet pulp, beef", "open", []),
    )
    for listed, verdict, rests_on in rows:
        (promise,) = api.shares(f"{label}{listed}\n")["promises"]
        assert (promise["verdict"], promise["rests_on"]) == (verdict, rests_on), listed
        assert promise["conditions"][0]["base"] == Base.LISTED
    (last,) = promise["conditions"]
    # Seven stand before beef: an eighth as the list counts, and more of the mix.
    assert last["high"] > 100 / 8


@pytest.mark.parametrize(
    ("name", "declared", "low", "high"),
    [
        # 28 and 12 %, each within half a unit; rice and barley have no figure, and need none.
        ("Rich in Duck", "duck meal 28 %, rice, fresh duck 12 %, barley, salt 1 %", 39, 41),
        # The figure of a group is tighter than that of what is left of it without its bone.
        ("Beef & Tripe", "beef 45 % (of which bone 10 %), beef tripe 25 %, carrot 8 %", 69, 71),
    ],
)
def test_printed_figures_add_up(name: str, declared: str, low: float, high: float) -> None:
    label = f"Market: EU\nProduct name: Quillbrook Larder {name}\nComposition: {declared}"
    (promise,) = api.shares(label)["promises"]
    together = promise["conditions"][0]
    assert promise["verdict"] == "implied"
    assert (together["low"], together["high"]) == (pytest.approx(low), pytest.approx(high))
