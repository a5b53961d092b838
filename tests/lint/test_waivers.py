"""Waivers: which findings they take away, and what is said of the waivers themselves."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panellint.core.errors import InputError
from panellint.core.findings import Certainty, Finding, Severity
from panellint.core.source import Source, Span
from panellint.label.model import WaiverLine
from panellint.label.reader import read_label
from panellint.lint import waivers
from panellint.lint.engine import lint
from panellint.lint.waived import waived
from panellint.rulepacks import packs
from panellint.rulepacks.settings import Settings

RULES = dict.fromkeys(
    ("calorie-line", "name-quarter-share", "split-family"), packs.load()["calorie-line"]
)
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
    ("until", "holds"), [(date(2026, 6, 14), False), (TODAY, True), (date(2026, 6, 16), True)]
)
def test_a_waiver_holds_on_its_last_day_and_not_after(until: date, holds: bool) -> None:
    found = review(waiver(until=until))
    assert bool(found.waived) is holds
    assert [kind for kind, _ in found.faults] == (["ending"] if holds else ["expired"])


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


@given(st.lists(LINES, max_size=6), st.lists(st.sampled_from([*RULES]), max_size=6))
def test_no_finding_is_lost_and_every_waiver_is_used_or_told(
    lines: list[WaiverLine], rules: list[str]
) -> None:
    found = review(*lines, rules=tuple(rules))
    assert sorted([*found.standing, *found.waived], key=Finding.sort_key) == sorted(
        (finding(rule, index) for index, rule in enumerate(rules)), key=Finding.sort_key
    )
    wrong = [kind for kind, _ in found.faults if kind != "ending"]
    assert len(wrong) + len({one.rule for one in found.waived}) == len(lines)


@pytest.mark.parametrize(
    ("days", "faults"),
    [(29, ["ending"]), (30, ["ending"]), (31, []), (366, []), (367, ["too-long"])],
)
def test_a_waiver_is_spoken_of_before_it_ends_and_refused_beyond_the_longest(days, faults):
    found = review(waiver(until=TODAY + timedelta(days=days)))
    assert [kind for kind, _ in found.faults] == faults
    assert bool(found.waived) is (faults != ["too-long"])


def test_a_pattern_of_rules_waives_nothing():
    found = review(waiver(rule="*"))
    assert [kind for kind, _ in found.faults] == ["pattern"]
    assert not found.waived


def test_a_line_waives_each_rule_that_it_names(tmp_path):
    text = (
        "Product name: Duck Dinner for Dogs\nMarket: US\nIngredients: duck, millet\n"
        "Waive calorie-line, guarantees-missing until 2026-07-30: laboratory values expected\n"
    )
    found = lint(Source(text, "a.panel"), today=TODAY)
    waived = {one.rule for one in found.waived}
    assert "calorie-line" in waived
    assert [w.rule for w in read_label(Source(text, "a.panel")).waivers] == [
        "calorie-line",
        "guarantees-missing",
    ]


def test_a_locked_rule_is_neither_waived_nor_changed_below(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("panellint.yaml").write_text("locked: [calorie-line]\nlongest-waiver: 30\n")
    below = tmp_path / "brand"
    below.mkdir()
    text = (
        "Product name: Duck Dinner for Dogs\nMarket: US\nIngredients: duck, millet\n"
        "Waive calorie-line until 2026-07-01: laboratory values expected\n"
    )
    label = below / "a.panel"
    label.write_text(text)
    settings = Settings.for_path(label)
    found = lint(Source(text, str(label)), settings, today=TODAY)
    rules = [one.rule for one in found.findings]
    assert "calorie-line" in rules
    assert "waiver-locked" in rules
    (below / "panellint.yaml").write_text("longest-waiver: 900\nrules:\n  calorie-line: off\n")
    with pytest.raises(InputError, match="rule `calorie-line` is locked by"):
        Settings.for_path(label)
    (below / "panellint.yaml").write_text("longest-waiver: 900\n")
    settings = Settings.for_path(label)
    assert settings.locked == {"calorie-line"}
    assert settings.longest_waiver == 30


def test_all_that_is_waived_or_switched_off_is_listed(tmp_path):
    (tmp_path / "panellint.yaml").write_text(
        "rules:\n  waiver-unused: off\nlocked: [waiver-locked]\n"
    )
    label = tmp_path / "a.panel"
    label.write_text(
        "Product name: Duck Dinner\nMarket: US\nIngredients: duck, millet\n"
        "Waive calorie-line until 2026-07-30: laboratory value\nWaive * until 2026-07-30: all\n"
    )
    found = waived([str(label)], today=TODAY)
    assert [(one["rule"], one["line"], one["state"]) for one in found["waivers"]] == [
        ("calorie-line", 4, "holds"),
        ("*", 5, "pattern"),
    ]
    assert found["waivers"][0]["findings"]
    assert [(one["rule"], one["change"]) for one in found["changes"]] == [
        ("waiver-unused", "switched off")
    ]
    assert found["locked"] == ["waiver-locked"]
