"""The ranges of a state hold what tables print of it, worked out from the raw food alone.

Rows of the USDA National Nutrient Database for Standard Reference, Release 28 (2015), per 100 g:
NDB number, water, protein, fat, ash, carbohydrate by difference (fibre in it).
"""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from panellint.catalogue import files, load
from panellint.catalogue.composing import state_ranges
from panellint.catalogue.model import PARTS, Range
from panellint.core.files import rules_folder

FOLDER = rules_folder() / "ingredients"
FORMS = yaml.safe_load((FOLDER / "forms.yaml").read_text("utf-8"))
SPREADS = yaml.safe_load((FOLDER / "widening.yaml").read_text("utf-8"))["parts"]
ERROR = files.closes_within()

# raw row | kind | words of the state | row in that state
PAIRS = """
01123 76.15 12.56 9.51 1.06 0.72|egg|dried|01133 2.78 48.05 43.90 4.13 1.13
01125 52.31 15.86 26.54 1.71 3.59|egg|dried|01137 3.08 33.63 59.13 3.51 0.66
01124 87.57 10.90 0.17 0.63 0.73|egg|dried|01173 5.80 81.10 0.00 5.30 7.80
01077 88.13 3.15 3.25 0.67 4.80|dairy|dried|01090 2.47 26.32 26.71 6.08 38.42
01085 90.84 3.37 0.08 0.75 4.96|dairy|dried|01091 3.16 36.16 0.77 7.93 51.98
01088 90.13 3.31 0.88 0.89 4.79|dairy|dried|01094 2.97 34.30 5.78 7.95 49.00
01112 93.42 0.76 0.09 0.61 5.12|dairy|dried|01113 3.51 11.73 0.54 10.77 73.45
01114 93.12 0.85 0.36 0.53 5.14|dairy|dried|01115 3.19 12.93 1.07 8.35 74.46
11297 87.71 2.97 0.79 2.20 6.33|herb|dried|02029 5.89 26.63 5.48 11.36 50.64
11297 87.71 2.97 0.79 2.20 6.33|herb|freeze dried|11625 2.00 31.30 5.20 19.12 42.38
02044 92.06 3.15 0.64 1.49 2.65|herb|dried|02003 10.35 22.98 4.07 14.85 47.75
02045 85.95 3.46 1.12 2.45 7.02|herb|dried|02017 7.30 19.96 4.36 12.56 55.82
02063 67.77 3.31 5.86 2.35 20.70|herb|dried|02036 9.31 4.88 15.22 6.53 64.06
11282 89.11 1.10 0.10 0.35 9.34|vegetable|powder|02026 5.39 10.41 1.04 4.04 79.12
11282 89.11 1.10 0.10 0.35 9.34|vegetable|dehydrated|11284 3.93 8.95 0.46 3.38 83.28
11215 58.58 6.36 0.50 1.50 33.06|vegetable|powder|02020 6.45 16.55 0.73 3.54 72.73
11143 95.43 0.69 0.17 0.75 2.97|vegetable|flake|44055 9.00 11.30 2.10 13.90 63.70
11238 89.74 2.24 0.49 0.73 6.79|vegetable|dried|11268 9.50 9.58 0.99 4.56 75.37
11529 94.52 0.88 0.20 0.50 3.89|vegetable|powder|11548 3.06 12.91 0.44 8.91 74.68
11124 88.29 0.93 0.24 0.97 9.58|vegetable|dehydrated|11683 4.00 8.10 1.49 6.84 79.57
11422 91.60 1.00 0.10 0.80 6.50|vegetable|canned|11424 89.97 1.10 0.28 0.56 8.09
11352 79.25 2.05 0.09 1.11 17.49|tuber|dehydrated|11378 6.58 8.34 0.41 3.50 81.17
11352 79.25 2.05 0.09 1.11 17.49|tuber|dehydrated|11380 3.63 8.22 0.54 2.10 85.51
11507 77.28 1.57 0.05 0.99 20.12|tuber|baked|11508 75.78 2.01 0.15 1.35 20.71
11507 77.28 1.57 0.05 0.99 20.12|tuber|boiled|11510 80.13 1.37 0.14 0.63 17.72
09040 74.91 1.09 0.33 0.82 22.84|fruit|dehydrated|09041 3.00 3.89 1.81 3.02 88.28
09279 87.23 0.70 0.28 0.37 11.42|fruit|dried|09291 30.92 2.18 0.38 2.64 63.88
11666 90.67 5.92 0.39 0.60 2.42|algae|dried|11667 4.68 57.47 7.72 6.23 23.90
12104 46.99 3.33 33.49 0.97 15.23|nut|dried|12108 3.00 6.88 64.53 1.94 23.65
12061 4.41 21.15 49.93 2.97 21.55|nut|roasted|12063 2.41 20.96 52.54 3.07 21.01
16126 82.93 9.04 4.17 1.01 2.85|legume|dried|16428 5.78 52.43 30.34 3.15 8.30
15015 81.22 17.81 0.67 1.16 0.00|fish|dried and salted|15018 16.14 62.82 2.37 18.67 0.00
20035 13.28 14.12 6.07 2.38 64.16|pseudo-grain|cooked|20137 71.61 4.40 1.92 0.76 21.30
20444 11.62 7.13 0.66 0.64 79.95|grain|parboiled|20446 9.86 7.51 1.03 0.71 80.89
""".strip().splitlines()

