"""What a run over many files hands on: one file after the other, and the count of it all."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from panellint.core.errors import Fault
from panellint.core.findings import FileFindings, Severity


class Checked(NamedTuple):
    """One file of a run: its findings, or the faults that kept it from being used.

    `fail_at` is the mildest severity that fails this file; None where no finding does.
    `corrections` are those made in the file before it was linted, `read_as` what
    the label was taken for. With `solver_failed`, order alone answers some question of shares.
    """

    path: str
    result: FileFindings | None = None
    faults: tuple[Fault, ...] = ()
    fail_at: Severity | None = Severity.WARNING
    corrections: int = 0
    read_as: str = ""
    solver_failed: bool = False

    def fails(self, severity: Severity) -> bool:
        """Returns whether a finding of this severity makes the command exit with status 1."""
        return self.fail_at is not None and severity.rank <= self.fail_at.rank


class Tally:
    """What a run has counted so far; complete once its stream is used up.

    `faults` holds each fault once, however many files it kept from being used.
    """

    def __init__(self) -> None:
        self.read = 0
        self.with_findings = 0
        self.unusable = 0
        self.faults: list[Fault] = []
        self.by_severity = dict.fromkeys(Severity, 0)
        self.failing = 0
        self.waived = 0
        self.by_rule: Counter[str] = Counter()

    def add(self, checked: Checked) -> None:
        """Counts one file."""
        self.faults += [fault for fault in checked.faults if fault not in self.faults]
        if checked.result is None:
            self.unusable += 1
            return
        self.read += 1
        self.with_findings += bool(checked.result.findings)
        self.waived += len(checked.result.waived)
        for finding in checked.result.findings:
            self.by_severity[finding.severity] += 1
            self.by_rule[finding.rule] += 1
            self.failing += checked.fails(finding.severity)

    def over(self, stream: Iterable[Checked]) -> Iterator[Checked]:
        """Yields the same stream, counted as it passes."""
        for checked in stream:
            self.add(checked)
            yield checked

    @property
    def findings(self) -> int:
        """Returns how many findings there are, of any severity."""
        return sum(self.by_severity.values())


def counts(numbers: Mapping[Severity, int]) -> dict[str, int]:
    """Returns the numbers by severity, in the order of their weight, under their plain words."""
    return {severity.value: numbers.get(severity, 0) for severity in Severity}
