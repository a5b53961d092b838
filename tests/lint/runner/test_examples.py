"""The harness of examples: what it runs an example under, and what it calls a problem."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation, Severity
from panellint.core.source import Source, Span
from panellint.label.model import Label
from panellint.lint.runner import examples
from panellint.rulepacks import packs, registry
from panellint.rulepacks.model import Applies, Examples, Failing, Rule
from panellint.rulepacks.settings import Settings


class WordsOnly(LabelContext):
    """A case that reads no label: it knows its text, and under which settings it is looked at."""

    def __init__(self, source: Source, settings: Settings, *, quick: bool = False) -> None:
        super().__init__(source, settings, quick=quick)
        self.label = Label(source)
        self.species = "cat" if "cat" in source.text else None


def goose_is_no_duck(context: Any, rule: Rule) -> Iterator[Observation]:
    """Marks every "goose"; possible where the market is not the usual one."""
    text = context.label.source.text
    if "crash" in text:
        raise ValueError("no such bird")
    at = text.find("goose")
    while at >= 0:
        sure = Certainty.PROVEN if context.edition == "modernised" else Certainty.POSSIBLE
        yield Observation(Span(at, at + 5), sure, {"bird": "goose"}, "one")
        at = text.find("goose", at + 1)


@pytest.fixture
def rule(monkeypatch: pytest.MonkeyPatch) -> Callable[..., Rule]:
    monkeypatch.setattr(examples, "LabelContext", WordsOnly)
    find = registry.find
    ours = registry.Check("goose", goose_is_no_duck)
    monkeypatch.setattr(registry, "find", lambda name: ours if name == "goose" else find(name))
    base = packs.load()["waiver-unused"]

    def make(*examples: str | Failing, **changes: Any) -> Rule:
        passes = tuple(one for one in examples if isinstance(one, str))
        fails = tuple(one for one in examples if isinstance(one, Failing))
        return base._replace(
            **{
                "id": "goose-is-no-duck",
                "check": "goose",
                "severity": {Certainty.PROVEN: Severity.ERROR},
                "says": {"one": "{bird} is no duck"},
                "examples": Examples(passes, fails),
                **changes,
            }
        )

    return make


def problems(rule: Rule) -> list[str]:
    return [trial.problem for trial in examples.try_rules([rule])]


def test_examples_that_hold(rule: Callable[..., Rule]) -> None:
    one = rule("duck", Failing("a goose", ("goose",), says="goose is no"))
    trials = examples.try_rules([one])
    assert [str(trial) for trial in trials] == [
        "goose-is-no-duck, passes 1: as it should be",
        "goose-is-no-duck, fails 1: as it should be",
    ]


@pytest.mark.parametrize(
    ("example", "problem"),
    [
        ("a goose", "finds fault with `goose`: goose is no duck"),
        (Failing("duck", ("duck",)), "finds no fault; `duck` should be marked"),
        (Failing("a goose", ("a goose",)), "marks `goose` and not `a goose`"),
        (Failing("goose, goose", ("goose",)), "marks `goose` and `goose` and not `goose`"),
        (Failing("goose", ("goose",), says="hen"), "says `goose is no duck`, in which `hen`"),
        (Failing("goose", ("goose",), certainty="practice"), "and not practice"),
        ("crash", "ValueError: no such bird"),
    ],
)
def test_examples_that_do_not_hold(
    rule: Callable[..., Rule], example: str | Failing, problem: str
) -> None:
    (told,) = problems(rule(example))
    assert problem in told


def test_every_certainty_is_on(rule: Callable[..., Rule]) -> None:
    possible = {"edition": "legacy"}
    one = rule(
        Failing("goose", ("goose",), certainty="possible"),
        applies=Applies(market=("us",), edition=(possible["edition"],)),
    )
    assert problems(one) == [""]


def test_an_example_runs_under_the_first_market_and_edition_of_its_rule(
    rule: Callable[..., Rule],
) -> None:
    one = rule(
        Failing("goose", ("goose",), certainty="proven"),
        applies=Applies(market=("us", "eu"), edition=("modernised",)),
    )
    assert problems(one) == [""]
    assert examples.settings_for(rule(applies=Applies(market=("uk",)))).market_for("us") == "uk"


def test_an_example_that_the_rule_is_not_about_is_told_why(rule: Callable[..., Rule]) -> None:
    one = rule("duck", "duck for a cat", applies=Applies(species=("dog",)))
    assert problems(one) == [
        "the rule is not about this text: its species is not known, and the rule is for dog",
        "the rule is not about this text: its species is cat, and the rule is for dog",
    ]


@pytest.mark.parametrize(
    ("says", "problem"),
    [
        ({"one": "{brid} is no duck"}, "a field `brid` that is never filled (there is bird)"),
        ({"two": "no duck"}, "no text for the case `one`"),
    ],
)
def test_words_that_cannot_be_filled_are_a_problem(
    rule: Callable[..., Rule], says: dict[str, str], problem: str
) -> None:
    (told,) = problems(rule(Failing("goose", ("goose",)), says=says))
    assert problem in told


def test_the_pack_of_a_user_is_tried_alone_and_a_built_in_one_too(
    rule: Callable[..., Rule], own_cache: Path, tmp_path: Path
) -> None:
    path = tmp_path / "brand.yaml"
    path.write_text(
        """pack: brand
off: [waiver-unused]
rules:
  - id: no-expired-waivers
    title: A brand of its own mind
    check: waiver
    severity: error
    with: {fault: unknown-rule}
    says: {near: "{rule}", far: "{rule} is no rule"}
    because: Kept short.
    source: {practice: true}
    examples:
      passes: [duck]
      fails: [{text: duck, marks: duck}]
""",
        encoding="utf-8",
    )
    for trials in (examples.try_pack(path), examples.try_pack(path, [path])):
        assert [(one.kind, one.problem) for one in trials] == [
            ("passes", ""),
            ("fails", "finds no fault; `duck` should be marked"),
        ]
    built_in = next(one for one in packs.pack_files() if one.name == "waivers.yaml")
    assert {trial.rule.pack for trial in examples.try_pack(built_in)} == {"practice"}
