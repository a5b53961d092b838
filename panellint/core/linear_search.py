"""Regular expressions of packs of others, searched in a time that grows with the text alone.

They are run by RE2 (its own page: "Syntax", github.com/google/re2/wiki): no look-around, no
back-references, and `\\w`, `\\d`, `\\s` and `\\b` know ASCII alone; `\\pL` is any letter.
"""

import re
from collections.abc import Iterable, Iterator
from typing import Any


class LinearSearch:
    """Expressions of others beside our own phrases, searched as one regular expression is."""

    def __init__(self, expressions: Iterable[str], phrases: re.Pattern[str] | None) -> None:
        self._patterns = [*map(linear_pattern, expressions), *([phrases] if phrases else [])]

    def finditer(self, text: str) -> Iterator[Any]:
        """Yields the places in a text, in order; of two that overlap the first and longest."""
        matches = (match for pattern in self._patterns for match in pattern.finditer(text))
        end = 0
        for match in sorted(matches, key=lambda match: (match.start(), -match.end())):
            if match.start() >= end:
                yield match
                end = max(match.end(), end)

    def search(self, text: str) -> Any:
        """Returns the first place; None where there is none."""
        return next(self.finditer(text), None)

    def match(self, text: str, start: int = 0) -> Any:
        """Returns the longest place that begins at an offset; None where there is none."""
        matches = (pattern.match(text, start) for pattern in self._patterns)
        return max(filter(None, matches), key=lambda match: int(match.end()), default=None)

    def fullmatch(self, text: str) -> Any:
        """Returns the whole text where it is what is searched for; None where it is not."""
        return next(filter(None, (pattern.fullmatch(text) for pattern in self._patterns)), None)


def linear_pattern(expression: str) -> Any:
    """Returns an expression compiled, in any case, a space standing for any white space. Raises
    ValueError where it is none that a linear search can run."""
    import re2  # type: ignore[import-untyped]

    options = re2.Options()
    options.case_sensitive = False
    options.log_errors = False
    spaced = expression.replace(" ?", r"[\s\x{A0}]*").replace(" ", r"[\s\x{A0}]+")
    try:
        return re2.compile(spaced, options)
    except re2.error as error:
        why = error.args[0].decode() if isinstance(error.args[0], bytes) else str(error)
        message = f"`{expression}` is no regular expression that a pack may use: {why}"
        raise ValueError(message) from None
