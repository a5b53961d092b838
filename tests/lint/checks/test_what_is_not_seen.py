"""What is said of a part that was not seen where words of the label were not understood."""

import pytest

from panellint.core.findings import Severity
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings

_LABEL = """Quail Recipe for Dogs
Ingredients: quail, millet, salt
Guaranteed analysis: crude protein (min) 26%, crude fat (min) 14%, crude fiber (max) 5%,
  moisture (max) 8%
{calories}
Quail Recipe for Dogs is formulated to meet the nutritional levels established by the AAFCO
  Dog Food Nutrient Profiles for maintenance.
Feeding: 1 cup per 10 lb of body weight daily
{net}Quillbrook Larder, 4 Millrace Lane, Quillbrook, VT 05099

{line}
"""
_CALORIES = "Calorie content (calculated): 3,500 kcal/kg, 390 kcal per cup"


def about(rule: str, *, line: str = "", net: str = "", calories: str = _CALORIES) -> list:
    text = _LABEL.format(line=line, net=net, calories=calories)
    given = lint(Source(text, "label"), Settings().with_market("us"), quick=True)
    return [finding for finding in given.findings if finding.rule == rule]


def test_a_part_is_missing_where_every_line_was_understood() -> None:
    assert [finding.severity for finding in about("us-net-quantity")] == [Severity.WARNING]
    assert not about("us-net-quantity", net="Net Wt 4 lb (1.81 kg)\n")


def test_the_lines_that_could_hold_it_are_named() -> None:
    (finding,) = about("us-net-quantity", line="Zorb 4 qux")
    assert finding.severity is Severity.INFORMATION
    assert "line 11" in finding.message


def test_a_line_without_a_figure_holds_no_quantity() -> None:
    (finding,) = about("us-net-quantity", line="Zorb qux")
    assert finding.severity is Severity.WARNING


@pytest.mark.parametrize("per", ["2 fl oz", "5 oz", "100 ml"])
def test_calories_per_so_much_are_per_a_unit_that_is_fed(per: str) -> None:
    calories = f"Calorie content (calculated): 120 kcal/kg, 7 kcal per {per}"
    assert not about("calorie-per-unit", calories=calories)


def test_a_figure_of_energy_that_was_not_read_may_be_the_one_per_unit() -> None:
    calories = "Calorie content (calculated): 120 kcal/kg; the whole bottle: 57 kcal"
    (finding,) = about("calorie-per-unit", calories=calories)
    assert finding.severity is Severity.INFORMATION
    assert "57 kcal" in finding.message
