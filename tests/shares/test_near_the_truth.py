"""The premise `practice`: a guarantee is printed near the truth, so that a minimum bounds from
above and a maximum from below. It is off unless it is asked for."""

from __future__ import annotations

from panellint import api
from panellint.shares.premises import DEFAULT

TEXT = (
    "Form: kibble\nIngredients: chicken meal, white rice, chicken fat\n"
    "Guaranteed analysis: crude protein (min.) 30%, crude fat (min.) 12%, moisture (max.) 10%\n"
)


def bounds(*more: str) -> dict[str, tuple[float, float]]:
    premises = (*map(str, DEFAULT), *more)
    rows = api.shares(TEXT, premises=premises)["ingredients"]
    return {row["name"]: (row["low"], row["high"]) for row in rows}


def test_a_minimum_is_near_the_truth_where_practice_is_taken_for_true() -> None:
    usual, near = bounds(), bounds("practice")
    assert usual["chicken meal"][1] > 95
    assert near["chicken meal"][1] < 75
    for name, (low, high) in near.items():
        assert usual[name][0] - 1e-9 <= low <= high <= usual[name][1] + 1e-9
