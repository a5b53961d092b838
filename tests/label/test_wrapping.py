"""Lines that a program broke at a width."""

from __future__ import annotations

import textwrap

import pytest

from panellint.label.wrapping import unwrapped

LABEL = """Duck & Millet Recipe for Dogs
Ingredients: Duck, millet, dried egg product, sunflower oil, zinc proteinate.
Guaranteed Analysis:
Crude Protein (min.) 26.0%
Crude Fat (min.) 14.0%
Feed one cup for each twenty pounds of your dog a day, with fresh water beside.
We cook it slowly, with herbs of our own garden, and pour it over rolled oats."""


@pytest.mark.parametrize("width", [36, 44, 60, 72])
def test_a_text_broken_at_a_width_is_whole_again(width: int) -> None:
    lines = [textwrap.fill(line, width) for line in LABEL.split("\n")]
    assert unwrapped("\n".join(lines)) == LABEL


def test_every_offset_stays() -> None:
    words = LABEL.rpartition("\n")[2]
    broken = textwrap.fill(f"{words} {words}", 34).replace("\n", "  \r\n")
    assert len(unwrapped(broken)) == len(broken)
    assert unwrapped(broken).split() == (words.split() * 2)
    assert "\n" not in unwrapped(broken)


@pytest.mark.parametrize(
    "begins",
    [
        "INGREDIENTS: duck, millet",
        "- one more point of a list",
        "Crude fat (min) 14 %",
        "Complete pet food for dogs",
        "395 g",
        "Klasse: Diät",
    ],
)
def test_a_line_that_begins_a_part_stays(begins: str) -> None:
    text = "\n".join(
        [
            "we cook this food slowly, with herbs of",
            "our own garden and the broth of the day,",
            "and pour it over the oats that a mill of",
            "the valley rolls whenever the wind blows",
            begins,
        ]
    )
    assert unwrapped(text).endswith(f" the wind blows\n{begins}")


def test_lines_of_their_own_and_columns_stay() -> None:
    rows = ["Crude protein 26 %   |   10 lb: 1 cup", "crude fat 14 %       |   20 lb: 2 cups"]
    table = "\n".join(rows * 4)
    assert unwrapped(table) == table
    assert (
        unwrapped("Duck\nfor dogs\nwith millet\nand salt")
        == "Duck\nfor dogs\nwith millet\nand salt"
    )
