"""What the linter says: a finding about a place in the text."""

from collections.abc import Mapping
from enum import StrEnum
from typing import NamedTuple

from panellint.core.source import Source, Span


class Severity(StrEnum):
    """How much a finding weighs, in the Language Server Protocol's words."""

    ERROR = "error"
    WARNING = "warning"
    INFORMATION = "information"
    HINT = "hint"

    @property
    def rank(self) -> int:
        """1 for error to 4 for hint: the protocol's own numbers."""
        return list(Severity).index(self) + 1


class Certainty(StrEnum):
    """How sure a finding is.

    PROVEN: true of every formula that fits the premises in `rests_on`. POSSIBLE: true of
    some. PRACTICE: a judgement of the trade.
    """

    PROVEN = "proven"
    POSSIBLE = "possible"
    PRACTICE = "practice"


class State(StrEnum):
    """How a requirement of the market stands on a label.

    OPEN: the text allows both. NOT_READ: the label may have it where it could not be read.
    NOT_DUE: it is not asked of such a label. NOT_VISIBLE: no plain text shows it.
    """

    DEPARTS = "departs"
    MISSING = "missing"
    NOT_READ = "not-read"
    OPEN = "open"
    MET = "met"
    NOT_DUE = "not-due"
    NOT_VISIBLE = "not-visible"


class Related(NamedTuple):
    """Another place that belongs to a finding: a member of the family, the named ingredient."""

    span: Span
    message: str


class Edit(NamedTuple):
    """Replace the text of `span` by `text`; an empty span inserts."""

    span: Span
    text: str


class Remedy(NamedTuple):
    """A change of the text that would settle a finding, offered and never applied unasked.

    `sure`: only one correction is possible, so that `lint --fix` makes it.
    """

    title: str
    edits: tuple[Edit, ...]
    sure: bool = False


class Observation(NamedTuple):
    """What a check saw, before its rule gives it words and weight.

    `variant` picks among the rule's messages where it has several; `values` fill the message.
    Where `certainty` is None, no finding comes of it. `state` is how the requirement stands that
    the rule settles; where it is None, the certainty says it.
    """

    span: Span
    certainty: Certainty | None
    values: Mapping[str, object] = {}
    variant: str = ""
    rests_on: tuple[str, ...] = ()
    proof: tuple[str, ...] = ()
    related: tuple[Related, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    tags: tuple[str, ...] = ()
    state: State | None = None

    @classmethod
    def of_state(cls, state: State, span: Span) -> "Observation":
        """Returns how a requirement stands at a place, of which no finding comes."""
        return cls(span, None, state=state)

    @classmethod
    def met(cls, span: Span) -> "Observation":
        """Returns that what is asked stands in order at a place."""
        return cls.of_state(State.MET, span)


class Finding(NamedTuple):
    """What a rule says about a place in the text.

    `proof` holds sentences that a reader can check with a pencil; `rests_on` the premises
    that they use; `source` the document behind the rule, or "common practice".
    """

    rule: str
    severity: Severity
    certainty: Certainty
    message: str
    span: Span
    rests_on: tuple[str, ...] = ()
    proof: tuple[str, ...] = ()
    source: str = ""
    because: str = ""
    related: tuple[Related, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    tags: tuple[str, ...] = ()

    def sort_key(self) -> tuple[int, int, int, str, str]:
        """Place first, then weight, then words: the order never depends on chance."""
        return (self.span.start, self.span.end, self.severity.rank, self.rule, self.message)


class FileFindings(NamedTuple):
    """The findings of one panel file, in the order of the text; `waived` are those that a
    waiver in the file accepts."""

    source: Source
    findings: tuple[Finding, ...]
    waived: tuple[Finding, ...] = ()
