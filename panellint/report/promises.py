"""What the name promises, in words for the reader."""

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.core.findings import Finding
from panellint.core.numbers import number
from panellint.core.phrases import capital, listed
from panellint.output.document import Heading, Paragraph, Printed, Table
from panellint.report.blocks import Block, Details
from panellint.report.saying import range_words, resting
from panellint.results.shares import ConditionData, JudgedPromise, Shares
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


def section(
    context: LabelContext,
    shares: Shares,
    judged: Sequence[Promised],
    findings: Iterable[Finding],
) -> Iterator[Block]:
    """Yields each promise beside what the label allows, with its proof and its source."""
    yield Heading(2, "What the name promises", "name")
    for judgement in judged:
        data = judgement.data
        yield Heading(3, ("“", judgement.text, f"”: {judgement.verdict}"))
        yield Paragraph(f"{context.settings.rules[data['rule']].title}. {judgement.words}", "usual")
        yield Table(
            ("Of", "The rule asks", "The label allows", "So it is"),
            tuple(_need(condition) for condition in data["conditions"]),
            caption="What the rule asks, beside what the label allows",
            kind="stack",
        )
        yield Details(
            judgement.text,
            tuple(data["proof"]),
            "There is nothing to prove: recipes of either sort fit the label.",
            tuple(filter(None, (resting(data["rests_on"]), f"Source: {judgement.source}."))),
        )
    if note := _note(context, shares, findings):
        yield Paragraph(note, "usual")


def _need(condition: ConditionData) -> tuple[str, ...]:
    base = {"mix": "whole mix"}.get(condition["base"], condition["base"])
    base = f"mix {base}" if base.startswith("without") else base
    bound = "at most" if condition["bound"] == "max" else "at least"
    return (
        capital(condition["of"]),
        f"{bound} {number(condition['needs'])} % of the {base}",
        range_words(condition["low"], condition["high"]),
        words_of("words/reading")["promises"][condition["verdict"]]["needs"],
    )


def _note(context: LabelContext, shares: Shares, findings: Iterable[Finding]) -> str:
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
