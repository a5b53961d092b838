"""Blocks that only a report has, and what they come to where nothing can be folded or drawn."""

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple, TypeAlias

from panellint.core.phrases import capital
from panellint.output import document
from panellint.output.document import (
    Heading,
    Items,
    Paragraph,
    RangeRow,
    Ranges,
    Text,
)


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
