"""A long reading as its tests look at it: what its blocks say, by what they are about."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from panellint.analysis.context import LabelContext
from panellint.output.document import Heading, Items, Paragraph, RangeRow, Ranges
from panellint.report.blocks import Block, Details, Point, Points
from panellint.report.reading import full

_DAY = "a day of its own"


class Reading:
    """The blocks of a label's long reading, and parts of them."""

    def __init__(self, context: LabelContext) -> None:
        self.context = context
        self.blocks: Sequence[Block] = tuple(full([(context, None)], date.today(), _DAY))

    def _after(self, block: Block) -> Block:
        return self.blocks[self.blocks.index(block) + 1]

    def _ranges(self, caption: str) -> tuple[RangeRow, ...]:
        found = [b for b in self.blocks if isinstance(b, Ranges) and b.caption.startswith(caption)]
        return found[0].ranges if found else ()

    @property
    def name(self) -> str:
        return self.blocks[0].words

    @property
    def rows(self) -> tuple[RangeRow, ...]:
        return self._ranges("The whole list")

    @property
    def sides(self) -> tuple[RangeRow, ...]:
        return self._ranges("Shares of the mix by where")

    @property
    def clash(self) -> tuple[str, ...]:
        told = [b for b in self.blocks if isinstance(b, Paragraph) and b.kind == "clash"]
        return self._after(told[0]).lines if told else ()

    @property
    def short(self) -> tuple[str, ...]:
        heading = next(b for b in self.blocks if isinstance(b, Heading) and b.id == "short")
        found = self._after(heading)
        assert isinstance(found, Items)
        return found.lines

    @property
    def proofs(self) -> tuple[Details, ...]:
        return tuple(block for block in self.blocks if isinstance(block, Details))

    def _points(self, at: int) -> tuple[Point, ...]:
        return [b for b in self.blocks if isinstance(b, Points)][at].points

    @property
    def hazards(self) -> tuple[Point, ...]:
        return self._points(0)

    @property
    def doubtful(self) -> tuple[Point, ...]:
        return self._points(1)

    @property
    def findings(self) -> tuple[Point, ...]:
        return self._points(2)


def read(context: LabelContext) -> Reading:
    """The reading of a label."""
    return Reading(context)


def single(reading: Reading, day: str) -> list[Block]:
    """Its report, read on `day`."""
    return [
        b._replace(words=b.words.replace(_DAY, day))
        if isinstance(b, Paragraph) and isinstance(b.words, str) and _DAY in b.words
        else b
        for b in reading.blocks
    ]
