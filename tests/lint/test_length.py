"""What reading and linting do grows in step with the length of a text. Counted are calls, since no
test looks at a clock; `tests/benchmarks/length.py` measures."""

import sys
from types import FrameType

import pytest

from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings

#: What is repeated behind a lead; each number is another word.
SHAPES = {
    "names that nobody knows": ("Ingredients: duck, ", "{}, "),
    "pairs without commas": ("Ingredients: duck, ", "rice {} peas meal, duck oats, "),
    "hazards": ("Ingredients: duck, ", "onion, garlic, grape, raisin, "),
    "quantities": ("", "Net wt 12 oz (340 g) {}\n"),
    "figures of energy": ("Calorie content: ", "3500 kcal/kg {}, "),
    "names at line ends": ("Ingredients: duck, ", "{}-\n"),
}


def calls(length: int, lead: str, piece: str) -> int:
    """How many functions are called to lint a text of so many pieces."""
    word = str.maketrans("0123456789", "qwzpvkjxbg")
    pieces = (piece.replace("{}", f"{length}{number}".translate(word)) for number in range(length))
    source = Source(lead + "".join(pieces), "long.panel")
    number = 0

    def count(_frame: FrameType, event: str, _argument: object) -> None:
        nonlocal number
        number += event in ("call", "c_call")

    sys.setprofile(count)
    try:
        lint(source, Settings(), quick=True)
    finally:
        sys.setprofile(None)
    return number


@pytest.mark.parametrize(("lead", "piece"), SHAPES.values(), ids=list(SHAPES))
def test_twice_the_text_takes_about_twice_the_calls(lead: str, piece: str) -> None:
    calls(20, lead, piece)
    assert calls(400, lead, piece) < 2.4 * calls(200, lead, piece)
