"""The examples of rules, tried: what the test suite and `panellint rule --try PACK` run.

Each example is linted by its own rule alone, under the first market and edition that the rule
is for, with every certainty switched on. (Rules about waivers need the other findings and run
with all rules.)
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Finding, Observation, Severity
from panellint.core.phrases import fields, listed
from panellint.core.source import Source
from panellint.core.text import one_line
from panellint.lint import engine, waivers
from panellint.rulepacks import registry
from panellint.rulepacks.model import Failing, Rule
from panellint.rulepacks.packs import load, pack_files
from panellint.rulepacks.settings import Settings, editions

#: The day on which waivers in examples are judged, so that they do not age.
EXAMPLE_DAY = date(2026, 1, 1)


@dataclass(frozen=True, slots=True)
class Trial:
    """One example tried.

    `number` counts from 1 within `kind` ("passes" or "fails"); `findings` are those of the
    rule, `cases` the texts of it that they use; `problem` says what is wrong, "" where the
    rule did as it should.
    """

    rule: Rule
    kind: str
    number: int
    text: str
    findings: tuple[Finding, ...] = ()
    cases: tuple[str, ...] = ()
    problem: str = ""

    def __str__(self) -> str:
        state = self.problem or "as it should be"
        return f"{self.rule.id}, {self.kind} {self.number}: {state}"


def try_pack(
    path: str | Path, others: Iterable[Path] = (), ingredients: Iterable[Path] = ()
) -> tuple[Trial, ...]:
    """Tries the examples of one pack: a user's own (`others` are packs that go before it, those of
    the settings, say, `ingredients` the files of own ingredients) or a built-in one. A pack that
    only changes rules has none.

    Raises InputError with every fault where the pack cannot be used.
    """
    whole = Path(path).absolute()
    before = [Path(other).absolute() for other in others]
    known = {*before, *pack_files()}
    rules = load(before if whole in known else [*before, whole])
    own = [rule for rule in rules.values() if rule.path == str(whole)]
    return try_rules(own, rules, tuple(ingredients))


def try_rules(
    rules: Iterable[Rule],
    among: Mapping[str, Rule] | None = None,
    ingredients: tuple[Path, ...] = (),
) -> tuple[Trial, ...]:
    """Tries every example of these rules, in their order. `among` are all rules there are, by
    default the built-in ones; waivers may name them."""
    known = load() if among is None else among
    return tuple(trial for rule in rules for trial in _trials(rule, known, ingredients))


def _trials(
    rule: Rule, among: Mapping[str, Rule], ingredients: tuple[Path, ...]
) -> Iterable[Trial]:
    severity = {sure: rule.severity.get(sure) or Severity.HINT for sure in Certainty}
    bold = rule._replace(severity=severity)
    for number, text in enumerate(rule.examples.passes, start=1):
        yield _trial(bold, among, Trial(rule, "passes", number, text), None, ingredients)
    for number, failing in enumerate(rule.examples.fails, start=1):
        yield _trial(bold, among, Trial(rule, "fails", number, failing.text), failing, ingredients)


def _trial(
    rule: Rule,
    among: Mapping[str, Rule],
    trial: Trial,
    failing: Failing | None,
    ingredients: tuple[Path, ...],
) -> Trial:
    """Runs one example; an exception of a check is a problem of the example, told as such."""
    path = f"{rule.id} {trial.kind} {trial.number}"
    try:
        settings = replace(settings_for(rule), ingredients=ingredients)
        context = LabelContext.of(Source(trial.text, path), settings)
        seen = _observations(rule, among, context) if rule.is_about(context.kind) else None
    except Exception as error:
        return replace(trial, problem=f"{type(error).__name__}: {error}")
    if seen is None:
        return replace(trial, problem=f"the rule is not about this text: {_why_not(rule, context)}")
    weighed = ((row, given) for given in seen for row in engine.weighed(rule, given))
    pairs = sorted(weighed, key=lambda pair: pair[0].sort_key())
    findings = tuple(finding for finding, _ in pairs)
    cases = tuple(dict.fromkeys(observation.variant for _, observation in pairs))
    problem = _badly_worded(rule, pairs)
    if not problem and failing is None:
        problem = _not_silent(context, findings)
    elif not problem and failing is not None:
        problem = _not_marked(context, findings, failing)
    return replace(trial, findings=findings, cases=cases, problem=problem)


def settings_for(rule: Rule) -> Settings:
    """Returns the settings under which a rule's examples run; the texts of a rule for any market
    say theirs."""
    settings = Settings()
    if not rule.applies.market:
        return settings
    market = rule.applies.market[0]
    possible = [edition for edition in editions(market) if edition in rule.applies.edition]
    return settings.with_market(market, possible[0] if possible else None)


def _observations(
    rule: Rule, among: Mapping[str, Rule], context: LabelContext
) -> Sequence[Observation]:
    if rule.check != registry.WAIVER:
        return engine.observations(rule, context)
    label = context.label
    findings = engine.findings_of(context, among.values())
    fault = rule.parameters.text("fault")
    locking = Settings(locked=frozenset({rule.id} if fault == "locked" else ()))
    reviewed = waivers.review(
        label.waivers, findings, label.source, among, EXAMPLE_DAY, terms=waivers.Terms.of(locking)
    )
    return reviewed.about(fault)


def _why_not(rule: Rule, context: LabelContext) -> str:
    """Returns which of the rule's conditions the label does not meet."""
    rows = zip(rule.applies._fields, rule.applies, context.kind.words(), strict=True)
    return "; ".join(
        f"its {what} is {listed(has) or 'not known'}, and the rule is for {listed(wanted, 'or')}"
        for what, wanted, has in rows
        if wanted and set(wanted).isdisjoint(has)
    )


def _badly_worded(rule: Rule, pairs: Iterable[tuple[Finding, Observation]]) -> str:
    for _, observation in pairs:
        words = rule.says.get(observation.variant, rule.says.get(""))
        if words is None:
            return f"`says` has no text for the case `{observation.variant}`"
        unfilled = [name for name in fields(words) if name not in observation.values]
        if unfilled:
            known = listed(sorted(observation.values), "or") or "none"
            return f"`says` has a field `{unfilled[0]}` that is never filled (there is {known})"
    return ""


def _not_silent(context: LabelContext, findings: Sequence[Finding]) -> str:
    if not findings:
        return ""
    first = findings[0]
    return f"finds fault with `{_words(context, first)}`: {first.message}"


def _not_marked(context: LabelContext, findings: Sequence[Finding], failing: Failing) -> str:
    """Returns what is not as a failing example wants it: the words marked, the message, the
    certainty."""
    if not findings:
        return f"finds no fault; `{listed(failing.marks)}` should be marked"
    marked = [_words(context, finding) for finding in findings]
    wanted = [one_line(mark) for mark in failing.marks]
    if marked != wanted:
        return f"marks {_quoted(marked)} and not {_quoted(wanted)}"
    first = findings[0]
    if failing.says and failing.says not in first.message:
        return f"says `{first.message}`, in which `{failing.says}` does not stand"
    if failing.certainty and first.certainty != failing.certainty:
        return f"is {first.certainty} and not {failing.certainty}"
    return ""


def _words(context: LabelContext, finding: Finding) -> str:
    """Returns the marked words, white space folded."""
    return one_line(context.label.source.slice(finding.span))


def _quoted(words: Iterable[str]) -> str:
    return listed(f"`{word}`" for word in words)