COLUMNS = ("moisture", "protein", "fat", "ash", "carbohydrate")


@cache
def state_of(words: str, kind: str) -> dict[str, Any]:
    """The row of forms.yaml that words state of a kind of material."""
    for row in FORMS["states"]:
        if words in (*row.get("before", ()), *row.get("after", ())) and kind in row["of"]:
            return {"kept": {}, "added": {}, "gains_water": False, **row}
    raise LookupError(words)


def widened(means: dict[str, float], kind: str) -> dict[str, Range]:
    """The catalogue's own ranges for one row of a table, wider by three quarters for a lone row."""
    policy = {**SPREADS["default"], **SPREADS.get(kind, {})}
    found = {"fibre": Range(0, 0)}
    for part, mean in means.items():
        spread = 1.5 * max(policy[part].get("relative", 0) * mean, policy[part].get("absolute", 0))
        found[part] = Range(max(0.0, mean - spread), min(100.0, mean + spread))
    return found


@pytest.mark.parametrize("line", PAIRS)
def test_a_worked_state_holds_what_the_table_prints(line: str) -> None:
    raw, kind, words, other = line.split("|")
    means = dict(zip(COLUMNS, map(float, raw.split()[1:]), strict=True))
    ranges = state_ranges(widened(means, kind), state_of(words, kind), kind, ERROR)
    for part, value in zip(COLUMNS, map(float, other.split()[1:]), strict=True):
        low, high = ranges[part]
        assert low - 1e-9 <= value <= high + 1e-9, part


def test_parts_are_worked_out_together_and_not_one_by_one() -> None:
    """A lean meat of 15 to 24 % protein and 55 to 78 % water: part by part 24 x 98 / 22 = 107 %."""
    raw = {
        "moisture": Range(55, 78), "protein": Range(15, 24), "fat": Range(2, 20),
        "fibre": Range(0, 0), "ash": Range(0.8, 1.5), "carbohydrate": Range(0, 0),
    }  # fmt: skip
    dried = {"moisture": {"*": [2, 10]}, "kept": {}, "added": {}, "gains_water": False}
    ranges = state_ranges(raw, dried, "muscle-meat", 0)
    # Largest where fat and ash are least: 24 of 26.8 in 98.
    assert ranges["protein"].high == pytest.approx(98 * 24 / 26.8, abs=0.1)
    # Least where fat and ash are most: 15 of 36.5 in 90.
    assert ranges["protein"].low == pytest.approx(90 * 15 / 36.5, abs=0.1)


amounts = st.floats(0.5, 30)


@given(st.lists(amounts, min_size=5, max_size=5), st.floats(1, 14), st.floats(0.5, 1.0))
def test_any_food_dried_lies_within_what_is_predicted(
    solids: list[float], left: float, tight: float
) -> None:
    """The truth is inside, for any solids, final water and width of the raw ranges."""
    whole = sum(solids)
    raw = dict(zip(PARTS[1:], (part * 40 / whole for part in solids), strict=True))
    ranges = {part: Range(value * tight, value / tight) for part, value in raw.items()}
    ranges["moisture"] = Range(60 * tight, min(100.0, 60 / tight))
    dried = {"moisture": {"*": [1, 14]}, "kept": {}, "added": {}, "gains_water": False}
    found = state_ranges(ranges, dried, "fruit", ERROR)
    for part, value in raw.items():
        truth = value * (100 - left) / 40
        assert found[part].low - 0.01 <= truth <= found[part].high + 0.01


def test_a_composed_entry_can_close_and_says_that_it_is_composed() -> None:
    for name in ("dried lamb lung", "smoked trout", "cooked duck heart", "turkey jerky"):
        match = load().lookup(name)
        assert match is not None
        known = match.known
        assert known.composed, name
        ranges = [known.figures[part].range for part in PARTS]
        assert sum(one.low for one in ranges) <= 100 <= sum(one.high for one in ranges)
        assert not any(figure.confirmed for figure in known.figures.values())
