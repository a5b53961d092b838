"""Panel files to findings: the rules that apply, run in order, worded, weighed and waived."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from itertools import chain
from operator import attrgetter

from panellint.analysis.context import LabelContext
from panellint.analysis.foods import foods_of
from panellint.core.errors import Fault, InputError, PanellintError
from panellint.core.findings import Certainty, FileFindings, Finding, Observation, Severity, State
from panellint.core.phrases import fill
from panellint.core.source import Source, SpanIndex
from panellint.core.text import one_line
from panellint.lint import waivers
from panellint.rulepacks import registry
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule
from panellint.rulepacks.settings import Settings

_RANK = attrgetter("rank")
#: What is said of words that may be what a rule asks for, where the rule has no words of its own.
_NOT_READ = "{title}: “{printed}” may be meant for it, but cannot be read so."

#: What is said where nothing was seen of it, and lines were not understood that could hold it.
_NOT_SEEN = "Not seen: {title}. It may stand where nothing was understood: {where}."


def lint(
    source: Source,
    settings: Settings | None = None,
    *,
    quick: bool = False,
    today: date | None = None,
) -> FileFindings:
    """Returns the findings of one label, in the order of the text.

    `settings` are by default those that reach the source's path; `quick` leaves out what needs the
    solver; `today` is the day that waivers are judged on. Raises InputError where settings or packs
    are faulty, or where a check of another package fails.
    """
    context = LabelContext.of(source, settings, quick=quick)
    return lint_context(context, context.settings, quick=quick, today=today)


def lint_context(
    context: LabelContext, settings: Settings, *, quick: bool = False, today: date | None = None
) -> FileFindings:
    """Returns the findings of a label that is read already; `lint` says the rest."""
    rules = settings.rules
    seen = _of_each_food(context, settings)
    reviewed = waivers.review(
        context.label.waivers,
        seen,
        context.label.source,
        rules,
        today or date.today(),
        complete=not quick,
        terms=waivers.Terms.of(settings) if context.label.waivers else None,
    )
    return reviewed.result(context.source, waiver_findings(context, rules, reviewed))


def _of_each_food(context: LabelContext, settings: Settings) -> list[Finding]:
    """Returns the findings of a label; of several foods in one text each with its food's name, but
    what is found in all of them."""
    seen = [(food, _findings(food, settings.rules_about(food.kind))) for food in foods_of(context)]
    if len(seen) == 1:
        return seen[0][1]
    often = Counter(map(_words, chain.from_iterable(findings for _, findings in seen)))
    merged: dict[tuple[object, ...], Finding] = {}
    for food, findings in seen:
        name = one_line(context.source.slice(food.label.product_name_span))
        for finding in findings:
            key = _words(finding)
            if often[key] < len(seen):
                finding = finding._replace(message=f"{name}: {finding.message}")
                key = _words(finding)
            merged[key] = finding
    return list(merged.values())


def _words(finding: Finding) -> tuple[object, ...]:
    return finding.rule, finding.span, finding.message


def findings_of(context: LabelContext, rules: Iterable[Rule]) -> list[Finding]:
    """Returns what the rules find in a label, rule by rule, before waivers; rules about waivers are
    passed over."""
    kind = context.kind
    return _findings(context, (rule for rule in rules if rule.is_on and rule.is_about(kind)))


def _findings(context: LabelContext, rules: Iterable[Rule]) -> list[Finding]:
    """Returns what rules that are on and about such a label find in it, one finding for one
    cause."""
    others: dict[str, tuple[str, ...]] = {}
    findings: list[Finding] = []
    for rule in rules:
        if rule.check == registry.WAIVER:
            continue
        if rule.yields_to:
            others[rule.id] = rule.yields_to
        for observation in observations(rule, context):
            findings += (_doubted(finding, context) for finding in weighed(rule, observation))
    marked = {
        rule: SpanIndex(finding.span for finding in findings if finding.rule in others[rule])
        for rule in {finding.rule for finding in findings} & others.keys()
    }
    return [
        finding
        for finding in findings
        if finding.rule not in marked or not marked[finding.rule].overlap(finding.span)
    ]


def _doubted(finding: Finding, context: LabelContext) -> Finding:
    """Returns a finding with what stands against it: a warning at most where the statutory words of
    the label's language were not read in a text of the law."""
    words = data("words/statutory")["languages"].get(context.language)  # English has none
    if words and not words["confirmed"]:
        return finding._replace(severity=max(finding.severity, Severity.WARNING, key=_RANK))
    return finding


