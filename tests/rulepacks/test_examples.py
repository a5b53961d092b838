"""Every example of every built-in rule, linted; and what each rule must bring along."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from panellint.lint.runner.examples import Trial, try_rules
from panellint.rulepacks import packs, registry
from panellint.rulepacks.compile.packs import compile_packs

RULES = packs.load()


def unused_cases(trials: Iterable[Trial]) -> dict[str, tuple[str, ...]]:
    """Returns the texts of rules that no example brings about, by rule id: words that nobody has
    seen filled in."""
    missing: dict[str, list[str]] = {}
    for trial in trials:
        cases = missing.setdefault(trial.rule.id, list(trial.rule.says))
        missing[trial.rule.id] = [context for context in cases if context not in trial.cases]
    return {name: tuple(cases) for name, cases in missing.items() if cases}


@pytest.fixture(scope="module")
def trials() -> dict[str, list[Trial]]:
    found: dict[str, list[Trial]] = {name: [] for name in RULES}
    for trial in try_rules(RULES.values()):
        found[trial.rule.id].append(trial)
    return found


def test_the_built_in_packs_have_no_fault() -> None:
    compiled = compile_packs(packs.pack_files(), ())
    assert [one["id"] for one in compiled["rules"]] == list(RULES)


@pytest.mark.parametrize("name", RULES)
def test_the_examples_of_a_rule_hold(trials: dict[str, list[Trial]], name: str) -> None:
    assert {trial.kind for trial in trials[name]} == {"passes", "fails"}
    assert [str(trial) for trial in trials[name] if trial.problem] == []


@pytest.mark.parametrize("name", RULES)
def test_every_text_of_a_rule_is_brought_about_by_an_example(
    trials: dict[str, list[Trial]], name: str
) -> None:
    assert unused_cases(trials[name]) == {}


@pytest.mark.parametrize("name", RULES)
def test_a_rule_says_what_why_and_on_what_ground(name: str) -> None:
    rule = RULES[name]
    assert rule.title.strip()
    assert rule.because.strip()
    assert all(words.strip() for words in rule.says.values())
    assert rule.source.practice or (rule.source.document and rule.source.section)


@pytest.mark.parametrize("name", RULES)
def test_the_check_of_a_rule_is_ours_and_can_be_imported(name: str) -> None:
    check = registry.find(RULES[name].check)
    assert check.package == ""
    assert callable(check.function)


def test_every_check_is_used_by_a_rule() -> None:
    assert set(registry.ours()) == {rule.check for rule in RULES.values()}


@pytest.mark.parametrize("name", RULES)
def test_a_text_that_was_not_read_makes_no_error(name: str) -> None:
    # What only others quote is a warning at most, and says where it was read; what stands on
    # memory alone is a hint.
    rule = RULES[name]
    if not rule.source.seen and not rule.source.practice:
        weights = {weight.value for weight in rule.severity.values() if weight}
        quoted = {"warning", "information"} if rule.source.note else set()
        assert weights <= {"hint", *quoted}


def test_few_rules_need_a_regular_expression() -> None:
    def holds_one(value: object) -> bool:
        if isinstance(value, dict):
            return "regex" in value or any(map(holds_one, value.values()))
        return isinstance(value, list) and any(map(holds_one, value))

    found = [name for name, rule in packs.load().items() if holds_one(dict(rule.parameters))]
    assert len(found) < 15, found
