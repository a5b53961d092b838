"""What `report` answers: the same document as its page, Markdown and text."""

from typing import TypedDict


class ProofData(TypedDict):
    """Why something holds, in sentences, and what they rest on."""

    claim: str
    sentences: list[str]
    rests_on: str


class ReportRange(TypedDict):
    """What lies between two figures, in percent; None where nothing can be said."""

    name: str
    place: str
    low: float | None
    high: float | None
    estimate: float | None
    words: str
    notes: list[str]
    remarks: list[str]
    proofs: list[ProofData]


class BlockData(TypedDict, total=False):
    """One block: `block` is heading (with `level` and `words`), line (`words`), items (`lines`),
    table (`headings`, `rows`, `caption`) or ranges (`headings`, `ranges`, `caption`)."""

    block: str
    level: int
    words: str
    lines: list[str]
    headings: list[str]
    rows: list[list[str]]
    ranges: list[ReportRange]
    caption: str


class Report(TypedDict):
    """The report of one food or several, block by block."""

    blocks: list[BlockData]
