"""What the name promises, in words for the reader."""

from collections.abc import Iterable
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.core.findings import Finding
from panellint.core.phrases import listed
from panellint.output.document import Printed
from panellint.report.blocks import Details
from panellint.report.saying import resting
from panellint.results.shares import JudgedPromise, Shares
from panellint.rulepacks.data import data as words_of


class Promised(NamedTuple):
    """One promise of the name: `verdict` in a word or two, `words` for the reader."""

    text: Printed
    verdict: str
    words: str
    source: str
    data: JudgedPromise


def promised(context: LabelContext, shares: Shares) -> tuple[Promised, ...]:
    """Returns the promises of the name with their verdicts."""
    verdicts = words_of("words/reading")["promises"]
    return tuple(
        Promised(
            Printed(promise["text"], context.language),
            verdicts[promise["verdict"]]["verdict"],
            verdicts[promise["verdict"]]["words"],
            str(context.settings.rules[promise["rule"]].source),
            promise,
        )
        for promise in shares["promises"]
    )


def details(promise: Promised) -> Details:
    """Returns the proof and the source of a verdict."""
    lines = (resting(promise.data["rests_on"]), f"Source: {promise.source}.")
    return Details(
        promise.text,
        tuple(promise.data["proof"]),
        "There is nothing to prove: recipes of either sort fit the label.",
        tuple(filter(None, lines)),
    )


def unjudged(context: LabelContext, shares: Shares, findings: Iterable[Finding]) -> str:
    """Returns what is to be said where promises are not judged."""
    if not context.label.product_name:
        return "The label gives no product name."
    if not context.promises:
        return "The name names no ingredient, so it promises none."
    if not shares["consistent"]:
        return "No recipe fits all that the label says, so the name cannot be judged."
    marked = [
        span for finding in findings for span in (finding.span, *(r.span for r in finding.related))
    ]
    judged = {promise["id"] for promise in shares["promises"]}
    notes = []
    for promise in context.promises:
        if promise.id in judged:
            continue
        missing = [named.name for named in promise.named if not context.supported.get(named.span)]
        if missing:
            notes.append(
                f"“{promise.text}” names {listed(missing)}, and the list declares none under that "
                "name; what the rules say of that stands among the points."
            )
        elif any(promise.span.start <= span.start < promise.span.end for span in marked):
            notes.append(f"What the rules say of “{promise.text}” stands among the points.")
        else:
            notes.append(
                f"For such words as “{promise.text}” the rules of this market set no share that "
                "could be judged here."
            )
    return " ".join(notes)
