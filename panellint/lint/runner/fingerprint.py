"""A name for a finding that holds while the label around it changes.

It is made of the rule, the beginning of the marked words, and a number that counts those that
agree in both. What else stands on the line, where the line and the file are, and a rule's new
wording leave it as it was.
"""

from collections import Counter
from collections.abc import Iterable
from hashlib import blake2b

from panellint.core.findings import Finding
from panellint.core.source import Source
from panellint.core.text import one_line

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
