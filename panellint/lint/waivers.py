"""Waivers: findings that the maker accepts, with a reason and until a date.

A waiver holds for every finding of its rule in the same file, up to and including its date.
One that says no reason or no date, that names no rule or a pattern of rules, whose date lies
further off than the settings allow, or whose rule is locked, does not hold. What is wrong with a
waiver is an observation for the rules whose check is `waiver`, told apart by their
parameter `fault`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from datetime import date
from typing import NamedTuple

from panellint.core.findings import Certainty, Edit, FileFindings, Finding, Observation, Remedy
from panellint.core.source import Source, Span
from panellint.label.model import WaiverLine
from panellint.rulepacks import registry
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule
from panellint.rulepacks.settings import Settings


class Terms(NamedTuple):
    """On what terms findings may be waived: the rules that may not be, the longest time, and how
    long before its end a waiver is spoken of, both in days."""

    locked: Collection[str] = ()
    longest: int = 0
    ahead: int = 0

    @classmethod
    def of(cls, settings: Settings) -> Terms:
        """The terms of the settings; where they say nothing, those of practice."""
        usual = data("words/drafts")["waivers"]
        longest = settings.longest_waiver or int(usual["longest_days"])
        return cls(settings.locked, longest, int(usual["told_days_ahead"]))


class Review(NamedTuple):
    """Findings that stand, those that are waived, and what is wrong with the waivers (each
    fault with its observation, in the order of the text)."""

    standing: tuple[Finding, ...]
    waived: tuple[Finding, ...]
    faults: tuple[tuple[str, Observation], ...]

    def result(self, source: Source, more: Iterable[Finding] = ()) -> FileFindings:
        """Returns what stands, with `more`, and what is waived, each in the order of the text."""
        standing = sorted((*self.standing, *more), key=Finding.sort_key)
        waived = sorted(self.waived, key=Finding.sort_key)
        return FileFindings(source, tuple(standing), tuple(waived))

    def about(self, fault: str) -> tuple[Observation, ...]:
        """Returns the observations of one fault."""
        return tuple(observation for kind, observation in self.faults if kind == fault)


def review(
    waivers: Iterable[WaiverLine],
    findings: Iterable[Finding],
    source: Source,
    rules: Mapping[str, Rule],
    today: date,
    complete: bool = True,
    terms: Terms | None = None,
) -> Review:
    """Applies the waivers of one file to its findings.

    `terms` are by default those without settings. `rules` are all rules. With `complete` False some
    rules did not run, so no waiver can be called unused; one of a rule that another command judges
    cannot be either.
    """
    waivers = tuple(waivers)
    terms = terms or Terms.of(Settings())
    all_findings = tuple(findings)
    if not waivers:
        return Review(all_findings, (), ())
    present = {finding.rule for finding in all_findings}
    used: set[str] = set()
    faults: list[tuple[str, Observation]] = []
    for waiver in waivers:
        fault = _fault(waiver, rules, today, terms)
        if fault is None:
            if waiver.rule in present and waiver.rule not in used:
                used.add(waiver.rule)
            elif complete and not registry.is_elsewhere(rules[waiver.rule].check):
                fault = "unused"
        if fault is None and waiver.until and (waiver.until - today).days <= terms.ahead:
            fault = "ending"
        if fault is not None:
            alone = sum(line.span == waiver.span for line in waivers) == 1
            faults.append((fault, _observation(fault, waiver, source, rules, today, terms, alone)))
    return Review(
        tuple(finding for finding in all_findings if finding.rule not in used),
        tuple(finding for finding in all_findings if finding.rule in used),
        tuple(faults),
    )


def _fault(waiver: WaiverLine, rules: Collection[str], today: date, terms: Terms) -> str | None:
    """Returns what keeps a waiver from holding; None where it holds."""
    if "*" in waiver.rule or "?" in waiver.rule:
        return "pattern"
    if waiver.rule not in rules:
        return "unknown-rule"
    if waiver.rule in terms.locked:
        return "locked"
    if not waiver.reason.strip():
        return "without-reason"
    if waiver.until is None:
        return "without-date"
    if waiver.until < today:
        return "expired"
    return "too-long" if (waiver.until - today).days > terms.longest else None


def _observation(
    fault: str,
    waiver: WaiverLine,
    source: Source,
    rules: Collection[str],
    today: date,
    terms: Terms,
    alone: bool,
) -> Observation:
    values: dict[str, object] = {"rule": waiver.rule, "reason": waiver.reason}
    values["longest"] = terms.longest
    context = ""
    span = waiver.span
    if waiver.until is not None:
        values["until"] = waiver.until.isoformat()
        values["days"] = abs((today - waiver.until).days)
    remedies = list(_removals(fault, waiver, source)) if alone else []
    if fault == "unknown-rule":
        from panellint.core.phrases import nearest

        span = waiver.rule_span
        near = nearest(waiver.rule, rules)
        context = "near" if near else "far"
        if near:
            values["near"] = near
            remedies.insert(0, Remedy(f"Waive {near}", (Edit(waiver.rule_span, near),)))
    return Observation(
        span,
        Certainty.PRACTICE,
        values,
        context,
        remedies=tuple(remedies),
        tags=("unnecessary",) if fault == "unused" else (),
    )


def _removals(fault: str, waiver: WaiverLine, source: Source) -> Iterator[Remedy]:
    """Yields the removal of a waiver that does nothing, line end included."""
    if fault not in ("unknown-rule", "expired", "unused"):
        return
    start, end = waiver.span
    text = source.text
    if start == 0 or text[start - 1] in "\r\n":
        end += 2 if text[end : end + 2] == "\r\n" else text[end : end + 1] in ("\r", "\n")
    yield Remedy("Remove the waiver", (Edit(Span(start, end), ""),))
