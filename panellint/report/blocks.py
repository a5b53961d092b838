"""Blocks that only a report has, such as findings in words for who has not met the rules, and what
these come to where nothing can be folded or drawn.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple, TypeAlias

from panellint.analysis.context import LabelContext
from panellint.analysis.list_position import share
from panellint.core.findings import Finding
from panellint.core.numbers import half_up, number
from panellint.core.phrases import capital, listed
from panellint.core.text import one_line
from panellint.output import document
from panellint.output.document import (
    Heading,
    Items,
    Paragraph,
    Printed,
    Proof,
    RangeRow,
    Ranges,
    Text,
)
from panellint.rulepacks.data import data
from panellint.shares.model import Proof as SharesProof


def premises(rests_on: Iterable[object]) -> str:
    """Returns such as "The order of the list and the guaranteed analysis"."""
    names = _names(rests_on)
    return capital(listed(names)) + " alone" * (len(names) == 1)


def resting(premises: Iterable[object]) -> str:
    """Returns such as "Rests on the order of the list."; "" for nothing."""
    names = _names(premises)
    return f"Rests on {listed(names)}." if names else ""


def _names(premises: Iterable[object]) -> list[str]:
    words = data("words/reading")["premises"]
    return [words.get(str(premise), str(premise)) for premise in premises]


def rounded(value: float | None, places: int = 1) -> str:
    """Returns a figure to at most so many places; a dash for one that is not known."""
    if value is None:
        return "–"
    return f"{half_up(value, places):,f}".removesuffix("." + "0" * places)


def percent(value: float) -> str:
    """Returns a percentage to hundredths."""
    return number(round(value, 2))


def range_words(low: float | None, high: float | None) -> str:
    """Returns a range of shares in words."""
    if low is None or high is None:
        return ""
    words = share(low, high)
    return "the label sets no limit" if words == "any share" else words


def proof_of(claim: str, proof: SharesProof) -> tuple[Proof, ...]:
    """Returns a proof of the shares as one of a document; none where it needs none."""
    if not proof.sentences:
        return ()
    return (Proof(claim, proof.sentences, resting(proof.rests_on)),)


class Point(NamedTuple):
    """A finding: its weight and certainty in words, and where on the label it stands."""

    severity: str
    certainty: str
    message: str
    place: str
    quote: Text
    because: str
    proof: tuple[str, ...]
    rests_on: str
    see: tuple[str, ...]
    remedies: tuple[str, ...]
    source: str
    rule: str


class Points(NamedTuple):
    """Findings; `none` is said where there are none."""

    points: tuple[Point, ...]
    none: str = ""


class Details(NamedTuple):
    """The proof of a promise and its source; `about` says of what, for who does not see it."""

    about: Text
    proof: tuple[str, ...]
    otherwise: str
    lines: tuple[str, ...]


class Legend(NamedTuple):
    """What the bars of ranges mean, where they are drawn; once in a document."""

    kind: str = "once"


Block: TypeAlias = document.Block | Points | Details | Legend


def flat(blocks: Iterable[Block]) -> Iterator[document.Block]:
    """Yields the same in headings, lines, lists, tables and ranges alone, with every proof."""
    for block in blocks:
        match block:
            case Points(points, none):
                yield from _points(points, none)
            case Details(_, proof, otherwise, lines):
                yield Items(proof) if proof else Paragraph(otherwise)
                yield from map(Paragraph, lines)
            case Legend():
                pass
            case Ranges(_, ranges):
                yield block
                yield from _proofs(ranges)
            case _:
                yield block


def _points(points: Sequence[Point], none: str) -> Iterator[document.Block]:
    if not points and none:
        yield Paragraph(none)
    for point in points:
        quote = f": “{document.plain(point.quote)}”" if point.quote else ""
        yield Paragraph(f"{capital(point.severity)}, {point.certainty}, {point.place}{quote}")
        lines = [point.message, point.because]
        lines += [f"What would settle it: {remedy}" for remedy in point.remedies]
        lines += [*point.proof, *(f"See {place}" for place in point.see), point.rests_on]
        lines.append(f"Source: {point.source or 'none'}. Rule: {point.rule}.")
        yield Items(tuple(filter(None, lines)))


def _proofs(ranges: Iterable[RangeRow]) -> Iterator[document.Block]:
    """Yields why the ranges are what they are, each proof once; a page folds it beside each."""
    earlier_names: dict[tuple[str, ...], str] = {}
    lines = []
    for range_row in ranges:
        name = f"{range_row.place} {document.plain(range_row.name)}".strip()
        for proof in range_row.proofs:
            why = f"{' '.join(proof.sentences)} {proof.rests_on}"
            if earlier := earlier_names.get(proof.sentences):
                why = f"as for {earlier}."
            earlier_names.setdefault(proof.sentences, name)
            lines.append(Paragraph(f"{name}. {proof.claim}: {why}"))
    if lines:
        yield Heading(3, "Why these shares")
        yield from lines


#: How much of the marked words is quoted, in code points.
_LONGEST = 160
#: Words that a terminal sets apart in this way.
_CODE = re.compile("`([^`]*)`")


def points(context: LabelContext, findings: Iterable[Finding]) -> tuple[Point, ...]:
    """Returns findings by weight, those of one weight in the order of the text."""
    by_weight = sorted(findings, key=lambda row: (row.severity.rank, row.sort_key()))
    return tuple(_point(context, finding) for finding in by_weight)


def _point(context: LabelContext, finding: Finding) -> Point:
    source, words = context.source, data("words/reading")
    end = min(finding.span.end, finding.span.start + _LONGEST)
    quote = one_line(source.text[finding.span.start : end]) + "…" * (end < finding.span.end)
    return Point(
        words["severities"][finding.severity.value],
        words["certainties"][finding.certainty.value],
        finding.message,
        f"line {source.position(finding.span.start).line}",
        Printed(quote, context.language),
        finding.because,
        finding.proof,
        resting(finding.rests_on),
        tuple(
            f"line {source.position(related.span.start).line}: {related.message}"
            for related in finding.related
        ),
        tuple(_CODE.sub("“\\1”", remedy.title) for remedy in finding.remedies),
        finding.source.rstrip("."),
        finding.rule,
    )
