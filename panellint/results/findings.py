"""What `lint` answers, with its findings and with `--waivers`."""

from typing import TypedDict

from panellint.results.outline import Place


class RelatedPlace(Place):
    """Another place that belongs to a finding, with what it is."""

    message: str


class TextEdit(Place):
    """Replaces the text of a place by `text`."""

    text: str


class RemedyData(TypedDict):
    """A change of the text that would settle a finding; `sure` where `lint --fix` makes it."""

    title: str
    sure: bool
    edits: list[TextEdit]


class FindingData(Place):
    """What a rule says about a place in the text; `text` are the words that stand there."""

    rule: str
    severity: str
    certainty: str
    message: str
    text: str
    rests_on: list[str]
    proof: list[str]
    source: str
    because: str
    related: list[RelatedPlace]
    remedies: list[RemedyData]
    tags: list[str]


class LintedFile(TypedDict):
    """The findings of one label; `waived` are those that a waiver in the file accepts."""

    path: str
    findings: list[FindingData]
    waived: list[FindingData]


class FaultData(TypedDict):
    """Why an input cannot be used; line and column are None where it has no place in the file."""

    path: str
    line: int | None
    column: int | None
    message: str
    expected: str


class LintRun(TypedDict):
    """What is said of a whole run: `summary` counts the findings by severity, `rules` by rule."""

    unusable: list[FaultData]
    summary: dict[str, int]
    rules: dict[str, int]
    caution: str


class Linted(LintRun):
    """The findings of several labels."""

    files: list[LintedFile]


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


class RuleChange(TypedDict):
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
    changes: list[RuleChange]
    known: list[KnownData]
    left_out: list[str]
    locked: list[str]
