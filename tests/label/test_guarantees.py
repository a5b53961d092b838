"""Guarantees as labels print them, and the words that bind their figures."""

import pytest

from panellint.label.bound_words import bound_of
from panellint.label.guarantees import read_guarantees
from panellint.label.model import Bound


@pytest.mark.parametrize("sign", ["/", "|", "•", ";"])
def test_lines_run_together_keep_the_bounds_behind_their_figures(sign: str) -> None:
    text = f"crude protein 14% min {sign} crude fat 9% min {sign} crude fiber 2% max"
    bounds = [(g.nutrient, g.bound, str(g.value)) for g in read_guarantees(text, 0)]
    assert bounds == [
        ("protein", Bound.MIN, "14"),
        ("fat", Bound.MIN, "9"),
        ("fibre", Bound.MAX, "2"),
    ]


def test_bounds_behind_their_figures_need_no_sign_between() -> None:
    for least, most in (("min", "max"), ("(min)", "(max)"), ("( min. )", "max.")):
        text = f"protein 14% {least} fat 9% {least} crude fiber 2% {most} moisture 72% {most}"
        bounds = [guarantee.bound for guarantee in read_guarantees(text, 0)]
        assert bounds == [Bound.MIN, Bound.MIN, Bound.MAX, Bound.MAX]


def test_more_than_is_a_least_and_not_more_than_a_most() -> None:
    """Also in letters that a search in any case takes for the same."""
    assert bound_of("more than 4 %") is Bound.MIN
    assert bound_of("not more than 4 %") is Bound.MAX
    assert bound_of("mın") is bound_of("mindeſtens") is Bound.MIN


def test_a_nutrient_over_two_lines_is_one_name() -> None:
    read = read_guarantees("CRUDE FAT (MIN.) 9 %, CRUDE FI-\nBER (MAX.) 3 %", 0)
    assert [(g.nutrient, g.bound) for g in read] == [("fat", Bound.MIN), ("fibre", Bound.MAX)]


def test_a_tolerance_is_no_figure_and_a_bound_before_a_figure_is_of_it() -> None:
    read = read_guarantees("Protein 26.0 % ± 2.0 %\nMoisture 8.0 % max. 10.0 %", 0)
    assert [(g.nutrient, g.bound, str(g.value)) for g in read] == [
        ("protein", Bound.DECLARED, "26.0"),
        ("moisture", Bound.DECLARED, "8.0"),
        ("moisture", Bound.MAX, "10.0"),
    ]


def test_a_part_in_brackets_has_its_own_figure() -> None:
    read = read_guarantees("Omega-3 fatty acids 22 % (of which EPA 6 %, DHA 8 %)", 0)
    assert [g.nutrient for g in read] == ["omega-3", "epa", "dha"]


@pytest.mark.parametrize(
    "table",
    [
        "Protein\tRohfett\tRohfaser\tOmega 3\n24 %\t9 %\t2,5 %\t0,4 %",
        "| Protein | Fett | Rohfaser | Omega 3 |\n|---|---|---|---|\n|24 %|9 %|2,5 %|0,4 %|",
        "(%)\nProtein 24\nRohfett 9\nRohfaser 2,5\nOmega 3 0,4",
        "Gehalt an Protein 24 %, Rohfett 9 %, davon Rohfaser 2,5 % und Omega-3 0,4 %",
        "24 % Protein, 9 % Rohfett, 2,5 % Rohfaser, 0,4 % Omega 3",
    ],
)
def test_names_stand_above_before_and_behind_their_figures(table: str) -> None:
    read = read_guarantees(table, 0, "Analytische Bestandteile (%)" if table[0] == "(" else "")
    assert [(given.nutrient, str(given.value)) for given in read] == [
        ("protein", "24"),
        ("fat", "9"),
        ("fibre", "2.5"),
        ("omega-3", "0.4"),
    ]
