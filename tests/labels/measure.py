"""How well whole labels are read: `python tests/labels/measure.py [--all]`.

Prints the share of faultless labels with an error or a warning, and of planted faults that are
found with the right words marked, by market, and names the labels that fail. Of the third that is
held out it prints the shares alone, unless `--all` is given.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))

from panellint.core.findings import FileFindings, Finding, Severity
from panellint.core.source import Source
from panellint.lint.engine import lint
from panellint.rulepacks.settings import Settings
from tests.labels.labels import Label, Planted, faultless, held_out, planted

_WEIGHTY = (Severity.ERROR, Severity.WARNING)


@cache
def findings(market: str, text: str) -> Sequence[Finding]:
    """The findings of a label under a market's rules and the usual settings; many planted faults
    share a label without them."""
    result: FileFindings = lint(Source(text, "label"), Settings().with_market(market))
    return result.findings


def false_alarms(label: Label) -> Sequence[Finding]:
    """The errors and warnings on a faultless label; one on the line of a scanner's slip may be a
    warning."""
    return [
        finding
        for finding in findings(label.market, label.text)
        if finding.severity in _WEIGHTY
        and not (finding.severity is Severity.WARNING and _on_slip(label, finding))
    ]


def is_found(label: Planted) -> bool:
    """Whether a rule that may speak does (a hint is not enough), with the right words marked, and
    says what it does not say of the label without the fault."""
    found = [
        finding
        for finding in findings(label.market, label.text)
        if finding.rule in label.rules
        and finding.severity is not Severity.HINT
        and _marks(label, finding)
    ]
    if not found or not label.sound:
        return bool(found)
    said = {(finding.rule, finding.message) for finding in findings(label.market, label.sound)}
    return any((finding.rule, finding.message) not in said for finding in found)


def _on_slip(label: Label, finding: Finding) -> bool:
    start = label.text.rfind("\n", 0, finding.span.start) + 1
    end = label.text.find("\n", finding.span.end)
    line = label.text[start : end if end >= 0 else None]
    return any(slip in line for slip in label.slips)


def _marks(label: Planted, finding: Finding) -> bool:
    """The finding lies inside one of the marks, or covers one and little more."""
    if not label.marks:
        return True
    span = finding.span
    for mark in label.marks:
        at = label.text.find(mark)
        while at >= 0:
            end = at + len(mark)
            inside = at <= span.start < span.end <= end
            around = span.start <= at and end <= span.end
            if inside or (around and span.end - span.start <= 2 * len(mark) + 20):
                return True
            at = label.text.find(mark, at + 1)
    return False


def _table(title: str, labels: Sequence, good: Callable) -> list:
    """Prints the shares by market; returns the labels that are not good."""
    bad = [label for label in labels if not good(label)]
    print(f"\n{title}")
    rows = [*sorted({label.market for label in labels}), ""]
    for market in rows:
        of = [label for label in labels if market in ("", label.market)]
        count = sum(label in bad for label in of)
        shares = []
        for name, kept in (("seen", False), ("held out", True)):
            part = [label for label in of if held_out(label.id) == kept]
            wrong = sum(label in bad for label in part)
            shares.append(f"{name} {wrong:3} of {len(part):3}")
        name = market or "all"
        print(
            f"  {name:4} {count:3} of {len(of):3} ({count / len(of):6.1%})   " + ", ".join(shares)
        )
    return bad


def main() -> None:
    """Prints the measurement."""
    everything = "--all" in sys.argv
    alarms = _table(
        "Faultless labels with an error or a warning",
        faultless(),
        lambda label: not false_alarms(label),
    )
    missed = _table("Planted faults not found, or with other words marked", planted(), is_found)
    for label in alarms:
        if everything or not held_out(label.id):
            print(f"\n{label.id}")
            for finding in false_alarms(label):
                words = label.text[finding.span.start : finding.span.end].replace("\n", " ")[:60]
                print(f"  {finding.severity} {finding.rule} [{words}] {finding.message[:200]}")
    print("\nMissed:")
    for label in missed:
        if everything or not held_out(label.id):
            print(f"  {label.id} ({', '.join(label.rules)})")
            for finding in findings(label.market, label.text):
                if finding.rule in label.rules:
                    words = label.text[finding.span.start : finding.span.end]
                    print(f"      {finding.severity} marks {words[:80]!r}")


if __name__ == "__main__":
    main()
