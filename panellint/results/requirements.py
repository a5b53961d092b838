"""What `requirements` answers."""

from typing import TypedDict

from panellint.results.findings import FindingData
from panellint.results.outline import Position


class RequirementData(TypedDict):
    """One thing that is asked. `state` is met, departs, missing, open, not-read, not-due or
    not-visible; `start` and `end` are None where it stands nowhere, `text` are the words there.
    `note` says why it is not due, or what would settle it, `change` what to do where it is not
    met."""

    id: str
    part: str
    what: str
    state: str
    clause: str
    start: Position | None
    end: Position | None
    text: str
    findings: list[FindingData]
    note: str
    change: str


class StateData(TypedDict):
    """What the state that was asked for has enacted, and what of its text was not read."""

    title: str
    adopted: str
    unknown: str


class RequirementSheet(TypedDict):
    """All that the market and the edition ask of one label, and how many stand in each state."""

    path: str
    name: str
    market: str
    edition: str
    language: str
    species: str | None
    maker: str
    state: StateData | None
    requirements: list[RequirementData]
    summary: dict[str, int]
