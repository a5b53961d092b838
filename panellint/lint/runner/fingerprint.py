"""A name for a finding that holds while the label around it changes.

It is made of the rule, the text of the line, the marked words, and a number that counts
those that agree in all three. Lines that move, and a rule's new wording, leave it as it was.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from hashlib import blake2b

from panellint.core.findings import Finding
from panellint.core.source import Source
from panellint.core.text import one_line

#: More of the marked words than this adds nothing, and costs time where much is marked.
LONGEST_MARK = 1000


def fingerprints(source: Source, findings: Iterable[Finding]) -> list[str]:
    """Returns one fingerprint for each finding of a label, in their order; 32 hex digits each."""
    lines: dict[int, bytes] = {}
    seen: Counter[bytes] = Counter()
    made = []
    for finding in findings:
        number = source.position(finding.span.start).line
        if number not in lines:
            lines[number] = _digest(_folded(source.line(number)))
        end = min(finding.span.end, finding.span.start + LONGEST_MARK)
        marked = _folded(source.text[finding.span.start : end])
        key = _digest(finding.rule.encode(), lines[number], marked)
        made.append(_digest(key, str(seen[key]).encode()).hex())
        seen[key] += 1
    return made


def _folded(text: str) -> bytes:
    """Returns folded text, so that a new indent or line end changes no fingerprint."""
    return one_line(text).encode(errors="surrogatepass")


def _digest(*parts: bytes) -> bytes:
    return blake2b(b"\0".join(parts), digest_size=16).digest()
