"""What the name promises, and what the rules say of the label, in words for the reader."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from typing import TYPE_CHECKING

from panellint.core.findings import Certainty, Finding, Severity
from panellint.core.numbers import number
from panellint.core.phrases import listed
from panellint.core.text import one_line
from panellint.report.model import Need, Promised, Said
from panellint.report.saying import capital, resting, spread

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.results.shares import ConditionData, JudgedPromise

NOT_KEPT = "not kept"
_VERDICTS = {
    "refuted": (NOT_KEPT, "No recipe that fits this label keeps this promise."),
    "implied": ("kept", "Every recipe that fits this label keeps this promise."),
    "open": (
        "not settled by the label",
        "Some recipes that fit this label keep this promise and some do not. The label alone "
        "does not tell; the maker's batch records would.",
    ),
}
_NEEDS = {"refuted": "out of reach", "implied": "met", "open": "not settled"}
#: What a severity means to people who have not met its word.
WEIGHTS = {
    Severity.ERROR: "serious",
    Severity.WARNING: "to ask about",
    Severity.INFORMATION: "worth knowing",
    Severity.HINT: "minor",
}
#: The words of what comes before everything else, where it is about a hazard.
HEAVY = (WEIGHTS[Severity.ERROR], WEIGHTS[Severity.WARNING])
_CERTAINTIES = {
    Certainty.PROVEN: "certain from the label",
    Certainty.POSSIBLE: "possible, not certain",
    Certainty.PRACTICE: "a judgement of the trade",
}


def promises(context: LabelContext, found: Iterable[JudgedPromise]) -> Iterator[Promised]:
    """The promises of the name with their verdicts; `found` is `promises` of the shares."""
    for one in found:
        rule = context.settings.rules[one["rule"]]
        verdict, words = _VERDICTS[one["verdict"]]
        yield Promised(
            one["text"],
            verdict,
            words,
            tuple(_need(condition) for condition in one["conditions"]),
            tuple(one["proof"]),
            resting(one["rests_on"]),
            rule.title,
            str(rule.source),
        )


def _need(condition: ConditionData) -> Need:
    base = {"mix": "whole mix"}.get(condition["base"], condition["base"])
    base = f"mix {base}" if base.startswith("without") else base
    bound = "at most" if condition["bound"] == "max" else "at least"
    return Need(
        capital(condition["of"]),
        f"{bound} {number(condition['needs'])} % of the {base}",
        spread(condition["low"], condition["high"]),
        _NEEDS[condition["verdict"]],
    )


def promises_note(
    context: LabelContext, judged: Collection[str], consistent: bool, findings: Iterable[Finding]
) -> str:
    """What is to be said where promises are not judged; `judged` are the ids of those that are,
    `findings` those of the whole label."""
    spoken_of = []
    for finding in findings:
        spoken_of += [finding.span, *(related.span for related in finding.related)]
    if not context.label.product_name:
        return "The label gives no product name."
    if not context.promises:
        return "The name names no ingredient, so it promises none."
    if not consistent:
        return "No recipe fits all that the label says, so the name cannot be judged."
    notes = []
    for one in context.promises:
        if one.id in judged:
            continue
        missing = [named.name for named in one.named if not context.supported.get(named.span)]
        if any(one.span.start <= span.start < one.span.end for span in spoken_of) and not missing:
            notes.append(f"What the rules say of “{one.text}” stands among the points.")
        elif missing:
            notes.append(
                f"“{one.text}” names {listed(missing)}, and the list declares none under that "
                "name; what the rules say of that stands among the points."
            )
        else:
            notes.append(
                f"For such words as “{one.text}” the rules of this market set no share that could "
                "be judged here."
            )
    return " ".join(notes)


def said(context: LabelContext, findings: Iterable[Finding]) -> tuple[Said, ...]:
    """Findings by weight, those of one weight in the order of the text."""
    return tuple(
        _said(context, one)
        for one in sorted(findings, key=lambda one: (one.severity.rank, one.sort_key()))
    )


def _said(context: LabelContext, finding: Finding) -> Said:
    line = context.source.position(finding.span.start).line
    end = min(finding.span.end, finding.span.start + _LONGEST)
    quote = one_line(context.source.text[finding.span.start : end])
    quote += "…" if end < finding.span.end else ""
    return Said(
        WEIGHTS[finding.severity],
        _CERTAINTIES[finding.certainty],
        finding.message,
        f"line {line}",
        quote,
        finding.because,
        finding.proof,
        resting(finding.rests_on),
        tuple(
            f"line {context.source.position(one.span.start).line}: {one.message}"
            for one in finding.related
        ),
        tuple(remedy.title for remedy in finding.remedies),
        finding.source.rstrip("."),
        finding.rule,
    )


#: How much of the marked words is quoted, in code points.
_LONGEST = 160
