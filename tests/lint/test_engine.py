"""The engine: which rules run, how observations become findings, and in which order.

The labels here are made by hand, so that nothing but the engine is under test.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest

from panellint.catalogue import load
from panellint.core.errors import InputError
from panellint.core.findings import Certainty, Observation, Severity
from panellint.core.source import Source, Span
from panellint.label.model import Label, WaiverLine
from panellint.lint import engine
from panellint.rulepacks import packs, registry
from panellint.rulepacks.model import Applies, Change, LabelKind, Rule
from panellint.rulepacks.settings import Settings

TODAY = date(2026, 6, 15)
ALL_ON = dict.fromkeys(Certainty, Severity.ERROR)


@dataclass
class HandMade:
    """What the engine reads of a context."""

    label: Label = field(default_factory=lambda: Label(Source("duck, millet", "duck.panel")))
    market: str = "us"
    edition: str = "modernised"
    species: str | None = "dog"
    form: Any = field(default_factory=lambda: SimpleNamespace(id="kibble"))
    stages: tuple[str, ...] = ("maintenance",)
    uses: tuple[str, ...] = ()
    language: str = "en"
    catalogue: Any = field(default_factory=load)

    @property
    def source(self) -> Source:
        return self.label.source

    @property
    def kind(self) -> LabelKind:
        return LabelKind(
            self.market, self.edition, self.species, self.form.id, self.stages, self.uses
        )


def context(**changes: Any) -> Any:
    return HandMade(**changes)


@pytest.fixture
def rule(monkeypatch: pytest.MonkeyPatch) -> Callable[..., Rule]:
    """A rule whose check gives the observations that are handed over."""
    base = packs.load()["waiver-unused"]

    def make(
        *seen: object,
        id: str = "some-rule",
        package: str = "",
        error: Exception | None = None,
        **changes: Any,
    ) -> Rule:
        def check(context: Any, rule: Rule) -> Iterator[Any]:
            yield from seen
            if error is not None:
                raise error

        name = f"check-of-{id}"
        checks[name] = registry.Check(name, check, package)
        return base._replace(
            id=id, check=name, severity=ALL_ON, **{"says": {"": "words"}, **changes}
        )

    checks: dict[str, registry.Check] = {}
    real = registry.find
    monkeypatch.setattr(
        registry, "find", lambda name: checks[name] if name in checks else real(name)
    )
    return make


def seen(start: int = 0, certainty: Certainty = Certainty.PROVEN, **more: Any) -> Observation:
    return Observation(Span(start, start + 4), certainty, **more)


def settings_of(*rules: Rule, **changes: Change) -> Settings:
    settings = Settings()
    waiver_rules = {name: one for name, one in packs.load().items() if one.check == "waiver"}
    mine = {one.id: one for one in rules}
    for name, change in changes.items():
        mine[name.replace("_", "-")] = mine[name.replace("_", "-")].changed(change)
    settings.__dict__["rules"] = {**mine, **waiver_rules}
    return settings


@pytest.mark.parametrize(
    ("severity", "certainty", "expected"),
    [
        ({Certainty.PROVEN: Severity.ERROR}, Certainty.PROVEN, [Severity.ERROR]),
        ({Certainty.PROVEN: Severity.ERROR}, Certainty.POSSIBLE, []),
        ({Certainty.POSSIBLE: None}, Certainty.POSSIBLE, []),
        ({Certainty.PRACTICE: Severity.HINT}, Certainty.PRACTICE, [Severity.HINT]),
    ],
)
def test_certainty_becomes_the_severity_that_the_rule_gives_it(
    rule: Callable[..., Rule],
    severity: dict[Certainty, Severity | None],
    certainty: Certainty,
    expected: list[Severity],
) -> None:
    one = rule(seen(certainty=certainty))._replace(severity=severity)
    assert [finding.severity for finding in engine.findings_of(context(), [one])] == expected


def test_a_finding_carries_what_the_check_saw_and_what_the_rule_says(
    rule: Callable[..., Rule],
) -> None:
    one = rule(
        seen(
            values={"most": 25.0, "named": ["duck", "millet"], "needs": Decimal("95.50")},
            variant="short",
            rests_on=("order",),
            proof=("three stand before it",),
        ),
        says={"short": "{named}: at most {most} %, needs {needs} % {who}", "long": "-"},
    )
    (finding,) = engine.findings_of(context(), [one])
    assert finding.message == "duck and millet: at most 25 %, needs 95.5 % {who}"
    assert finding.rests_on == ("order",)
    assert finding.proof == ("three stand before it",)
    assert finding.source == "common practice"
    assert finding.because == one.because


@pytest.mark.parametrize(
    ("applies", "changes", "expected"),
    [
        (Applies(), {}, True),
        (Applies(market=("us", "ca")), {}, True),
        (Applies(market=("eu",)), {}, False),
        (Applies(edition=("legacy",)), {}, False),
        (Applies(edition=("legacy",)), {"edition": "legacy"}, True),
        (Applies(species=("dog",)), {}, True),
        (Applies(species=("dog",)), {"species": None}, False),
        (Applies(species=("cat",)), {}, False),
        (Applies(form=("kibble", "baked")), {}, True),
        (Applies(form=("canned",)), {}, False),
        (Applies(stage=("growth", "maintenance")), {}, True),
        (Applies(stage=("growth",)), {}, False),
        (Applies(stage=("growth",)), {"stages": ()}, False),
        (Applies(use=("treat",)), {}, False),
        (Applies(use=("treat",)), {"uses": ("treat",)}, True),
    ],
)
def test_a_rule_runs_where_it_applies_and_nowhere_else(
    rule: Callable[..., Rule], applies: Applies, changes: dict[str, Any], expected: bool
) -> None:
    one = rule(seen(), applies=applies)
    assert bool(engine.findings_of(context(**changes), [one])) is expected


def test_findings_stand_in_the_order_of_the_text_whatever_the_order_of_the_rules(
    rule: Callable[..., Rule],
) -> None:
    rules = [rule(seen(6), seen(0), id="b"), rule(seen(0), id="a")]
    forwards = engine.lint_context(context(), settings_of(*rules), today=TODAY)
    backwards = engine.lint_context(context(), settings_of(*reversed(rules)), today=TODAY)
    assert forwards.findings == backwards.findings
    assert [(one.rule, one.span.start) for one in forwards.findings] == [
        ("a", 0),
        ("b", 0),
        ("b", 6),
    ]


def test_settings_change_severity_by_certainty_and_switch_off(rule: Callable[..., Rule]) -> None:
    one = rule(seen(), seen(6, Certainty.POSSIBLE))
    changed = settings_of(one, some_rule=Change(severity={"proven": "hint", "possible": "off"}))
    found = engine.lint_context(context(), changed, today=TODAY).findings
    assert [finding.severity for finding in found] == [Severity.HINT]
    off = settings_of(one, some_rule=Change(severity="off"))
    assert engine.lint_context(context(), off, today=TODAY).findings == ()


def test_one_severity_word_reaches_only_what_is_on(rule: Callable[..., Rule]) -> None:
    seen_twice = rule(seen(), seen(6, Certainty.POSSIBLE))
    one = seen_twice._replace(
        severity={Certainty.PROVEN: Severity.ERROR, Certainty.POSSIBLE: None}
    ).changed(Change(severity="warning"))
    assert one.severity == {Certainty.PROVEN: Severity.WARNING, Certainty.POSSIBLE: None}


def waived(rule: str, until: date = date(2026, 12, 31)) -> Label:
    line = WaiverLine(rule, until, "why", Span(0, 4), Span(0, 4))
    return Label(Source("duck, millet", "duck.panel"), waivers=(line,))


def test_a_waived_finding_is_kept_apart(rule: Callable[..., Rule]) -> None:
    settings = settings_of(rule(seen()), rule(seen(), id="other"))
    result = engine.lint_context(context(label=waived("some-rule")), settings, today=TODAY)
    assert [finding.rule for finding in result.findings] == ["other"]
    assert [finding.rule for finding in result.waived] == ["some-rule"]


def test_an_expired_waiver_brings_the_finding_back_and_one_of_its_own(
    rule: Callable[..., Rule],
) -> None:
    label = waived("some-rule", date(2026, 6, 1))
    result = engine.lint_context(context(label=label), settings_of(rule(seen())), today=TODAY)
    assert [finding.rule for finding in result.findings] == ["some-rule", "waiver-expired"]
    assert "ended on 2026-06-01" in result.findings[1].message


def test_an_unused_waiver_is_a_finding_but_not_in_a_quick_run(rule: Callable[..., Rule]) -> None:
    settings = settings_of(rule())
    label = waived("some-rule")
    slow = engine.lint_context(context(label=label), settings, today=TODAY)
    quick = engine.lint_context(context(label=label), settings, quick=True, today=TODAY)
    assert [finding.rule for finding in slow.findings] == ["waiver-unused"]
    assert slow.findings[0].tags == ("unnecessary",)
    assert quick.findings == ()


def test_what_a_foreign_check_throws_names_its_package_and_rule(rule: Callable[..., Rule]) -> None:
    one = rule(seen(), package="larder-rules", error=ValueError("no such cupboard"))
    with pytest.raises(InputError) as caught:
        engine.findings_of(context(), [one])
    told = str(caught.value)
    assert "duck.panel" in told
    assert "package larder-rules" in told
    assert "rule `some-rule`" in told
    assert "no such cupboard" in told
    with pytest.raises(InputError, match="gave str and no Observation"):
        engine.findings_of(context(), [rule("duck", package="larder-rules")])


def test_what_a_check_of_ours_throws_passes_through(rule: Callable[..., Rule]) -> None:
    with pytest.raises(ZeroDivisionError):
        engine.findings_of(context(), [rule(error=ZeroDivisionError())])