def waiver_findings(
    context: LabelContext, rules: Mapping[str, Rule], reviewed: waivers.Review
) -> Iterator[Finding]:
    """Yields the findings about the waivers themselves."""
    for rule in rules.values() if reviewed.faults else ():
        if rule.is_on and rule.check == registry.WAIVER and rule.is_about(context.kind):
            for observation in reviewed.about(rule.parameters.text("fault")):
                yield from weighed(rule, observation)


def weighed(rule: Rule, observation: Observation) -> Iterator[Finding]:
    """Yields an observation as its rule's finding; none of what is in order, or where the rule
    gives such no weight."""
    certainty = observation.certainty
    if certainty is None:
        return
    severity = rule.severity.get(certainty)
    if observation.state is State.NOT_READ:
        little = certainty is Certainty.PRACTICE
        severity = _at_most(rule, Severity.INFORMATION if little else Severity.WARNING)
    if severity is None:
        return
    yield Finding(
        rule=rule.id,
        severity=severity,
        certainty=certainty,
        message=message(rule, observation),
        span=observation.span,
        rests_on=observation.rests_on,
        proof=observation.proof,
        source=str(rule.source),
        because=rule.because,
        related=observation.related,
        remedies=observation.remedies,
        tags=observation.tags,
    )


def _at_most(rule: Rule, most: Severity) -> Severity | None:
    """Returns what it weighs that what a rule asks for could not be read: as much as that it is
    missing, but so much at most."""
    on = [severity for severity in rule.severity.values() if severity]
    return max(min(on, key=_RANK), most, key=_RANK) if on else None


def message(rule: Rule, observation: Observation) -> str:
    """Returns the rule's words for what was seen; its title where it has none for the case."""
    words = rule.says.get(observation.variant)
    if words is None and observation.state is State.NOT_READ:
        words = _NOT_SEEN if observation.variant == "not seen" else _NOT_READ
        return fill(words, {**observation.values, "title": rule.title.rstrip(".")})
    return fill(words or rule.says.get("", rule.title), observation.values)


def observations(rule: Rule, context: LabelContext) -> Sequence[Observation]:
    """Returns what a rule's check sees in a label, whatever it weighs; nothing where what the check
    needs is not there.

    Our own check's exceptions pass through; those of another package become an InputError that
    names package and rule.
    """
    needs = registry.needs(rule.check)
    supplied = context if needs is registry.Needs.LABEL else _supplied(needs, context)
    if supplied is None:
        return ()
    try:
        check = registry.find(rule.check)
    except PanellintError as error:
        raise InputError(Fault(rule.path, rule.line or None, None, str(error))) from error
    if not check.package:
        return tuple(check.function(supplied, rule))
    try:
        seen = tuple(check.function(supplied, rule))
        for given in seen:
            if not isinstance(given, Observation):
                raise TypeError(f"it gave {type(given).__name__} and no Observation")
    except PanellintError:
        raise
    except Exception as error:
        words = f"check `{rule.check}` of package {check.package} failed on rule `{rule.id}`: "
        raise InputError(
            Fault(context.label.source.path, None, None, f"{words}{type(error).__name__}: {error}")
        ) from error
    return seen


def _supplied(needs: registry.Needs, context: LabelContext) -> LabelContext | None:
    """Returns the context with what a check needs beside the label; None where it is not there."""
    if context.sheet is not None:
        return context if needs is registry.Needs.BATCH_SHEET else None
    if "batch-sheet" not in context.label.facts:
        return None
    if needs is registry.Needs.NAMED_SHEET:
        return context
    written: LabelContext | None = registry.with_written_sheet(context)
    return written
