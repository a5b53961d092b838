"""Two columns of a page that were pasted side by side are read one after the other."""

from __future__ import annotations

import pytest

from panellint.core.source import Source, Span
from panellint.label.columns import columned
from panellint.label.ledger import Fate
from panellint.label.model import Label
from panellint.label.reader import read_label

_PAGE = """\
Duck Soft Chews for Dogs

INGREDIENTS                            GUARANTEED ANALYSIS
Chickpea flour, duck liver,            Crude Protein (min)      20%
glycerin, rice bran, sunflower         Crude Fat (min)           8%
lecithin, dried yeast,                 Crude Fiber (max)         5%
rosemary extract.                      Moisture (max)           16%

Directions: 1 chew per 25 lb of dog daily.
"""


def _names(label: Label) -> list[str]:
    return [entry.name for entry in label.declaration]


def _figures(label: Label) -> list[tuple[str | None, int]]:
    return [(one.nutrient, int(one.value)) for one in label.guarantees]


@pytest.fixture(scope="module")
def label() -> Label:
    return read_label(Source(_PAGE, "-"))


def test_each_column_is_read_whole(label: Label) -> None:
    assert _names(label) == [
        "Chickpea flour", "duck liver", "glycerin", "rice bran", "sunflower lecithin",
        "dried yeast", "rosemary extract",
    ]  # fmt: skip
    assert _figures(label) == [("protein", 20), ("fat", 8), ("fibre", 5), ("moisture", 16)]
    assert [s.kind for s in label.sections_of("feeding")] == ["feeding"]


def test_every_place_is_that_of_the_whole_text(label: Label) -> None:
    for entry in label.declaration:
        assert " ".join(_PAGE[slice(*entry.name_span)].split()[:1]) == entry.name.split()[0]
    assert _PAGE[slice(*label.guarantees[-1].value_span)] == "16%"


def test_the_ledger_tells_the_columns_apart(label: Label) -> None:
    fates = {_PAGE[slice(*one.span)]: one for one in label.ledger.stretches}
    assert fates["Crude Fat (min)           8%"].kind == "guarantees"
    assert fates["glycerin, rice bran, sunflower"].kind == "declaration"
    assert not label.ledger.unread
    ends = [place for one in label.ledger.stretches for place in one.span]
    assert ends == sorted(ends)
    assert (ends[0], ends[-1]) == (0, len(_PAGE))


def test_words_in_a_column_that_cannot_be_read_are_unread() -> None:
    label = read_label(Source(_PAGE.replace("Crude Fiber (max)", "Xrvqe Zoomp (max)"), "-"))
    unread = [_PAGE[slice(*one.span)] for one in label.ledger.stretches if one.fate is Fate.UNREAD]
    assert [one.split()[-1] for one in unread] == ["5%"]


def test_a_table_of_two_nutrients_in_a_line_goes_on_line_by_line() -> None:
    text = """\
Guaranteed analysis
Crude Protein (min) 26%      Crude Fat (min) 14%
Crude Fiber (max) 4%         Moisture (max) 10%
"""
    figures = _figures(read_label(Source(text, "-")))
    assert figures == [("protein", 26), ("fat", 14), ("fibre", 4), ("moisture", 10)]


def test_columns_may_be_parted_by_a_rule() -> None:
    text = (
        "Quillbrook Larder            |  GUARANTEED ANALYSIS\n"
        "Duck & Barley Recipe         |  Crude Protein (min.)   24%\n"
        "Dry Food for Dogs            |  Crude Fat (min.)       13%\n"
        "                             |  Crude Fiber (max.)      5%\n"
        "NET WT. 4 LB (1.8 kg)        |  Moisture (max.)        10%\n"
        "\nIngredients: duck, barley\n"
    )
    label = read_label(Source(text, "-"))
    assert label.product_name == "Quillbrook Larder Duck & Barley Recipe Dry Food for Dogs"
    assert _figures(label) == [("protein", 24), ("fat", 13), ("fibre", 5), ("moisture", 10)]
    assert label.sections_of("net-contents")


@pytest.mark.parametrize(
    ("text", "names", "figures"),
    [
        ("Ingredients\tGuaranteed analysis\nduck, rice", ["duck", "rice"], []),
        ("Ingredients\tGuaranteed analysis\tFeeding\nduck, rice", ["duck", "rice"], []),
        (
            "Ingredients\tGuaranteed analysis: crude protein (min) 20 %\nduck, rice",
            ["duck", "rice"],
            [("protein", 20)],
        ),
        (
            "Guaranteed analysis\tIngredients\nCrude protein (min) 20 %\tduck, rice,\n"
            "Crude fat (min) 10 %\tpeas\n\nFeeding: one cup",
            ["duck", "rice", "peas"],
            [("protein", 20), ("fat", 10)],
        ),
    ],
)
def test_headings_with_tabs_between_begin_columns_of_their_own(
    text: str, names: list[str], figures: list[tuple[str, int]]
) -> None:
    label = read_label(Source(text, "-"))
    assert (_names(label), _figures(label)) == (names, figures)
    bodies = [section.body for section in label.sections]
    assert bodies == sorted(bodies)


def test_what_stands_beside_a_right_heading_does_not_go_on_below_it() -> None:
    label = read_label(Source("Ingredients: duck, rice\tGuaranteed analysis\nash 5 %", "-"))
    assert _names(label) == ["duck", "rice"]
    assert _figures(label) == [("ash", 5)]


def test_what_is_read_for_the_gaps_of_a_line_grows_with_its_length() -> None:
    def read_of(cells: int) -> int:
        lengths: list[int] = []

        def begins(_source: Source, words: Span) -> str:
            lengths.append(words.end - words.start)
            return ""

        list(columned(Source("duck    rice    " * cells), begins))
        return sum(lengths)

    assert read_of(400) < 2.4 * read_of(200)
