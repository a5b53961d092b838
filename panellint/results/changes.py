"""What `changes` answers."""

from typing import TypedDict

from panellint.results.findings import FindingData
from panellint.results.outline import Place


class ChangeData(TypedDict):
    """One change, with its place in either text; None where it stands in one only."""

    part: str
    change: str
    what: str
    says: str
    old: Place | None
    new: Place | None


class FindingChanges(TypedDict):
    """Findings that came and that went."""

    new: list[FindingData]
    gone: list[FindingData]


class LabelChanges(TypedDict):
    """What a new version of a label changed."""

    old: str
    new: str
    changes: list[ChangeData]
    findings: FindingChanges
