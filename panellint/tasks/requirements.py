"""What a market asks of one label, requirement by requirement, each in exactly one state."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.core.errors import PanellintError
from panellint.core.findings import Certainty, Finding, Observation, Severity, State
from panellint.core.records import to_data
from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.lint import engine
from panellint.lint.checks.support.label_parts import is_whole, lacking, where
from panellint.output.findings.json import finding_data
from panellint.results.requirements import RequirementData, RequirementSheet, StateData
from panellint.rulepacks import packs
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule, RuleSource
from panellint.rulepacks.requirements import (
    WORDING,
    Requirement,
    StateText,
    requirements,
    state_text,
)

#: The state of a requirement is the first of these that one of its rules sees.
_GRAVEST = (
    State.DEPARTS,
    State.MISSING,
    State.NOT_READ,
    State.OPEN,
    State.MET,
    State.NOT_VISIBLE,
    State.NOT_DUE,
)
#: The rule that says of a text that nothing of it was read.
_NOT_READ = "label-not-read"


class Standing(NamedTuple):
    """How a requirement stands: where, with which findings, and why."""

    requirement: Requirement
    state: State
    source: RuleSource
    span: Span | None = None
    findings: tuple[Finding, ...] = ()
    note: str = ""


def sheet(
    context: LabelContext,
    edition: str | None = None,
    state: str | None = None,
    language: str = "en",
) -> RequirementSheet:
    """Returns what the market asks of a label, in the order of its sheet;
    `panellint.api.requirements` says the rest."""
    enacted = state_text(state) if state else None
    if enacted and context.market != "us":
        raise PanellintError(
            f"{context.source.path}: {enacted.title} is a state of the US; the market is "
            f"{context.market}"
        )
    if edition := edition or (enacted.edition if enacted else None):
        settings = context.settings.with_market(context.market, edition)
        context = LabelContext.of(context.source, settings)
    standings = list(standings_of(context, language))
    count = Counter(standing.state for standing in standings)
    return {
        "path": context.source.path,
        "name": context.label.product_name,
        "market": context.market,
        "edition": context.edition,
        "language": language,
        "species": context.species,
        "maker": one_line(context.fact("maker") or ""),
        "state": to_data(StateData, enacted) if enacted else None,
        "requirements": [_data(context, standing, enacted) for standing in standings],
        "summary": {str(state): count[state] for state in State},
    }


def standings_of(context: LabelContext, language: str = "en") -> Iterator[Standing]:
    """Yields how each requirement of the market stands.

    A rule that the settings switch off counts as it stands in its pack: nobody switches off a law.
    """
    law, own = packs.load(), context.settings.rules
    asked = requirements(context.market, language)
    notes = data(f"{WORDING}/{language}")["notes"]
    read = not any(o.certainty for o in engine.observations(law[_NOT_READ], context))
    for requirement in asked:
        rules = [own[name] if own[name].is_on else law[name] for name in requirement.rules]
        source = requirement.source or next(
            (rule.source for rule in rules if rule.is_about(context.kind)), rules[0].source
        )
        if not read:
            yield Standing(requirement, State.NOT_READ, source, note=notes["unread"])
        else:
            not_due = _due(context, requirement, source, notes)
            yield not_due or _judged(context, requirement, source, rules, notes)


def _due(
    context: LabelContext, requirement: Requirement, source: RuleSource, notes: Mapping[str, str]
) -> Standing | None:
    """Returns how it stands where it is not asked of the label, or may not be; else None."""
    kind, to = context.kind, requirement.applies
    note = ""
    if to.species and kind.species and kind.species not in to.species:
        note = notes["species"].format(to.species[0])
    elif to.edition and kind.edition not in to.edition:
        note = notes["edition"].format(to.edition[0])
    elif requirement.within != "declaration" and not is_whole(context):
        note = notes["list"]
    elif not set(requirement.except_uses).isdisjoint(kind.uses):
        note = notes["use"].format(next(u for u in kind.uses if u in requirement.except_uses))
    elif requirement.routes and not ({a.route for a in context.label.adequacy} or {"none"}) & {
        *requirement.routes
    }:
        note = notes["route"]
    elif to.species and kind.species is None:
        return Standing(requirement, State.OPEN, source, note=notes["animal"])
    elif not to.is_about(kind):
        note = notes["kind"]
    return Standing(requirement, State.NOT_DUE, source, note=note) if note else None


def _judged(
    context: LabelContext,
    requirement: Requirement,
    source: RuleSource,
    rules: Iterable[Rule],
    notes: Mapping[str, str],
) -> Standing:
    if not requirement.visible:
        return Standing(requirement, State.NOT_VISIBLE, source)
    if requirement.shows:
        return _shown(context, requirement, source)
    seen: dict[State, list[Span]] = {}
    findings: list[Finding] = []
    for rule in rules:
        if rule.is_about(context.kind):
            for observation in engine.observations(rule, context):
                weighed = tuple(engine.weighed(rule, observation))
                state = _state_of(observation, weighed)
                if state is not None:
                    seen.setdefault(state, []).append(observation.span)
                findings += weighed
    findings.sort(key=Finding.sort_key)
    for state in _GRAVEST:
        if state in seen:
            span = None if state is State.NOT_DUE else min(seen[state])
            note = requirement.settles if state is State.OPEN else ""
            return Standing(requirement, state, source, span, tuple(findings), note)
    if (
        requirement.otherwise is State.MET
        and requirement.within != "label"
        and not getattr(context.label, requirement.within)
    ):
        printed = requirement.within == "declaration" or context.sections_of(requirement.within)
        state = State.NOT_READ if printed else State.NOT_DUE
        return Standing(requirement, state, source, note=notes[requirement.within])
    why = {State.NOT_DUE: notes["uncalled"], State.OPEN: requirement.settles}
    state = requirement.otherwise or State.NOT_READ
    return Standing(requirement, state, source, note=why.get(state, ""))


def _shown(context: LabelContext, requirement: Requirement, source: RuleSource) -> Standing:
    for kind in requirement.shows:
        for section in context.sections_of(kind):
            if section.text:
                return Standing(requirement, State.MET, source, section.body)
    observation = lacking(context, where(context), Certainty.PROVEN, {}, "", *requirement.shows)
    span = observation.span if observation.state is State.NOT_READ else None
    return Standing(requirement, observation.state or State.MISSING, source, span)


def _state_of(observation: Observation, weighed: tuple[Finding, ...]) -> State | None:
    """Returns the state that an observation shows; None where its rule gives it no weight."""
    if observation.state is not None:
        return observation.state
    if not weighed:
        return None
    doubtful = weighed[0].severity in (Severity.INFORMATION, Severity.HINT)
    if observation.certainty is Certainty.POSSIBLE or (
        doubtful and observation.certainty is Certainty.PRACTICE
    ):
        return State.OPEN
    return State.DEPARTS


def _clause(standing: Standing, state: StateText | None) -> str:
    """Returns the text behind a requirement: the state's own, else the sheet's, said so."""
    if state is None:
        return str(standing.source)
    own = state.clauses.get(standing.requirement.id)
    if own is None:
        return f"{standing.source}; the text of {state.title} on it was not read"
    return f"{own.source}; there {own.differs}" if own.differs else str(own.source)


def _data(context: LabelContext, standing: Standing, state: StateText | None) -> RequirementData:
    source, empty = context.source, {"start": None, "end": None}
    return to_data(
        RequirementData,
        standing.requirement,
        state=standing.state,
        clause=_clause(standing, state),
        text=one_line(source.slice(standing.span)) if standing.span else "",
        findings=[finding_data(source, finding) for finding in standing.findings],
        note=standing.note,
        **(source.place(standing.span) if standing.span else empty),
    )
