"""Findings that are known: a repository that starts with many is failed by new ones only.

The file is JSON, made to be read in a review: by label (its path from the folder of the
baseline), the rule, the marked words and the fingerprint of each finding. A label that was moved
takes over what was known of the one that is gone and agrees with it most.

A fingerprint holds while the label around its finding changes: it is made of the rule, the
beginning of the marked words, and a number that counts those that agree in both. What else stands
on the line, where the line and the file are, and a rule's new wording leave it as it was.
"""

from __future__ import annotations

import json
import os
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from hashlib import blake2b
from pathlib import Path
from typing import Any

from panellint.core.errors import Fault, InputError
from panellint.core.files import relative
from panellint.core.findings import Finding
from panellint.core.source import Source, read
from panellint.core.text import one_line
from panellint.lint.runner.results import Checked

#: So much of the marked words counts: what is marked whole, as a list is, grows at its end.
LONGEST_MARK = 40


def fingerprints(source: Source, findings: Iterable[Finding]) -> list[str]:
    """Returns one fingerprint for each finding of a label, in their order; 32 hex digits each."""
    seen: Counter[str] = Counter()
    named = []
    for finding in findings:
        words = source.text[finding.span.start : min(finding.span.end, finding.span.start + 1000)]
        key = fingerprint(finding.rule, words, 0)
        named.append(fingerprint(finding.rule, words, seen[key]))
        seen[key] += 1
    return named


def fingerprint(rule: str, words: str, number: int) -> str:
    """Returns the fingerprint of one finding: its rule, the words it marks, and how many of one
    label that agree in both stand before it."""
    mark = one_line(words)[:LONGEST_MARK].rstrip()
    parts = (rule.encode(), mark.encode(errors="surrogatepass"), str(number).encode())
    return blake2b(b"\0".join(parts), digest_size=16).hexdigest()


EDITION = 2
LONGEST_TEXT = 60


@dataclass(frozen=True, slots=True)
class Entry:
    """One known finding; only the fingerprint counts, the rest is for people."""

    rule: str
    text: str
    fingerprint: str


class Baseline:
    """The known findings of many labels, and which of them were met again in this run."""

    def __init__(self, path: str, labels: dict[str, list[Entry]] | None = None) -> None:
        self.path = path
        self.known = 0
        self._labels = labels or {}
        self._unmet: dict[str, list[Entry]] = {}

    @classmethod
    def of_file(cls, path: str) -> Baseline:
        """Reads a baseline. Raises InputError where it cannot be read or is none."""
        source = read(path)
        try:
            data = json.loads(source.text)
        except json.JSONDecodeError as error:
            raise InputError(
                Fault(path, error.lineno, error.colno, f"no JSON: {error.msg}")
            ) from None
        return cls(path, dict(_labels(path, data)))

    def without_known(self, checked: Checked) -> Checked:
        """Returns the same file without the findings that are known."""
        if checked.result is None:
            return checked
        marks = fingerprints(checked.result.source, checked.result.findings)
        entries = self._entries(self._key(checked.path), marks)
        left = Counter(entry.fingerprint for entry in entries)
        new = []
        for finding, mark in zip(checked.result.findings, marks, strict=True):
            if left[mark] > 0:
                left[mark] -= 1
                self.known += 1
            else:
                new.append(finding)
        unmet = []
        for entry in reversed(entries):
            if left[entry.fingerprint] > 0:
                left[entry.fingerprint] -= 1
                unmet.append(entry)
        if unmet:
            self._unmet[self._key(checked.path)] = unmet[::-1]
        return checked._replace(result=checked.result._replace(findings=tuple(new)))

    def _entries(self, label: str, marks: list[str]) -> list[Entry]:
        """Returns what is known of a label; of one that is new, what was known of the label that is
        gone and shares most findings with it."""
        if label in self._labels:
            return self._labels[label]
        folder = self._folder()
        gone = [name for name in sorted(self._labels) if not (folder / name).exists()]

        def shared(label: str) -> int:
            own = Counter(entry.fingerprint for entry in self._labels[label])
            return (own & Counter(marks)).total()

        nearest = max(gone, key=shared, default="")
        if not nearest or not shared(nearest):
            return []
        self._labels[label] = self._labels.pop(nearest)
        return self._labels[label]

    def entries(self) -> Iterator[tuple[str, Entry]]:
        """Yields what is known, label by label."""
        for label, entries in sorted(self._labels.items()):
            for entry in entries:
                yield label, entry

    def no_longer_needed(self) -> Iterator[tuple[str, Entry]]:
        """Yields entries that a label of this run did not need, and those of labels that are
        gone."""
        folder = self._folder()
        for label, entries in sorted(self._labels.items()):
            gone = not (folder / label).exists()
            for entry in entries if gone else self._unmet.get(label, ()):
                yield label, entry

    def take(self, checked: Checked) -> None:
        """Takes all findings of a file as known, in place of what was known of it."""
        if checked.result is None:
            return
        source, findings = checked.result.source, checked.result.findings
        self._labels[self._key(checked.path)] = [
            Entry(finding.rule, _short(source.slice(finding.span)), mark)
            for finding, mark in zip(findings, fingerprints(source, findings), strict=True)
        ]

    def text(self) -> str:
        """Returns the file as it should be written: sorted, without labels that are gone or
        clean."""
        folder = self._folder()
        labels = {
            label: list(map(asdict, entries))
            for label, entries in sorted(self._labels.items())
            if entries and (folder / label).exists()
        }
        return json.dumps({"baseline": EDITION, "labels": labels}, indent=1) + "\n"

    def count(self) -> tuple[int, int]:
        """Returns how many findings are known, in how many labels."""
        listed = [entries for entries in self._labels.values() if entries]
        return sum(map(len, listed)), len(listed)

    def _folder(self) -> Path:
        return Path(os.path.realpath(self.path)).parent

    def _key(self, path: str) -> str:
        return Path(relative(os.path.realpath(path), self._folder())).as_posix()


def _short(text: str) -> str:
    words = one_line(text)
    return words if len(words) <= LONGEST_TEXT else words[: LONGEST_TEXT - 1] + "\u2026"


def _labels(path: str, data: Any) -> Iterator[tuple[str, list[Entry]]]:
    """Yields the entries of a baseline's JSON. Raises InputError, naming the key, where one is
    wrong."""

    def wrong(where: str, expected: str) -> InputError:
        return InputError(Fault(path, None, None, f"no baseline: {where}", expected))

    if not isinstance(data, dict) or data.get("baseline") != EDITION:
        raise wrong("`baseline` is missing or unknown", f'"baseline": {EDITION}')
    labels = data.get("labels")
    if not isinstance(labels, dict):
        raise wrong("`labels` is missing or no object", "an object of lists by label")
    for label, entries in labels.items():
        if not isinstance(entries, list):
            raise wrong(f"`labels[{label!r}]` is no list", "a list of findings")
        listed = []
        for number, entry in enumerate(entries):
            words = entry if isinstance(entry, dict) else {}
            values = [words.get(key) for key in ("rule", "text", "fingerprint")]
            if not all(isinstance(value, str) for value in values):
                raise wrong(
                    f"`labels[{label!r}][{number}]` is no finding", "rule, text, fingerprint"
                )
            listed.append(Entry(*map(str, values)))
        yield label, listed
