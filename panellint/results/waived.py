"""What `lint --waivers` answers: all that is waived or switched off."""

from __future__ import annotations

from typing import TypedDict


class WaiverData(TypedDict):
    """One waiver of a label; `state` is holds, or what is wrong with it; `findings` are those that
    it takes away."""

    label: str
    line: int
    rule: str
    until: str | None
    reason: str
    state: str
    findings: list[str]


class ChangeData(TypedDict):
    """What a settings file changes of a rule, in words."""

    settings: str
    rule: str
    change: str


class KnownData(TypedDict):
    """Findings that a baseline takes as known."""

    baseline: str
    label: str
    rule: str
    text: str


class Waived(TypedDict):
    """All that is waived, changed in settings, known by a baseline or left out of a run; `locked`
    are the rules that cannot be."""

    waivers: list[WaiverData]
    changes: list[ChangeData]
    known: list[KnownData]
    left_out: list[str]
    locked: list[str]
