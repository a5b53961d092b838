"""What the name promises, in words for the reader."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.core.findings import Finding
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


def unjudged(
    context: LabelContext, shares: Shares, findings: Iterable[Finding]
) -> Iterator[tuple[str, list[str], bool]]:
    """Yields the words of each promise that is not judged, the names of it that the list does not
    declare, and whether a finding marks it."""
    marked = [
        span for finding in findings for span in (finding.span, *(r.span for r in finding.related))
    ]
    judged = {promise["id"] for promise in shares["promises"]}
    for promise in context.promises:
        if promise.id not in judged:
            names = [named.name for named in promise.named if not context.supported.get(named.span)]
            is_marked = any(promise.span.start <= at.start < promise.span.end for at in marked)
            yield promise.text, names, is_marked
