"""Fixes applied, and the label linted again."""

from datetime import date

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.source import Source
from panellint.lint.engine import lint_context
from panellint.rulepacks.settings import Settings
from panellint.server.fixes import remedies

TODAY = date(2027, 1, 31)


def fixes(text: str, market: str = "us") -> dict[tuple[str, str], str]:
    """The text after each fix, by rule and title."""
    settings = Settings().with_market(market)
    context = LabelContext.of(Source(text, "x.panel"), settings)
    made = {}
    for finding in lint_context(context, settings, today=TODAY).findings:
        for remedy in remedies(context, finding, TODAY):
            after = text
            for edit in sorted(remedy.edits, key=lambda edit: edit.span, reverse=True):
                after = after[: edit.span.start] + edit.text + after[edit.span.end :]
            made[finding.rule, remedy.title] = after
    return made


def rules(text: str, market: str = "us") -> set[str]:
    settings = Settings().with_market(market)
    context = LabelContext.of(Source(text, "x.panel"), settings)
    return {one.rule for one in lint_context(context, settings, today=TODAY).findings}


LABEL = (
    "Product name: Quillbrook Larder Duck Dinner for Dogs\n"
    "Ingredients: duck, millet, salt.\n"
    "Guaranteed analysis: moisture (max) 8%, crude protein (min) 26%, ash (max) 7%, "
    "crude fat (min) 14%\n"
)


def test_the_order_on_one_line_has_ash_behind_moisture():
    text = fixes(LABEL)["guarantee-order", "Put the guarantees in the prescribed order"]
    assert text.splitlines()[2] == (
        "Guaranteed analysis: crude protein (min) 26%, crude fat (min) 14%, moisture (max) 8%, "
        "ash (max) 7%"
    )
    assert "guarantee-order" not in rules(text)


def test_a_nutrient_given_twice_is_left_to_the_maker():
    twice = LABEL.replace("ash (max) 7%", "moisture (max) 9%")
    assert not [title for rule, title in fixes(twice) if "prescribed" in title]


def test_missing_lines_go_where_they_belong():
    text = (
        "Product name: Quillbrook Larder Duck Dinner for Dogs\r\n"
        "Ingredients: duck, millet, salt.\r\n"
        "Guaranteed analysis\r\n"
        "  Crude fat (min.) 14%\r\n"
        "  Moisture (max.) 8%\r\n"
    )
    after = fixes(text)["guarantee-missing", "Insert the missing guarantees to fill in"]
    assert after.split("\r\n")[2:-1] == [
        "Guaranteed analysis",
        "  Crude protein (min.) ____ %",
        "  Crude fat (min.) 14%",
        "  Crude fiber (max.) ____ %",
        "  Moisture (max.) 8%",
    ]
    assert "\n" not in after.replace("\r\n", "")
    # Until the figures are there, both the lack and the blanks are told.
    assert {"guarantee-missing", "blank-left"} <= rules(after)
    filled = after.replace("____", "5")
    assert not {"guarantee-missing", "guarantee-order", "blank-left"} & rules(filled)


@pytest.mark.parametrize(
    ("market", "rule", "title"),
    [
        ("us", "adequacy-missing", "Insert a statement for intermittent or supplemental feeding"),
        ("eu", "eu-feed-type", "Call it a complementary pet food"),
        ("eu", "eu-constituents", "Insert the missing constituents to fill in"),
        ("us", "calorie-line", "Insert a calorie line to fill in"),
    ],
)
def test_a_draft_filled_in_settles_the_finding(market, rule, title):
    text = fixes(LABEL, market)[rule, title]
    assert rule not in rules(text.replace("____", "400"), market)


def test_no_blank_passes_for_a_statement():
    for (_, title), text in fixes(LABEL.replace("Guaranteed", "Lot: 7\nGuaranteed"), "eu").items():
        if "____" in text:
            assert "blank-left" in rules(text, "eu"), title


def test_a_waiver_holds_once_its_reason_is_written():
    made = fixes(LABEL)
    title = "Waive calorie-line until 2027-05-01, for a reason that you write"
    text = made["calorie-line", title]
    assert text.endswith("Waive calorie-line until 2027-05-01: \n")
    assert {"calorie-line", "waiver-without-reason"} <= rules(text)
    written = text.rstrip() + " the laboratory answers in April\n"
    assert not {"calorie-line", "waiver-without-reason"} & rules(written)


def test_a_waiver_is_not_waived():
    text = "Ingredients: duck.\nWaive calorie-line until 2026-01-01: old\n"
    assert [title for rule, title in fixes(text) if rule == "waiver-expired"] == [
        "Remove the waiver"
    ]
