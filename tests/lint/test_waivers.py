"""Waivers: which findings they take away, and what is said of the waivers themselves."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.findings import Certainty, Finding, Severity
from panellint.core.source import Source, Span
from panellint.label.model import WaiverLine
from panellint.lint import waivers

RULES = ("calorie-line", "name-quarter-share", "split-family")
TODAY = date(2026, 6, 15)


def finding(rule: str, start: int = 0) -> Finding:
    return Finding(rule, Severity.ERROR, Certainty.PROVEN, "words", Span(start, start + 1))


def waiver(
    rule: str = "calorie-line",
    until: date | None = date(2026, 12, 31),
    reason: str = "laboratory value expected",
    span: Span = Span(10, 40),
) -> WaiverLine:
    return WaiverLine(rule, until, reason, span, Span(span.start + 6, span.start + 6 + len(rule)))


def review(
    *lines: WaiverLine, rules: tuple[str, ...] = ("calorie-line",), complete: bool = True
) -> waivers.Review:
    findings = [finding(rule, index) for index, rule in enumerate(rules)]
    source = Source("x" * 10 + "y" * 30 + "\r\n" + "z" * 40)
    return waivers.review(lines, findings, source, RULES, TODAY, complete)


def test_a_waiver_takes_every_finding_of_its_rule_and_no_other() -> None:
    found = review(waiver(), rules=("calorie-line", "split-family", "calorie-line"))
    assert [one.rule for one in found.standing] == ["split-family"]
    assert [one.span.start for one in found.waived] == [0, 2]
    assert found.faults == ()


@pytest.mark.parametrize(
    ("until", "holds"),
    [(date(2026, 6, 14), False), (TODAY, True), (date(2026, 6, 16), True)],
)
def test_a_waiver_holds_on_its_last_day_and_not_after(until: date, holds: bool) -> None:
    found = review(waiver(until=until))
    assert bool(found.waived) is holds
    assert [kind for kind, _ in found.faults] == ([] if holds else ["expired"])


@pytest.mark.parametrize(
    ("line", "fault"),
    [
        (waiver(rule="calory-line"), "unknown-rule"),
        (waiver(reason="  "), "without-reason"),
        (waiver(until=None), "without-date"),
        (waiver(until=date(2020, 2, 29)), "expired"),
        (waiver(rule="split-family"), "unused"),
        (waiver(rule="zzz", until=None, reason=""), "unknown-rule"),
        (waiver(until=None, reason=""), "without-reason"),
    ],
)
def test_a_faulty_waiver_takes_nothing_and_is_told_once(line: WaiverLine, fault: str) -> None:
    found = review(line)
    assert [one.rule for one in found.standing] == ["calorie-line"]
    assert found.waived == ()
    assert [kind for kind, _ in found.faults] == [fault]


def test_the_second_waiver_of_a_rule_is_unused() -> None:
    found = review(waiver(), waiver(span=Span(50, 60)))
    assert [(kind, one.span.start) for kind, one in found.faults] == [("unused", 50)]


def test_a_run_that_left_rules_out_calls_no_waiver_unused() -> None:
    assert review(waiver(rule="split-family"), complete=False).faults == ()


def test_a_misspelt_rule_is_marked_and_can_be_mended() -> None:
    ((_, seen),) = review(waiver(rule="calory-line")).faults
    assert seen.span == Span(16, 27)
    assert seen.variant == "near"
    assert seen.values["near"] == "calorie-line"
    assert seen.remedies[0].edits[0].text == "calorie-line"
    assert seen.remedies[0].edits[0].span == seen.span
    ((_, far),) = review(waiver(rule="zzz")).faults
    assert far.variant == "far"


def test_taking_a_waiver_away_takes_its_line_end_where_it_stands_alone() -> None:
    source = Source("Duck\nWaive zzz until 2020-01-01: x\r\nSalt")
    line = waiver(until=date(2020, 1, 1), span=Span(5, 34))
    reviewed = waivers.review([line], [finding("calorie-line")], source, RULES, TODAY)
    ((_, seen),) = reviewed.faults
    (edit,) = seen.remedies[-1].edits
    assert source.text[: edit.span.start] + edit.text + source.text[edit.span.end :] == (
        "Duck\nSalt"
    )


LINES = st.builds(
    waiver,
    rule=st.sampled_from([*RULES, "zzz"]),
    until=st.one_of(st.none(), st.dates(date(2026, 6, 1), date(2026, 7, 1))),
    reason=st.sampled_from(["", "why"]),
)


@given(st.lists(LINES, max_size=6), st.lists(st.sampled_from(RULES), max_size=6))
def test_no_finding_is_lost_and_every_waiver_is_used_or_told(
    lines: list[WaiverLine], rules: list[str]
) -> None:
    found = review(*lines, rules=tuple(rules))
    assert sorted([*found.standing, *found.waived], key=Finding.sort_key) == sorted(
        (finding(rule, index) for index, rule in enumerate(rules)), key=Finding.sort_key
    )
    assert len(found.faults) + len({one.rule for one in found.waived}) == len(lines)
