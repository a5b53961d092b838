"""Findings for people: in short, a finding is its message, the marked words, the nearest proof or
remedy and the rule with its source; explained, the words are underlined and the reason, the whole
proof and all that it rests on are there."""

from collections.abc import Iterable, Iterator

import click

from panellint.core.findings import Finding, Severity
from panellint.core.phrases import counted, listed
from panellint.core.source import Source
from panellint.core.text import harmless
from panellint.lint.runner.results import Checked, Tally
from panellint.output.cells import clipped, wrap
from panellint.output.findings.excerpt import excerpt, in_line
from panellint.output.render_options import CAUTION, RenderOptions

INDENT = "    "
#: Around the marked words of a finding in short; lines that its message may take.
MARKS = (
    "\N{SINGLE RIGHT-POINTING ANGLE QUOTATION MARK}",
    "\N{SINGLE LEFT-POINTING ANGLE QUOTATION MARK}",
)
MOST_LINES = 3
MORE = "--explain adds reasons and whole proofs."
HUE = {
    Severity.ERROR: "red",
    Severity.WARNING: "yellow",
    Severity.INFORMATION: "blue",
    Severity.HINT: "cyan",
}


def write(stream: Iterable[Checked], options: RenderOptions) -> Iterator[str]:
    """Findings grouped by file, then the count."""
    tally = Tally()
    for checked in tally.over(stream):
        if checked.result and checked.result.findings:
            yield "\n".join(_of_file(checked, options)) + "\n\n"
    if options.statistics:
        widest = max((len(f"{number:,}") for number in tally.by_rule.values()), default=0)
        for rule, number in sorted(tally.by_rule.items(), key=lambda pair: (-pair[1], pair[0])):
            yield f"{number:>{widest},} {rule}\n"
    if options.quiet:
        return
    if options.statistics and tally.by_rule:
        yield "\n"
    words = summary(tally)
    if tally.findings and not options.explain:
        words = f"{words} {MORE}"
    yield "\n".join(wrap(words, options.width)) + "\n"
    if tally.read:
        yield "\n"
        yield "\n".join(_dim(line, options) for line in wrap(CAUTION, options.width)) + "\n"


def summary(tally: Tally) -> str:
    """Returns one sentence on the whole run."""
    text = f"{counted(tally.read, 'label')} read"
    if tally.findings:
        text += f", {tally.with_findings:,} with findings" if tally.read > 1 else ""
        text += f": {_severities(tally.by_severity)}"
    elif tally.read:
        text += ", nothing found"
    if tally.waived:
        text += f"; {tally.waived:,} waived"
    if tally.unusable:
        text += f"; {counted(tally.unusable, 'input')} could not be used"
    return f"{text}."


def _severities(numbers: dict[Severity, int]) -> str:
    plural = {Severity.INFORMATION: "information"}
    return ", ".join(
        counted(number, severity, plural.get(severity, ""))
        for severity, number in numbers.items()
        if number
    )


def _of_file(checked: Checked, options: RenderOptions) -> Iterator[str]:
    assert checked.result is not None
    yield _bold(harmless(checked.path), options)
    if not options.explain:
        for finding in checked.result.findings:
            yield from _in_short(checked.result.source, finding, options)
        return
    reasons: dict[tuple[str, str], str] = {}
    for number, finding in enumerate(checked.result.findings):
        if number:
            yield ""
        yield from _of_finding(checked.result.source, finding, options, reasons)


def _head(source: Source, finding: Finding, options: RenderOptions) -> list[str]:
    """Returns place, severity and message, wrapped."""
    line, column = source.position(finding.span.start)
    head = f"{line}:{column} {finding.severity} "
    lines = wrap(finding.message, options.width, head, INDENT)
    lines[0] = lines[0].replace(
        finding.severity, _bold(finding.severity, options, fg=HUE[finding.severity]), 1
    )
    return lines


def _in_short(source: Source, finding: Finding, options: RenderOptions) -> Iterator[str]:
    room = options.width - len(INDENT)
    lines = _head(source, finding, options)
    support = ""
    if finding.remedies:
        support = f"remedy: {finding.remedies[0].title}"
    elif finding.proof:
        support = f"shown by: {finding.proof[0]}"
    yield from lines[: MOST_LINES - 1]
    if len(lines) >= MOST_LINES:
        yield INDENT + clipped(" ".join(line.strip() for line in lines[MOST_LINES - 1 :]), room)
    if len(lines) >= MOST_LINES and not finding.remedies:
        support = ""  # so long a message leaves its proof to --explain
    before, words, after = in_line(source, finding.span, room - 2)
    marked = _bold(MARKS[0] + words + MARKS[1], options, fg=HUE[finding.severity])
    yield f"{INDENT}{before}{marked}{after}"
    if support:
        yield INDENT + clipped(support, room)
    resting = f" by {listed(finding.rests_on)}" if finding.rests_on else ""
    standing = f"{finding.rule}: {finding.certainty}{resting}; {finding.source.rstrip('.')}"
    yield _dim(INDENT + clipped(standing, room), options)


def _of_finding(
    source: Source, finding: Finding, options: RenderOptions, reasons: dict[tuple[str, str], str]
) -> Iterator[str]:
    """Yields one finding; `reasons` holds where in this file each reason stands already."""
    line, column = source.position(finding.span.start)
    yield from _head(source, finding, options)
    for text, marks, of_label in excerpt(source, finding.span, options.width - len(INDENT)):
        yield f"{INDENT}{text}" if of_label else _dim(f"{INDENT}{text}", options)
        if marks:
            bar = marks.index("|") + 1
            hue = HUE[finding.severity]
            yield f"{INDENT}{marks[:bar]}{_bold(marks[bar:], options, fg=hue)}"
    for related in finding.related:
        where = source.position(related.span.start)
        words = f"{where.line}:{where.column} {related.message}"
        yield from wrap(words, options.width, f"{INDENT}see: ", INDENT * 2)
    if finding.because:
        place = reasons.setdefault((finding.rule, finding.because), f"{line}:{column}")
        repeated = place != f"{line}:{column}"
        words = f"as at {place}" if repeated else finding.because
        yield from wrap(words, options.width, f"{INDENT}why: ", INDENT * 2)
    for number, step in enumerate(finding.proof):
        label = "shown by: " if not number else "          "
        yield from wrap(step, options.width, INDENT + label, INDENT + " " * len(label) + "  ")
    for remedy in finding.remedies:
        yield from wrap(remedy.title, options.width, f"{INDENT}remedy: ", INDENT * 2)
    for line_ in wrap(_standing(finding), options.width, INDENT, INDENT * 2):
        yield _dim(line_, options)


def _standing(finding: Finding) -> str:
    """Returns how sure it is, what that rests on, the document behind it, and the rule to ask
    about."""
    parts = [f"{finding.certainty}"]
    if finding.rests_on:
        parts[0] += f", resting on {listed(finding.rests_on)}"
    if finding.source:
        parts.append(f"source: {finding.source.rstrip('.')}")
    parts.append(f"rule: {finding.rule}")
    return "; ".join(parts)


def _bold(text: str, options: RenderOptions, fg: str | None = None) -> str:
    return click.style(text, fg=fg, bold=True) if options.colour else text


def _dim(text: str, options: RenderOptions) -> str:
    return click.style(text, dim=True) if options.colour else text
