"""Corrections that are sure: what `lint --fix` makes of a label without asking.

A remedy is sure where only one is possible: one known name a slip away and no other within two, a
comma or a word that stands twice, a bracket whose mate has one place. What a fix brings to light is
looked at again, so that a text is corrected to its end.
"""

from collections.abc import Callable, Iterable

from panellint.analysis.context import LabelContext
from panellint.core.findings import Edit, Finding, Remedy
from panellint.core.source import Source
from panellint.lint.engine import lint_context
from panellint.rulepacks.settings import Settings

#: Times that a text is looked at again; two are enough for what was met.
_MOST_ROUNDS = 5


def corrected(
    source: Source, settings: Settings, wants: Callable[[str], bool] = lambda _rule: True
) -> tuple[str, int]:
    """Returns the text after every sure correction, and how many were made. `wants` says which
    rules' findings are to be settled."""
    text, corrections = source.text, 0
    for _ in range(_MOST_ROUNDS):
        context = LabelContext.of(Source(text, source.path), settings, quick=True)
        findings = lint_context(context, settings, quick=True).findings
        remedies = sure(finding for finding in findings if wants(finding.rule))
        if not remedies:
            break
        text = applied(text, (edit for remedy in remedies for edit in remedy.edits))
        corrections += len(remedies)
    return text, corrections


def difference(
    source: Source, settings: Settings, wants: Callable[[str], bool] = lambda _rule: True
) -> str:
    """Returns what `corrected` would change, as a unified diff; "" where that is nothing."""
    from difflib import unified_diff

    text, corrections = corrected(source, settings, wants)
    if not corrections:
        return ""
    old, new = source.text.splitlines(True), text.splitlines(True)
    lines = unified_diff(old, new, source.path, source.path, n=1)
    return "".join(line if line.endswith("\n") else f"{line}\n" for line in lines)


def sure(findings: Iterable[Finding]) -> list[Remedy]:
    """Returns the sure remedy of each finding that has one, in the order of the text; one whose
    edits touch an earlier one's is left for the next round."""
    chosen: list[Remedy] = []
    end = -1
    for finding in findings:
        remedy = next((offered for offered in finding.remedies if offered.sure), None)
        if remedy is not None and min(edit.span.start for edit in remedy.edits) > end:
            chosen.append(remedy)
            end = max(edit.span.end for edit in remedy.edits)
    return chosen


def applied(text: str, edits: Iterable[Edit]) -> str:
    """Returns the text after edits that do not overlap."""
    for edit in sorted(edits, key=lambda edit: edit.span, reverse=True):
        text = text[: edit.span.start] + edit.text + text[edit.span.end :]
    return text
