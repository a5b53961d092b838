"""Lines of an analysis as bounds."""

import pytest

from panellint.core.errors import ContradictoryFigures, ImpossibleFigure, MissingFigure
from panellint.nutrition.bases import unit_of
from panellint.nutrition.bounds import AnalysisLine, ContentBounds, read_lines


def test_lines_become_bounds_in_their_own_units():
    found = read_lines(
        [
            AnalysisLine("protein", "min", 26, "%"),
            AnalysisLine("calcium", "min", 1.0, "%"),
            AnalysisLine("calcium", "max", 1.6, "%"),
            AnalysisLine("ash", "declared", 70, "g/kg"),
            AnalysisLine("zinc", "min", 0.015, "%"),
            AnalysisLine("vitamin-e", "min", 50, "IU/lb"),
            AnalysisLine("energy", "declared", 3500, "kcal/kg"),
        ]
    )
    assert found.faults == ()
    assert found.bounds["calcium"] == ContentBounds(1.0, 1.6)
    assert found.bounds["ash"] == ContentBounds.value(7.0)
    assert found.bounds["zinc"].low == pytest.approx(150)
    assert found.bounds["zinc"].unit == unit_of("zinc") == "mg/kg"
    assert found.bounds["vitamin-e"].low == pytest.approx(110.23, abs=0.01)
    assert "energy" not in found.bounds


def test_dry_matter_is_told_as_fed_by_the_declared_moisture():
    lines = [
        AnalysisLine("protein", "min", 40, "%", "dry matter"),
        AnalysisLine("moisture", "max", 75, "%"),
    ]
    assert read_lines(lines).bounds["protein"].low == pytest.approx(10)


@pytest.mark.parametrize(
    ("lines", "at", "error", "words"),
    [
        ([("protein", "min", 126, "%")], 0, ImpossibleFigure, "126 % is more than the whole"),
        ([("fat", "min", 9, "%"), ("protein", "min", -3, "%")], 1, ImpossibleFigure, "nothing"),
        ([("vitamin-a", "min", 5, "mg/kg")], 0, ImpossibleFigure, "cannot be told in IU/kg"),
        ([("zinc", "min", 5, "spoons")], 0, ImpossibleFigure, "unknown unit"),
        (
            [("protein", "min", 30, "%"), ("protein", "max", 28, "%")],
            1,
            ContradictoryFigures,
            "protein: the minimum of 30 % is above the maximum of 28 %",
        ),
    ],
)
def test_a_bad_line_gives_its_place_and_no_figure(lines, at, error, words):
    found = read_lines([AnalysisLine(*line) for line in lines])
    [(line, fault)] = found.faults
    assert line == at
    assert isinstance(fault, error)
    assert words in fault.reason
    assert lines[at][0] not in found.bounds


def test_dry_matter_without_moisture_is_not_guessed():
    found = read_lines([AnalysisLine("protein", "min", 40, "%", "dry matter")])
    [(_, fault)] = found.faults
    assert isinstance(fault, MissingFigure)
    assert found.bounds == {}


def test_moisture_of_the_whole_leaves_nothing_to_tell():
    lines = [
        AnalysisLine("moisture", "max", 100, "%"),
        AnalysisLine("protein", "min", 40, "%", "dry matter"),
    ]
    assert read_lines(lines).bounds["protein"].low == 0
